"""Where the boxes of a picture with levels go.

Theory of operation, in the order of the steps:
1. Links that close a circle are set aside; what is left can be laid out from left to right.
2. Each box stands one column to the right of the rightmost box that leads to it (longest path).
3. A link over several columns gets a waypoint in each, so that it passes between boxes and not behind them.
4. Boxes and waypoints of a column are sorted by the mean place of their neighbours, forth and back, and the order
   with the fewest crossings is kept (barycentre heuristic).
5. Heights: each column is drawn towards its neighbours as far as the order and the room of the boxes allow,
   which is a least-squares fit with a fixed order and is solved by pooling neighbours that collide.

Source: the layered method of Sugiyama, Tagawa and Toda (1981), in its simplest published form (not checked against the original text).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

_PASSES = 8
_WAYPOINT_HEIGHT = 6.0
_ROOM = 12.0

Link = tuple[str, str]
"""From a box to one farther from the root."""


@dataclass(frozen=True, slots=True)
class LayeredBoxes:
    """Boxes in columns."""

    columns: tuple[tuple[str, ...], ...]
    """The boxes of each column from top to bottom, waypoints left out."""
    middle: Mapping[str, float]
    """The height of the middle of each box, and of each waypoint, 0 at the top."""
    column_of: Mapping[str, int]
    """The column of each box and waypoint."""
    routes: Mapping[Link, tuple[str, ...]]
    """The waypoints of each link that is not in a circle."""
    circles: tuple[Link, ...]
    """Links that lead back to where they came from."""
    height: float
    """The height of everything."""


def arrange(boxes: Mapping[str, float], links: Iterable[Link]) -> LayeredBoxes:
    """Place boxes.

    Args:
        boxes: name -> height in pixels; the root first, the others in the order in which ties are kept.
        links: pairs of names, away from the root; repeated ones count once.
    """
    all_links = list(dict.fromkeys(links))
    circles = _circles(list(boxes), all_links)
    straight = [link for link in all_links if link not in circles]
    column_of = _longest_paths(list(boxes), straight)
    routes, steps = _routed(straight, column_of)
    heights = {**dict.fromkeys(column_of, _WAYPOINT_HEIGHT), **boxes}
    columns: list[list[str]] = [[] for _ in range(1 + max(column_of.values()))]
    for name in column_of:
        columns[column_of[name]].append(name)
    columns = _sorted(columns, steps)
    middle = _heights(columns, steps, heights)
    top = min(middle[name] - heights[name] / 2 for name in middle)
    middle = {name: value - top for name, value in middle.items()}
    return LayeredBoxes(
        columns=tuple(tuple(name for name in column if name in boxes) for column in columns),
        middle=middle,
        column_of=column_of,
        routes=routes,
        circles=tuple(circles),
        height=max(middle[name] + heights[name] / 2 for name in middle),
    )


def _circles(names: Sequence[str], links: Sequence[Link]) -> list[Link]:
    """The links that lead back to a box on the way to them, found by walking in depth."""
    after: dict[str, list[str]] = {name: [] for name in names}
    for parent, child in links:
        after[parent].append(child)
    found: list[Link] = []
    entered: set[str] = set()
    for start in names:
        if start in entered:
            continue
        entered.add(start)
        # The way so far, each with what is left to look at; a list, as chains of repacking can be long.
        way = [(start, iter(after[start]))]
        on_way = {start}
        while way:
            name, rest = way[-1]
            child = next(rest, "")
            if not child:
                on_way.discard(name)
                way.pop()
            elif child in on_way:
                found.append((name, child))
            elif child not in entered:
                entered.add(child)
                on_way.add(child)
                way.append((child, iter(after[child])))
    return found


def _longest_paths(names: Sequence[str], links: Sequence[Link]) -> dict[str, int]:
    after: dict[str, list[str]] = {name: [] for name in names}
    waiting = dict.fromkeys(names, 0)
    for parent, child in links:
        after[parent].append(child)
        waiting[child] += 1
    column_of = dict.fromkeys(names, 0)
    ready = [name for name in names if not waiting[name]]
    for name in ready:
        # The list grows while it is read: a box is ready once everything that leads to it has its column.
        for child in after[name]:
            column_of[child] = max(column_of[child], column_of[name] + 1)
            waiting[child] -= 1
            if not waiting[child]:
                ready.append(child)
    return column_of


def _routed(
    links: Iterable[Link], column_of: dict[str, int]
) -> tuple[dict[Link, tuple[str, ...]], list[Link]]:
    """Add waypoints to `column_of`; return them by link, and the steps of one column each."""
    routes: dict[Link, tuple[str, ...]] = {}
    steps: list[Link] = []
    for number, (parent, child) in enumerate(links):
        points = []
        for column in range(column_of[parent] + 1, column_of[child]):
            # No code holds a NUL once it is visible, so a waypoint is never taken for a box.
            points.append(f"\0{number}/{column}")
            column_of[points[-1]] = column
        routes[parent, child] = tuple(points)
        chain = [parent, *points, child]
        steps += list(pairwise(chain))
    return routes, steps


def _sorted(columns: list[list[str]], steps: Sequence[Link]) -> list[list[str]]:
    before, after = _neighbours(steps)
    best, fewest = columns, _crossings(columns, steps)
    for number in range(_PASSES):
        forth = number % 2 == 0
        sides = before if forth else after
        columns = [list(column) for column in columns]
        order = range(1, len(columns)) if forth else range(len(columns) - 2, -1, -1)
        for at in order:
            place = _places(columns[at - 1 if forth else at + 1])
            own = _places(columns[at])
            columns[at].sort(key=_mean_of(sides, place, own))
        crossings = _crossings(columns, steps)
        if crossings < fewest:
            best, fewest = columns, crossings
    return best


def _mean_of(
    sides: Mapping[str, list[str]], place: Mapping[str, float], own: Mapping[str, float]
) -> Callable[[str], float]:
    def mean(name: str) -> float:
        met = [place[other] for other in sides.get(name, ())]
        # A box without neighbours on that side stays where it is.
        return sum(met) / len(met) if met else own[name]

    return mean


def _places(column: Sequence[str]) -> dict[str, float]:
    """Places from 0 to 1, so that columns of different lengths compare."""
    return {name: (number + 0.5) / len(column) for number, name in enumerate(column)}


def _neighbours(steps: Iterable[Link]) -> tuple[dict[str, list[str]], dict[str, list[str]]]:
    before: dict[str, list[str]] = {}
    after: dict[str, list[str]] = {}
    for parent, child in steps:
        before.setdefault(child, []).append(parent)
        after.setdefault(parent, []).append(child)
    return before, after


def _crossings(columns: Sequence[Sequence[str]], steps: Sequence[Link]) -> int:
    place = {name: number for column in columns for number, name in enumerate(column)}
    column_of = {name: number for number, column in enumerate(columns) for name in column}
    by_column: dict[int, list[tuple[int, int]]] = {}
    for parent, child in steps:
        by_column.setdefault(column_of[parent], []).append((place[parent], place[child]))
    return sum(
        (a - c) * (b - d) < 0
        for ends in by_column.values()
        for number, (a, b) in enumerate(ends)
        for c, d in ends[:number]
    )


def _heights(
    columns: Sequence[Sequence[str]], steps: Sequence[Link], heights: Mapping[str, float]
) -> dict[str, float]:
    before, after = _neighbours(steps)
    middle: dict[str, float] = {}
    for column in columns:
        middle.update(_fitted(column, heights, dict.fromkeys(column, 0.0)))
    for number in range(_PASSES):
        order = columns if number % 2 == 0 else columns[::-1]
        for column in order:
            wanted = {}
            for name in column:
                met = [middle[other] for other in (*before.get(name, ()), *after.get(name, ()))]
                wanted[name] = sum(met) / len(met) if met else middle[name]
            middle.update(_fitted(column, heights, wanted))
    return middle


def _fitted(
    column: Sequence[str], heights: Mapping[str, float], wanted: Mapping[str, float]
) -> dict[str, float]:
    """The places nearest to those wanted that keep the order and leave room between boxes."""
    offsets: list[float] = []
    at = 0.0
    for number, name in enumerate(column):
        if number:
            at += (heights[column[number - 1]] + heights[name]) / 2 + _ROOM
        offsets.append(at)
    # Less its offset, each place must not be below the one before: boxes that collide share their mean.
    blocks: list[tuple[float, int]] = []
    for name, offset in zip(column, offsets, strict=True):
        total, count = wanted[name] - offset, 1
        while blocks and blocks[-1][0] / blocks[-1][1] > total / count:
            earlier, more = blocks.pop()
            total, count = total + earlier, count + more
        blocks.append((total, count))
    bases = [total / count for total, count in blocks for _ in range(count)]
    return {name: base + offset for name, base, offset in zip(column, bases, offsets, strict=True)}

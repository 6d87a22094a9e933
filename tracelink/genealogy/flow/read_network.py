"""Read the movements of one lot into a network: what is settled by reading on, and what is left open.

Theory of operation. Much is settled by reading on: a range with as many discs as strokes takes all of them, and a
place that is emptied keeps none. Reading on in journal order gives, for each class, the places where discs of it
can be at each time. What is left open are the movements that several classes could have gone with. Classes that
meet in such a movement depend on each other; they form a *part*, and the parts are solved one by one.

It costs one pass over the movements.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Mapping, Sequence

from tracelink.genealogy.flow.budget import Budget, no_limit
from tracelink.genealogy.flow.network import Event, Network, NetworkPart, NetworkStep, StrokeClass
from tracelink.genealogy.model.strokes import Span, StrokeSet
from tracelink.ledger.closed_sets import DiscPlace


def network_of(
    pressed: StrokeSet, steps: Iterable[NetworkStep], suspects: StrokeSet, budget: Budget | None = None
) -> Network:
    """Read movements that are given in journal order.

    Args:
        pressed: the strokes counted at the press; all of them start at the counter.
        steps: the movements of one lot.
        suspects: the strokes that count as affected.
        budget: the time there is; None for as much as it takes.

    Raises:
        NotSolved: there is not enough time.
    """
    taken, budget = tuple(steps), budget or no_limit()
    classes = list(_classes(pressed, taken, suspects, budget))
    reader = _StepReader(classes, taken, budget)
    wrong = reader.read()
    for number, one in enumerate(classes):
        one.ends = frozenset(reader.at[number])
    parts = _parts(classes, taken, reader.open, budget) if wrong is None else []
    return Network(taken, classes, reader.rest, parts, wrong, budget=budget)


def _classes(
    pressed: StrokeSet, steps: Sequence[NetworkStep], suspects: StrokeSet, budget: Budget
) -> Iterator[StrokeClass]:
    """Cut the strokes where a range begins or ends, and join pieces that lie in the same ranges."""
    changes: dict[int, list[int]] = {}
    sets = [*(step.strokes for step in steps), suspects, pressed]
    for number, strokes in enumerate(sets):
        for span in strokes.spans if strokes is not None else ():
            changes.setdefault(span.first, []).append(number)
            changes.setdefault(span.last + 1, []).append(number)
    # A sweep along the strokes: at each cut the ranges that begin or end there are toggled. There are at most two
    # cuts for each range, so there are as few classes for a lot of a million discs as for one of a hundred.
    inside: set[int] = set()
    pieces: dict[frozenset[int], list[Span]] = {}
    cuts = sorted(changes)
    for cut, until in zip(cuts, [*cuts[1:], 0], strict=True):
        budget.require()
        inside.symmetric_difference_update(changes[cut])
        # Strokes that the press never counted are no discs; `_read_whole` misses them where a movement names them.
        if len(steps) + 1 in inside:
            pieces.setdefault(frozenset(inside), []).append(Span(cut, until - 1))
    for within, spans in pieces.items():
        yield StrokeClass(StrokeSet.of(*spans), len(steps) in within)


class _StepReader:
    """Reads steps in order and notes where each class can be."""

    def __init__(self, classes: Sequence[StrokeClass], steps: Sequence[NetworkStep], budget: Budget) -> None:
        self._classes = classes
        self._steps = steps
        self._budget = budget
        self.at: list[set[str]] = [{DiscPlace.COUNTER} for _ in classes]
        self.rest: list[int | None] = []
        self.open: dict[frozenset[int], list[int]] = {}
        """Classes that met in steps which not all of their discs went with -> those steps."""
        self._before: frozenset[int] = frozenset()
        """The classes that the first of two steps that are one movement left open."""
        self._firsts = [one.strokes.first for one in classes]
        self._everyone = set(range(len(classes)))
        self._who: dict[str, set[int]] = {DiscPlace.COUNTER: set(range(len(classes)))}
        self._most: dict[str, int] = {DiscPlace.COUNTER: sum(len(one.strokes) for one in classes)}
        self._within = {
            number: self._in_range(step.strokes)
            for number, step in enumerate(steps)
            if step.strokes is not None
        }

    def _in_range(self, strokes: StrokeSet) -> set[int]:
        self._budget.require()
        # Classes lie wholly inside a range or wholly outside, so one stroke of each says which; they are in that order.
        found: set[int] = set()
        for span in strokes.spans:
            found.update(range(bisect_left(self._firsts, span.first), bisect_right(self._firsts, span.last)))
        return found

    def read(self) -> int | None:
        """Read all steps; return the number of the first that cannot be true, if any."""
        for number, step in enumerate(self._steps):
            self._budget.require()
            if not self._count(step):
                return number
            # A place that can hold no disc any more is empty for certain; only then does reading on settle what left.
            if step.clears:
                self._most[step.source] = 0
            empties = self._most[step.source] == 0
            carried = self._carried(number)
            if step.takes_all:
                fits = self._read_whole(number, step, carried)
            else:
                fits = self._read_some(number, step, carried & self._at(step.source), empties)
            if not fits:
                return number
            # Discs outside the range stayed behind, and nothing is behind: so they were elsewhere all along.
            for left in sorted(self._at(step.source) - carried) if empties else ():
                self._note(left, Event(number, whole=False, goes=False, empties=True))
                self._leave(left, step.source)
                if not self.at[left]:
                    # Now they are nowhere.
                    return number
        return None

    def _carried(self, number: int) -> set[int]:
        return self._within.get(number, self._everyone)

    def _at(self, place: str) -> set[int]:
        return self._who.get(place, set())

    def _count(self, step: NetworkStep) -> bool:
        """Keep the greatest number of discs that each place can hold."""
        # Any number may be none and may be all: the source keeps its greatest number, and the target gains it.
        here = self._most.get(step.source, 0)
        # So it is with a movement of touched and other discs, of which each may have been all.
        is_open = step.quantity is None or step.is_paired
        gone = here if step.quantity is None else min(here, step.quantity) if is_open else step.quantity
        self._most[step.source] = here if is_open else here - gone
        self._most[step.target] = self._most.get(step.target, 0) + gone
        return self._most[step.source] >= 0

    def _read_whole(self, number: int, step: NetworkStep, carried: set[int]) -> bool:
        assert step.strokes is not None
        known = sum(len(self._classes[one].strokes) for one in carried)
        # As many discs as strokes: each of them went. Fewer were pressed, or one cannot have been there: then none can
        # have gone as recorded.
        if known < len(step.strokes) or not carried <= self._at(step.source):
            return False
        for one in sorted(carried):
            self._go_whole(one, number, step)
        self.rest.append(0)
        return True

    def _read_some(self, number: int, step: NetworkStep, able: set[int], empties: bool) -> bool:
        self.rest.append(step.quantity)
        counted_at = number - 1 if step.is_beside else number
        event = Event(number, whole=False, goes=True, empties=empties)
        left_open = able
        if empties:
            # Discs that can be nowhere else leave with the last ones. A class that can be elsewhere, too, stays open,
            # though the place is empty: how many of it were here is what the bound is about.
            whole = {one for one in able if self.at[one] == {step.source}}
            left_open = able - whole
            for one in sorted(whole):
                self._go_whole(one, number, step)
                rest = self.rest[counted_at]
                self.rest[counted_at] = None if rest is None else rest - len(self._classes[one].strokes)
            for one in left_open:
                self._leave(one, step.source)
        # One event for all classes, and one look at each: a table with discs of hundreds is left in thousands of steps.
        for one in left_open:
            self._classes[one].events.append(event)
            self.at[one].add(step.target)
        if left_open:
            self._who.setdefault(step.target, set()).update(left_open)
        return self._adds_up(step, counted_at, frozenset(left_open))

    def _adds_up(self, step: NetworkStep, counted_at: int, left_open: frozenset[int]) -> bool:
        """Note the open classes that depend on each other by a step; return whether its count can come out even."""
        group = left_open | self._before if step.is_beside else left_open
        if group:
            together = self.open.setdefault(group, [])
            together.append(counted_at)
            if step.is_beside:
                together.append(counted_at + 1)
        rest = self.rest[counted_at]
        if step.is_paired:
            self._before = left_open
            return rest is None or rest >= 0
        # Without an open class the count must come out even.
        return rest is None or rest == 0 or (rest > 0 and bool(group))

    def _go_whole(self, one: int, number: int, step: NetworkStep) -> None:
        # This says where the class was not, as well: what an earlier step may have taken of it must be back here
        # by now. The equations of the part ask that (`_fix` in equations.py).
        self._note(one, Event(number, whole=True, goes=True, empties=True))
        for place in list(self.at[one]):
            self._leave(one, place)
        self._enter(one, step.target)

    def _note(self, one: int, event: Event) -> None:
        self._classes[one].events.append(event)

    def _leave(self, one: int, place: str) -> None:
        self.at[one].discard(place)
        self._who[place].discard(one)

    def _enter(self, one: int, place: str) -> None:
        self.at[one].add(place)
        self._who.setdefault(place, set()).add(one)


def _parts(
    classes: Sequence[StrokeClass],
    steps: Sequence[NetworkStep],
    met: Mapping[frozenset[int], Sequence[int]],
    budget: Budget,
) -> list[NetworkPart]:
    """Join the classes that meet in a step which not all of their discs went with.

    No equation has unknowns of two parts, so the bound of some places is the sum of the bounds of the parts, and
    each is solved as small as it is. Classes are joined as disjoint sets: each points to another of its set, and
    ways that were gone are made shorter.
    """
    leader = list(range(len(classes)))

    def lead(one: int) -> int:
        while leader[one] != one:
            leader[one] = leader[leader[one]]
            one = leader[one]
        return one

    for group, together in met.items():
        budget.require()
        # A step that may carry any number binds nothing.
        if any(steps[step].quantity is not None for step in together):
            first = min(group)
            for one in group:
                leader[lead(one)] = lead(first)
    members: dict[int, list[int]] = {}
    for one in sorted({one for group in met for one in group}):
        members.setdefault(lead(one), []).append(one)
    taken: dict[int, set[int]] = {}
    for group, together in met.items():
        # Without a number that binds them, the classes of a group may be in several parts.
        for leading in {lead(one) for one in group}:
            taken.setdefault(leading, set()).update(together)
    return [
        _part(classes, number, found, taken[leading])
        for number, (leading, found) in enumerate(members.items())
    ]


def _part(
    classes: Sequence[StrokeClass], number: int, members: Sequence[int], steps: Iterable[int]
) -> NetworkPart:
    ends: set[str] = set()
    for one in members:
        classes[one].part = number
        ends |= classes[one].ends
    return NetworkPart(tuple(members), tuple(sorted(steps)), frozenset(ends))

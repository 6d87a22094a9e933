"""What a disc can still do: discs with the same future are one, whatever happened to them before.

Theory of operation. From a place and a time on, a disc of a class has a *future*: the next step that it can go with,
and its futures if it goes and if it stays; at the end, for a suspect, the place where it is. Discs of several classes
with the same future may be exchanged for each other without breaking a record or moving a suspect to another place. So
how many discs have each future, and how many of them go, is all there is to say, whatever classes they are of. Four
hundred stacks that were put on one table are two kinds of discs from there on: suspect and clean.

Futures are read backwards, each is kept once, and the ones it leads to come before it. Numbers of discs by future are
turned back into numbers by class (`by_class`) by following the discs forwards and taking any where some go, so whoever
checks an assignment need not know of futures.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from tracelink.genealogy.flow.network import Event, Network, StrokeClass
from tracelink.ledger.closed_sets import DiscPlace


class Future(NamedTuple):
    """What discs can do from some place and time on."""

    step: int | None
    """The next step that they can go with; None at the end."""
    stay: int | None
    """Number of their future if they stay; None if they cannot."""
    go: int | None
    """Number of their future if they go; None at the end."""
    place: str | None
    """For suspects at the end, where they are; else None."""


@dataclass(slots=True)
class Futures:
    """All futures of the discs of one part of a network."""

    known: list[Future] = field(default_factory=list)
    """By number; a future comes after those that it leads to."""
    first: dict[int, int] = field(default_factory=dict)
    """Class -> number of the future that its discs have at the counter."""
    discs: dict[int, int] = field(default_factory=dict)
    """Number of a future -> how many discs begin with it."""
    is_possible: bool = True
    """False if the discs of some class have no way at all."""


def futures_of(network: Network, part: int) -> Futures:
    """The futures of one part; read once and kept with the network.

    Raises:
        NotSolved: they were not read yet, and there is no time left for it.
    """
    if part not in network.futures:
        network.futures[part] = _Reader(network).read(part)
    return network.futures[part]


@dataclass(frozen=True, slots=True)
class _Shared:
    """The events that classes have in common at the end, read backwards."""

    events: Sequence[Event]
    """The events of a class that has them."""
    length: int
    """How many they are."""
    there: Mapping[str, int]
    """By place, the future of the discs that are there before them."""

    def is_end_of(self, events: Sequence[Event]) -> bool:
        """Return whether a class has them, and nothing more in common with the class they were read of."""
        length = self.length
        return (
            length > 0
            and len(events) >= length
            and events[len(events) - length :] == self.events[len(self.events) - length :]
        )


def _alike(one: Sequence[Event], other: Sequence[Event]) -> int:
    """How many events two classes have in common at the end; they are the same objects."""
    length = 0
    for mine, theirs in zip(reversed(one), reversed(other), strict=False):
        if mine is not theirs:
            break
        length += 1
    return length


class _Reader:
    """Reads the futures of one part."""

    def __init__(self, network: Network) -> None:
        self._network = network
        self._found = Futures()
        self._numbers: dict[Future, int] = {}
        # Hundreds of stacks that were put on one table have thousands of events in common, which are read once.
        self._shared: dict[tuple[bool, frozenset[str]], _Shared] = {}

    def read(self, part: int) -> Futures:
        found = self._found
        for one in self._network.parts[part].classes:
            self._network.budget.require()
            first = self._first(one)
            if first is None:
                found.is_possible = False
                continue
            found.first[one] = first
            found.discs[first] = found.discs.get(first, 0) + len(self._network.classes[one].strokes)
        return found

    def _first(self, number: int) -> int | None:
        """The future of a class at the counter; None if its events leave it no way."""
        one = self._network.classes[number]
        shared = self._shared.get((one.suspect, one.ends))
        if shared is None:
            shared = self._shared[one.suspect, one.ends] = _Shared(one.events, 0, self._ends(one))
        elif not shared.is_end_of(one.events):
            # What both have at the end is read once more, for this class and those to come.
            length = _alike(shared.events, one.events)
            there = self._ends(one)
            self._back(there, one.events[len(one.events) - length :])
            shared = self._shared[one.suspect, one.ends] = _Shared(one.events, length, there)
        there = dict(shared.there)
        self._back(there, one.events[: len(one.events) - shared.length])
        return there.get(DiscPlace.COUNTER)

    def _ends(self, one: StrokeClass) -> dict[str, int]:
        """By place, the future of the discs that are there at the end; a place that is not in it can hold none."""
        return {
            place: self._number(Future(None, None, None, place if one.suspect else None))
            for place in sorted(one.ends)
        }

    def _back(self, there: dict[str, int], events: Sequence[Event]) -> None:
        """Read events backwards; `there` is then what it was before them."""
        steps = self._network.steps
        for event in reversed(events):
            source = steps[event.step].source
            go = there.get(steps[event.step].target)
            if event.whole:
                # All of them went, so none can have been anywhere else, and nothing is left to choose.
                there.clear()
                if go is not None:
                    there[source] = go
                continue
            stay = None if event.empties else there.get(source)
            if event.goes and go is not None:
                there[source] = self._number(Future(event.step, stay, go, None))
            elif stay is None:
                there.pop(source, None)

    def _number(self, future: Future) -> int:
        number = self._numbers.setdefault(future, len(self._numbers))
        if number == len(self._found.known):
            self._found.known.append(future)
        return number


def by_class(network: Network, part: int, went: Mapping[int, int]) -> dict[tuple[int, int], int]:
    """Turn numbers of discs by future into numbers by step and class.

    Args:
        network: the movements.
        part: the part looked at.
        went: future -> how many discs went; futures left out are 0.

    Returns:
        (step, class) -> discs of the class that went with the step, where any did.
    """
    futures = futures_of(network, part)
    # By future, the discs that have it: [class, how many]. A future leads to lower numbers only.
    having: dict[int, list[list[int]]] = {}
    for one, first in futures.first.items():
        having.setdefault(first, []).append([one, len(network.classes[one].strokes)])
    moved: dict[tuple[int, int], int] = {}
    for number in range(len(futures.known) - 1, -1, -1):
        future, here = futures.known[number], having.pop(number, None)
        if here is None or future.step is None:
            continue
        assert future.go is not None
        for one, count in _take(here, went.get(number, 0)):
            moved[future.step, one] = moved.get((future.step, one), 0) + count
            having.setdefault(future.go, []).append([one, count])
        if here:
            assert future.stay is not None
            # Mostly nothing else leads there, and then the list is handed on as it is.
            having[future.stay] = having[future.stay] + here if future.stay in having else here
    return moved


def _take(here: list[list[int]], count: int) -> list[list[int]]:
    """Take so many discs away, of the classes that come last."""
    taken: list[list[int]] = []
    while count:
        one, there = here[-1]
        some = min(count, there)
        taken.append([one, some])
        count -= some
        if some == there:
            here.pop()
        else:
            here[-1][1] = there - some
    return taken

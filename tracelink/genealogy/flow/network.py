"""The movements of one lot as a network in time, for classes of discs that the records cannot tell apart.

Theory of operation. A movement with a range of strokes carries only discs of that range; so discs that lie in
the same ranges, and are alike suspect or clean, may be exchanged for each other without breaking a record.
They form a *class*. An assignment says how many discs of each class went with each movement; it fits the
records if every movement carried its count, out of discs that were at its source by then. Counts of classes
are therefore all there is to say, and bounds over them are exact.

Much is settled by reading on: a range with as many discs as strokes takes all of them, and a place that is
emptied keeps none. Reading on in journal order gives, for each class, the places where discs of it can be at
each time. What is left open are the movements that several classes could have gone with. Classes that meet in
such a movement depend on each other; they form a *part*, and the parts are solved one by one.

Nothing here solves anything: building a network costs one pass over the movements, so a certificate is checked
against it without trusting the solver that found it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from tracelink.genealogy.model.facts import COUNTER, CUSTOMERS, MovementFact
from tracelink.genealogy.model.strokes import Span, StrokeSet


@dataclass(frozen=True, slots=True)
class NetworkStep:
    """A movement as the network reads it."""

    source: str
    """The place discs left."""
    target: str
    """The place they entered."""
    quantity: int | None
    """How many went; None if any number may have."""
    strokes: StrokeSet | None
    """The strokes it can have carried; None for any."""
    seq: int
    """Journal sequence."""
    line: int
    """Position in the entry."""

    @classmethod
    def of(cls, move: MovementFact) -> NetworkStep:
        """The step of a recorded movement."""
        named = None
        if move.first is not None and move.last is not None:
            named = StrokeSet.between(move.first, move.last)
        return cls(move.source, move.target, move.quantity, named, move.seq, move.line)

    @property
    def clears(self) -> bool:
        """Whether nothing is left at the source by what the source is: customers give up just what comes back."""
        return self.source == CUSTOMERS and self.quantity is not None

    @property
    def takes_all(self) -> bool:
        """Whether it names exactly the discs that went."""
        return self.strokes is not None and len(self.strokes) == self.quantity


@dataclass(frozen=True, slots=True)
class Event:
    """What a step means for one class."""

    step: int
    """Number of the step."""
    whole: bool
    """True if every disc of the class went; else some number of them, 0 or more."""
    goes: bool
    """False if no disc of the class can have gone, and this is about what is left at the source."""
    empties: bool
    """True if no disc of the class is at the source afterwards."""


@dataclass(slots=True)
class StrokeClass:
    """Discs that fit the same records."""

    strokes: StrokeSet
    """Its discs."""
    suspect: bool
    """Whether they count."""
    events: list[Event] = field(default_factory=list)
    """In journal order."""
    ends: frozenset[str] = frozenset()
    """The places where discs of it can be at the end."""
    part: int | None = None
    """Number of its part; None if it is known where all its discs are."""


@dataclass(frozen=True, slots=True)
class NetworkPart:
    """Classes that depend on each other, and the steps in which they do."""

    classes: tuple[int, ...]
    """Numbers of classes."""
    steps: tuple[int, ...]
    """Numbers of the steps that some of their discs went with."""
    ends: frozenset[str]
    """The places where discs of it can be at the end."""


@dataclass(slots=True)
class Network:
    """All movements of one lot, read in journal order."""

    steps: tuple[NetworkStep, ...]
    """The movements."""
    classes: list[StrokeClass]
    """In order of their first strokes."""
    rest: list[int | None]
    """By step: how many discs of open classes went, that is the count without the classes that went whole."""
    parts: list[NetworkPart]
    """What is left open, in independent pieces."""
    wrong: int | None = None
    """The step at which reading on fails, because no assignment can satisfy it."""

    def size(self, part: int) -> int:
        """How many unknown numbers a part has."""
        classes = [self.classes[number] for number in self.parts[part].classes]
        return sum(event.goes and not event.whole for one in classes for event in one.events)

    def counts(self, part: int) -> bool:
        """Whether a part has suspects; one without adds nothing to any bound."""
        return any(self.classes[number].suspect for number in self.parts[part].classes)

    def touching(self, places: frozenset[str]) -> list[int]:
        """The parts that can have discs in some of the places."""
        return [number for number, part in enumerate(self.parts) if part.ends & places]

    def settled(self, places: frozenset[str]) -> int:
        """Suspects in the places, of classes whose place is known."""
        return sum(
            len(one.strokes)
            for one in self.classes
            if one.part is None and one.suspect and one.ends <= places
        )


def network_of(pressed: StrokeSet, steps: Iterable[NetworkStep], suspects: StrokeSet) -> Network:
    """Read movements that are given in journal order.

    Args:
        pressed: the strokes counted at the press; all of them start at the counter.
        steps: the movements of one lot.
        suspects: the strokes that count as affected.
    """
    taken = tuple(steps)
    classes = list(_classes(pressed, taken, suspects))
    reader = _StepReader(classes, taken)
    wrong = reader.read()
    for number, one in enumerate(classes):
        one.ends = frozenset(reader.at[number])
    return Network(taken, classes, reader.rest, _parts(classes, taken) if wrong is None else [], wrong)


def _classes(pressed: StrokeSet, steps: Sequence[NetworkStep], suspects: StrokeSet) -> Iterator[StrokeClass]:
    """Cut the strokes where a range begins or ends, and join pieces that lie in the same ranges."""
    changes: dict[int, list[int]] = {}
    sets = [*(step.strokes for step in steps), suspects, pressed]
    for number, strokes in enumerate(sets):
        for span in strokes.spans if strokes is not None else ():
            changes.setdefault(span.first, []).append(number)
            changes.setdefault(span.last + 1, []).append(number)
    inside: set[int] = set()
    pieces: dict[frozenset[int], list[Span]] = {}
    cuts = sorted(changes)
    for cut, until in zip(cuts, [*cuts[1:], 0], strict=True):
        inside.symmetric_difference_update(changes[cut])
        if len(steps) + 1 in inside:
            pieces.setdefault(frozenset(inside), []).append(Span(cut, until - 1))
    for within, spans in pieces.items():
        yield StrokeClass(StrokeSet.of(*spans), len(steps) in within)


class _StepReader:
    """Reads steps in order and notes where each class can be."""

    def __init__(self, classes: Sequence[StrokeClass], steps: Sequence[NetworkStep]) -> None:
        self._classes = classes
        self._steps = steps
        self.at: list[set[str]] = [{COUNTER} for _ in classes]
        self.rest: list[int | None] = []
        self._who: dict[str, set[int]] = {COUNTER: set(range(len(classes)))}
        self._most: dict[str, int] = {COUNTER: sum(len(one.strokes) for one in classes)}
        self._within = {
            number: self._in_range(step.strokes)
            for number, step in enumerate(steps)
            if step.strokes is not None
        }

    def _in_range(self, strokes: StrokeSet) -> set[int]:
        # Classes lie wholly inside a range or wholly outside, so one stroke of each says which.
        return {number for number, one in enumerate(self._classes) if one.strokes.first in strokes}

    def read(self) -> int | None:
        """Read all steps; return the number of the first that cannot be true, if any."""
        for number, step in enumerate(self._steps):
            if not self._count(step):
                return number
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
            for left in sorted(self._at(step.source) - carried) if empties else ():
                self._note(left, Event(number, whole=False, goes=False, empties=True))
                self._leave(left, step.source)
                if not self.at[left]:
                    return number
        return None

    def _carried(self, number: int) -> set[int]:
        return self._within[number] if number in self._within else set(range(len(self._classes)))

    def _at(self, place: str) -> set[int]:
        return self._who.get(place, set())

    def _count(self, step: NetworkStep) -> bool:
        """Keep the greatest number of discs that each place can hold."""
        here = self._most.get(step.source, 0)
        gone = here if step.quantity is None else step.quantity
        self._most[step.source] = here if step.quantity is None else here - gone
        self._most[step.target] = self._most.get(step.target, 0) + gone
        return self._most[step.source] >= 0

    def _read_whole(self, number: int, step: NetworkStep, carried: set[int]) -> bool:
        assert step.strokes is not None
        known = sum(len(self._classes[one].strokes) for one in carried)
        if known < len(step.strokes) or not carried <= self._at(step.source):
            return False
        for one in sorted(carried):
            self._go_whole(one, number, step)
        self.rest.append(0)
        return True

    def _read_some(self, number: int, step: NetworkStep, able: set[int], empties: bool) -> bool:
        rest = step.quantity
        is_open = False
        for one in sorted(able):
            if empties and self.at[one] == {step.source}:
                self._go_whole(one, number, step)
                rest = None if rest is None else rest - len(self._classes[one].strokes)
                continue
            is_open = True
            self._note(one, Event(number, whole=False, goes=True, empties=empties))
            if empties:
                self._leave(one, step.source)
            self._enter(one, step.target)
        self.rest.append(rest)
        # Without an open class the count must come out even.
        return rest is None or rest == 0 or (rest > 0 and is_open)

    def _go_whole(self, one: int, number: int, step: NetworkStep) -> None:
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


def _parts(classes: Sequence[StrokeClass], steps: Sequence[NetworkStep]) -> list[NetworkPart]:
    """Join the classes that meet in a step which not all of their discs went with."""
    leader = list(range(len(classes)))

    def lead(one: int) -> int:
        while leader[one] != one:
            leader[one] = leader[leader[one]]
            one = leader[one]
        return one

    met: dict[int, int] = {}
    open_ones = [
        number
        for number, one in enumerate(classes)
        if any(event.goes and not event.whole for event in one.events)
    ]
    for number in open_ones:
        for event in classes[number].events:
            if event.goes and not event.whole:
                other = met.setdefault(event.step, number)
                if steps[event.step].quantity is not None:
                    # A step that may carry any number binds nothing.
                    leader[lead(number)] = lead(other)
    members: dict[int, list[int]] = {}
    for number in open_ones:
        members.setdefault(lead(number), []).append(number)
    return [_part(classes, number, found) for number, found in enumerate(members.values())]


def _part(classes: Sequence[StrokeClass], number: int, members: Sequence[int]) -> NetworkPart:
    steps: set[int] = set()
    ends: set[str] = set()
    for one in members:
        classes[one].part = number
        ends |= classes[one].ends
        steps |= {event.step for event in classes[one].events if event.goes and not event.whole}
    return NetworkPart(tuple(members), tuple(sorted(steps)), frozenset(ends))


def counted(steps: Sequence[NetworkStep]) -> dict[str, int]:
    """How many discs the movements leave in each place, by their counts alone; the counter starts at 0."""
    counts: dict[str, int] = {}
    for step in steps:
        if step.quantity is not None:
            counts[step.source] = counts.get(step.source, 0) - step.quantity
            counts[step.target] = counts.get(step.target, 0) + step.quantity
    return counts

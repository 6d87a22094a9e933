"""The movements of one lot as a network in time, for classes of discs that the records cannot tell apart.

Theory of operation. A movement with a range of strokes carries only discs of that range; so discs that lie in
the same ranges, and are alike suspect or clean, may be exchanged for each other without breaking a record.
They form a *class*. An assignment says how many discs of each class went with each movement; it fits the
records if every movement carried its count, out of discs that were at its source by then. Counts of classes
are therefore all there is to say, and bounds over them are exact.

Here is what a network is; `read_network.py` makes one out of movements. Neither solves anything, so a
certificate is checked against a network without trusting the solver that found it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from tracelink.genealogy.flow.budget import Budget, no_limit
from tracelink.genealogy.model.facts import MovementFact
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.ledger.closed_sets import DiscPlace

if TYPE_CHECKING:
    from tracelink.genealogy.flow.futures import Futures


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
    booked_from: str | None = None
    """The place that the record takes the discs from, where that is not `source`."""
    is_paired: bool = False
    """True if the step behind it is the same movement for touched discs (touched_layers.py): `quantity` counts both."""
    is_beside: bool = False
    """True if it is that other step."""
    empties: bool = False
    """True if nothing is left at the source, as its counts say or because all that was there was touched."""

    @classmethod
    def of(cls, move: MovementFact) -> NetworkStep:
        """The step of a recorded movement."""
        named = None
        if move.first is not None and move.last is not None:
            named = StrokeSet.between(move.first, move.last)
        return cls(move.source, move.target, move.quantity, named, move.seq, move.line)

    @property
    def clears(self) -> bool:
        """True if nothing is left at the source for certain: customers give up just what comes back."""
        return self.empties or (self.source == DiscPlace.CUSTOMERS and self.quantity is not None)

    @property
    def takes_all(self) -> bool:
        """True if it names exactly the discs that went, and goes one way."""
        return self.strokes is not None and len(self.strokes) == self.quantity and not self.is_paired


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
    """True if they count."""
    events: list[Event] = field(default_factory=list)
    """Steps and what each means for the class, in journal order."""
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
    """Classes of strokes, in the order of their first strokes."""
    rest: list[int | None]
    """By step: how many discs of open classes went, that is the count without the classes that went whole."""
    parts: list[NetworkPart]
    """What is left open, in independent pieces."""
    wrong: int | None = None
    """The step at which reading on fails, because no assignment can satisfy it."""
    futures: dict[int, Futures] = field(default_factory=dict)
    """By part, what its discs can do (futures.py), as far as it was asked for."""
    budget: Budget = field(default_factory=no_limit)
    """The time there is to read on."""

    def counts(self, part: int) -> bool:
        """Return whether a part has suspects; one without adds nothing to any bound."""
        return any(self.classes[number].suspect for number in self.parts[part].classes)

    def counted_at(self, step: int) -> int:
        """The step that holds the count of a step: of two that are one movement, the first."""
        return step - 1 if self.steps[step].is_beside else step

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


def counted(steps: Sequence[NetworkStep]) -> dict[str, int]:
    """How many discs the records leave in each place, by their counts alone; the counter starts at 0."""
    counts: dict[str, int] = {}
    for step in steps:
        if step.quantity is not None:
            source = step.booked_from or step.source
            counts[source] = counts.get(source, 0) - step.quantity
            counts[step.target] = counts.get(step.target, 0) + step.quantity
    return counts

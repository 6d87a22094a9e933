"""Discs that were taken back: the very ones of an earlier movement, not any disc of the place they had come to.

Theory of operation. UNDO at a line takes back the last match, a REJECT or an unfinished set: the disc that the packer
had just put somewhere. Nothing else can have been done with that disc in between. So it is followed as if it had
been in a place of its own from the one movement to the other: the earlier movement is parted into what stayed and what
was taken back. Which movement that was is the last one the other way, because a line undoes its acts backwards.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from tracelink.genealogy.model.facts import MovementFact
from tracelink.ledger.closed_sets import MovementSense


@dataclass(frozen=True, slots=True)
class MovementWay:
    """Some or all discs of a movement, and between which places they are followed."""

    quantity: int
    """Number of discs."""
    source: str
    """The place they leave."""
    target: str
    """The place they enter."""


@dataclass(slots=True)
class _Parted:
    """A movement and how it is followed."""

    movement: MovementFact
    stayed: int
    """Discs of it that nobody took back."""
    back: list[MovementWay] = field(default_factory=list)
    """The others, each with the place of its own; for a movement that takes back, where they come from."""


def ways_of(
    movements: Iterable[MovementFact],
) -> Iterator[tuple[MovementFact, tuple[MovementWay, ...] | None]]:
    """Yield each movement with the ways of its discs; None where none of the lot was ever taken back: it went as recorded.

    Args:
        movements: of one lot, in order.
    """
    movements = list(movements)
    if not any(move.sense is not None and move.sense == MovementSense.TAKEN_BACK for move in movements):
        yield from ((move, None) for move in movements)
        return
    parted: list[_Parted] = []
    by_ends: dict[tuple[str, str], list[_Parted]] = {}
    for move in movements:
        one = _Parted(move, move.quantity)
        if move.sense == MovementSense.TAKEN_BACK:
            _take_back(one, by_ends.get((move.target, move.source), []))
        else:
            by_ends.setdefault((move.source, move.target), []).append(one)
        parted.append(one)
    for one in parted:
        yield one.movement, (*_stayed(one.movement, one.stayed), *one.back)


def _stayed(move: MovementFact, quantity: int) -> tuple[MovementWay, ...]:
    return (MovementWay(quantity, move.source, move.target),) if quantity else ()


def _take_back(one: _Parted, earlier: list[_Parted]) -> None:
    move = one.movement
    while one.stayed and earlier:
        last = earlier[-1]
        quantity = min(one.stayed, last.stayed)
        own = f"{move.source}, taken back by entry {move.seq}"
        if quantity:
            last.back.append(MovementWay(quantity, move.target, own))
            one.back.append(MovementWay(quantity, own, move.target))
            last.stayed -= quantity
            one.stayed -= quantity
        if not last.stayed:
            earlier.pop()

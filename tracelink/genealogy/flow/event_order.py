"""The order in which movements happened, where the order of the journal does not say it.

A station books what it scans at once, so the order of the journal is the order on the floor; a log that was replayed late
comes after what had happened later. Mostly that changes nothing: what a lot's places hold does not depend on it. It does
once loose discs came back, because only what had left by then can have given them up. Such lots are followed by
the time of the event.

Clocks of stations differ. Where a movement comes by its time before the discs it carries, it waits until they
are there.
"""

from __future__ import annotations

from collections.abc import Sequence

from tracelink.genealogy.model.facts import MovementFact
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.times import instant


def in_order(movements: Sequence[MovementFact], pressed: int, head: int) -> list[MovementFact]:
    """Return the movements of one lot in the order in which they happened.

    Args:
        movements: in journal order.
        pressed: discs counted at the press.
        head: the last journal sequence; what comes after it lies in the spool and stays last.
    """
    customers = DiscPlace.CUSTOMERS.value
    if all(move.source != customers for move in movements):
        return list(movements)
    # Movements of one entry stay together in their order: a return comes in and is put aside in one act.
    times = {move.seq: instant(move.at) for move in movements}
    order = sorted(movements, key=lambda move: (move.seq > head, times[move.seq], move.seq, move.line))
    there = {DiscPlace.COUNTER.value: pressed}
    ordered: list[MovementFact] = []
    early: list[MovementFact] = []
    for move in order:
        early.append(move)
        _go(early, there, ordered)
    # What is left can never have been so; the conflict is told of where it is followed.
    return ordered + early


def _go(early: list[MovementFact], there: dict[str, int], ordered: list[MovementFact]) -> None:
    """Move on all that can go, the earliest first; one that goes may let another one go."""
    while (move := next((one for one in early if _can_go(one, there)), None)) is not None:
        early.remove(move)
        there[move.source] = there.get(move.source, 0) - move.quantity
        there[move.target] = there.get(move.target, 0) + move.quantity
        ordered.append(move)


def _can_go(move: MovementFact, there: dict[str, int]) -> bool:
    return move.source == DiscPlace.CUSTOMERS or there.get(move.source, 0) >= move.quantity

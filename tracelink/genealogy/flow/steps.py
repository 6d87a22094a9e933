"""The movements of a lot as steps of its network, with what nobody recorded but must have happened.

Loose discs that come back were sent in some carton, and which one is not recorded: the movement that brings them in has
the customers as its source. Before it, each carton of the lot that had been sent by then may have given up any
number of discs, and together just as many as came back. So they are in one place only, and the least that a
sent carton holds takes into account that it may be the one that was opened.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tracelink.genealogy.flow.network import NetworkStep
from tracelink.genealogy.model.facts import MovementFact
from tracelink.genealogy.model.records import Records
from tracelink.ledger.closed_sets import DiscPlace, ShipmentStatus


def steps_of(records: Records, movements: Iterable[MovementFact]) -> tuple[NetworkStep, ...]:
    """The steps of one lot.

    Args:
        records: to know which cartons had been sent.
        movements: the lot's movements in journal order.
    """
    return tuple(_steps(records, movements))


def _steps(records: Records, movements: Iterable[MovementFact]) -> Iterator[NetworkStep]:
    reached: dict[str, None] = {}
    for move in movements:
        if move.source == DiscPlace.CUSTOMERS:
            yield from _given_up(records, reached, move)
        reached[move.target] = None
        yield NetworkStep.of(move)


def _given_up(records: Records, places: Iterable[str], move: MovementFact) -> Iterator[NetworkStep]:
    sent = [place for place in places if was_sent(records, place, move.seq)]
    for number, place in enumerate(sent, 1):
        # Lines count down from 0, so that no recorded movement has the same.
        yield NetworkStep(place, DiscPlace.CUSTOMERS, None, None, move.seq, move.line - number * _APART)


_APART = 1_000_000
"""More lines than an entry has."""


def was_sent(records: Records, code: str, seq: int) -> bool:
    """Whether something stood in a shipment that has left, when an entry was written.

    When it left is not asked: a return names what has been sent, and what is still being loaded cannot come back.

    Args:
        records: the records.
        code: a carton, pallet or shipment.
        seq: journal sequence of the entry.
    """
    seen: set[str] = set()
    todo = [code]
    while todo:
        one = todo.pop()
        if one in seen:
            continue
        seen.add(one)
        if records.shipment(one) is not None:
            fact = records.container(one)
            if fact is not None and fact.status == ShipmentStatus.SHIPPED:
                return True
        todo += [
            nest.parent
            for nest in records.parents_of(one)
            if nest.opened < seq and (nest.closed is None or nest.closed >= seq)
        ]
    return False

"""Containment of a carton, pallet, shipment or sleeve batch.

Here the fault sits in the packing: discs are suspect by where they are, not by their strokes. The next carton
of the same spindle is not touched, whatever strokes it holds, so there is nothing to narrow and nothing to
divide: every disc in the container may be affected, and none must be.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tracelink.genealogy.containment.given_evidence import judgements_for
from tracelink.genealogy.containment.make_scope import Found, make_scope, place_discs
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.flow.follow import history_of
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.flow.pools import History
from tracelink.genealogy.model.records import Records
from tracelink.ledger.count_words import kind_words, words_of_all

DIRECT_KINDS = frozenset({"carton", "pallet", "shipment", "location", "sleeve-batch"})
"""Causes that are followed by place."""


@dataclass(frozen=True, slots=True)
class PlaceHoldings:
    """Discs that are suspect by their place."""

    pieces: Mapping[tuple[str, str], int]
    """(place, lot) -> discs there now."""

    def bound(self, places: Iterable[str]) -> Bound:
        """Any number of the discs in the places may be affected."""
        wanted = set(places)
        return _any_of(sum(count for (place, _), count in self.pieces.items() if place in wanted))

    def of_lot(self, lot: str, places: Iterable[str]) -> Bound:
        """The same for the discs of one lot."""
        return _any_of(sum(self.pieces.get((place, lot), 0) for place in set(places)))

    def held(self) -> list[tuple[str, str]]:
        """(place, lot) pairs that hold discs."""
        return list(self.pieces)

    def of_place(self, lot: str, place: str) -> Bound:
        """The same for one place."""
        return self.of_lot(lot, [place])

    def mark_unclaimed(self, places: Iterable[str]) -> None:
        """Nothing to note: of any place any number of discs may be affected."""


def _any_of(pieces: int) -> Bound:
    return Bound(pieces, 0, pieces, None if pieces else 0.0, tight=True)


def contain_directly(records: Records, query: ContainmentQuery, kind: str) -> Scope:
    """Contain a cause that sits in the packing; shape, defect and evidence narrow nothing.

    Args:
        records: the records.
        query: about a carton, pallet, shipment, location or sleeve batch.
        kind: which of them.
    """
    cause = query.cause
    cartons = cartons_of(records, cause, kind)
    histories = _histories(records, cartons)
    holdings = PlaceHoldings(
        {
            (place, lot): history.at[place].count
            for lot, history in histories.items()
            for place in cartons
            if place in history.at
        }
    )
    lots = tuple(dict.fromkeys(lot for _, lot in holdings.pieces))
    # Looked at all the same: a disc that does not exist, or a defect that nobody found, is a slip of the pen.
    evidence, _ = judgements_for(records, query, cause, lots, dict.fromkeys(lots))
    words = words_of_all(lots)
    reason = (
        f"The {words.many} in {kind_words(kind)} {cause} are suspect by where they are and not by {words.number}: every {words.one} counted there may "
        f"be affected, and judged samples narrow nothing."
    )
    found = Found(
        cause=cause,
        kind=kind,
        reasons=(reason,),
        total=holdings.bound(cartons),
        holdings=holdings,
        evidence=tuple(evidence),
        contradictions=tuple(text for history in histories.values() for text in history.conflicts),
        gaps_of_movements=tuple(_moved_out(histories, cartons)),
        co_affected=lots,
    )
    return make_scope(records, query, place_discs(records, holdings), found)


def cartons_of(records: Records, cause: str, kind: str) -> list[str]:
    """The cartons of the cause, also those that were taken out again: they were there."""
    if kind == "sleeve-batch":
        return list(records.sleeve_batch_cartons(cause))
    found = [cause]
    for code in found:
        # The list grows while it is read: cartons of the pallets of the shipment.
        found.extend(nest.child for nest in records.children_in(code) if nest.child not in found)
    return found


def _histories(records: Records, cartons: Iterable[str]) -> dict[str, History]:
    lots = dict.fromkeys(move.lot for place in cartons for move in records.movements_into(place))
    return {lot: history_of(records, lot) for lot in lots}


def _moved_out(histories: Mapping[str, History], cartons: Iterable[str]) -> list[str]:
    inside = set(cartons)
    return [
        f"Entry {move.seq} took {move.quantity} of lot {lot} from {move.source} to {move.target}; they are not counted "
        f"here. Follow {move.target}."
        for lot, history in histories.items()
        for move in (passage.movement for passage in history.passages)
        if move.source in inside and move.target not in inside
    ]

"""Containment of a carton, pallet, shipment or sleeve batch.

Here the fault sits in the packing: discs are suspect by where they are, not by their strokes. The next carton
of the same spindle is not touched, whatever strokes it holds, so there is nothing to narrow and nothing to
divide: every disc in the container may be affected, and none must be.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tracelink.genealogy.containment.holdings import Whereabouts, groups_of, places_of
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.flow.follow import history_of
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.flow.pools import History
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import Shape

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
        pieces = sum(count for (place, _), count in self.pieces.items() if place in wanted)
        return Bound(pieces, 0, pieces, None if pieces else 0.0, tight=True)


def contain_directly(records: Records, cause: str, kind: str, shape: Shape, defect: str | None) -> Scope:
    """Contain a cause that sits in the packing; `shape` and `defect` are only noted.

    Args:
        records: the records.
        cause: a carton, pallet, shipment, location or sleeve batch.
        kind: which of them.
        shape: as asked for.
        defect: as asked for.
    """
    cartons = cartons_of(records, cause, kind)
    histories = _histories(records, cartons)
    pieces = {
        (place, lot): history.at[place].count
        for lot, history in histories.items()
        for place in cartons
        if place in history.at
    }
    holdings = PlaceHoldings(pieces)
    whereabouts = Whereabouts(records)
    containers = tuple(
        whereabouts.container(place, lot, PlaceHoldings({(place, lot): count}).bound([place]))
        for (place, lot), count in pieces.items()
    )
    reason = (
        f"The discs in {kind.replace('-', ' ')} {cause} are suspect by where they are and not by stroke: every disc counted there may "
        f"be affected, and judged samples narrow nothing."
    )
    return Scope(
        cause=cause,
        kind=kind,
        shape=shape,
        defect=defect,
        window=None,
        reasons=(reason,),
        tiers=(),
        containers=containers,
        groups=tuple(groups_of(containers, holdings, whereabouts)),
        places=tuple(places_of(containers, holdings, holdings.bound(cartons))),
        contradictions=tuple(text for history in histories.values() for text in history.conflicts),
        gaps=(*whereabouts.gaps, *_moved_out(histories, cartons)),
        co_affected=tuple(dict.fromkeys(lot for _, lot in pieces)),
        suspects=(),
        head=records.head(),
        holdings=holdings,
    )


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

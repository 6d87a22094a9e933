"""Loose discs that came back, on a walk: which carton gave them up nobody recorded, so each that had left may have."""

from __future__ import annotations

from collections.abc import Sequence

from tracelink.genealogy.model.facts import MovementFact
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.walk.tree_builder import Discs, TreeBuilder
from tracelink.ledger.closed_sets import DiscPlace


def given_up(
    weave: TreeBuilder, move: MovementFact, senders: Sequence[str], reach: dict[str, StrokeSet]
) -> None:
    """Loose discs that came back were in some carton that had left; each that had may have given them up."""
    customers = weave.place(DiscPlace.CUSTOMERS, move.lot)
    for place in [place for place in reach if place in senders]:
        discs = Discs(move.lot, reach[place], min(move.quantity, len(reach[place])))
        weave.join(place, customers, "may have come loose at", discs)
        reach[DiscPlace.CUSTOMERS] = reach.get(DiscPlace.CUSTOMERS, NO_STROKES) | reach[place]


def taken_loose(
    weave: TreeBuilder,
    senders: Sequence[str],
    move: MovementFact,
    came: StrokeSet,
    wanted: dict[str, StrokeSet],
) -> None:
    """Back from loose discs to every carton of the lot that had left by then."""
    customers = weave.place(DiscPlace.CUSTOMERS, move.lot).code
    for place in senders:
        wanted[place] = wanted.get(place, NO_STROKES) | came
        discs = Discs(move.lot, came, min(move.quantity, len(came)))
        weave.join(customers, weave.place(place, move.lot), "may have come loose from", discs)

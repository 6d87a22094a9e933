"""Parts on a walk: part lots, the reels that were made of them, and the build orders that took their positions."""

from __future__ import annotations

from collections.abc import Iterator

from tracelink.genealogy.model.cause_kinds import part_lot_node
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.walk.tree_builder import Discs, TreeBuilder
from tracelink.ledger.closed_sets import DiscPlace


def reels_of(weave: TreeBuilder, part_lot: str) -> Iterator[tuple[str, StrokeSet]]:
    """Join the reels and trays that have parts of a lot; yield each with those positions."""
    for item in weave.records.reels_with(part_lot):
        weave.join(part_lot, weave.lot(item.reel), "is on", Discs(item.reel, item.positions))
        yield item.reel, item.positions


def found_by_mistake(weave: TreeBuilder, reel: str) -> Iterator[tuple[str, StrokeSet]]:
    """Join the pieces that may have parts of a reel which was found in the slot of another; yield them."""
    for build, first, last in weave.records.found_by_mistake(reel):
        pieces = StrokeSet.between(first, last)
        weave.join(reel, weave.lot(build), "may have been placed on", Discs(build, pieces))
        yield build, pieces


def part_lots_of(weave: TreeBuilder, reel: str, positions: StrokeSet) -> None:
    """Back from positions of a reel to the part lots that they are of."""
    for item in weave.records.reel_items(reel):
        met = item.positions & positions
        lot = weave.records.part_lot(item.part_lot)
        if met and lot is not None:
            weave.join(reel, part_lot_node(lot), "made of", Discs(reel, met))


def taken_by(weave: TreeBuilder, build: str) -> Iterator[tuple[str, StrokeSet]]:
    """Join the reels whose parts a build order took; yield each with the positions that may be those."""
    for move in weave.records.taken_by(build):
        if move.source != DiscPlace.COUNTER:
            continue
        positions = weave.history(move.reel).pressed
        if move.first is not None and move.last is not None:
            positions &= StrokeSet.between(move.first, move.last)
        weave.join(build, weave.lot(move.reel), "took", Discs(move.reel, positions, move.quantity))
        yield move.reel, positions

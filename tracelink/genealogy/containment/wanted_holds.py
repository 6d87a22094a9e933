"""What to hold for a scope."""

from __future__ import annotations

from dataclasses import dataclass

from tracelink.genealogy.containment.held import BEYOND, ContainerBound
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.ledger.parts.piece_places import pieces_of_place


@dataclass(frozen=True, slots=True)
class HoldItem:
    """One thing to hold, or some strokes of a lot."""

    subject: str
    """Code of a container, pallet, shipment, tool or lot."""
    first: int | None
    """First stroke, if the subject is a lot."""
    last: int | None
    """Last stroke, if the subject is a lot."""


def holds_for(scope: Scope) -> list[HoldItem]:
    """What to hold, so that nothing suspect is used, packed or shipped.

    Every container, pallet and shipment in the plant that can hold an affected disc; the strokes of lots that
    are proven or possible, which catches discs that are not stacked yet; and under from-onset and whole-life
    the tool itself with what was grown from it and is not cleared, so that it presses no more. What has left
    the plant cannot be held: see `shipped_with`.

    Args:
        scope: a containment.
    """
    codes = [held.code for held in scope.containers if held.most and not held.shipped]
    codes += [
        group.code
        for group in scope.groups
        if group.bound.most and not group.shipped and group.kind not in BEYOND
    ]
    if scope.shape in (Shape.FROM_ONSET, Shape.WHOLE_LIFE):
        codes += scope.suspects
    items = [_item(code) for code in dict.fromkeys(codes)]
    suspect: dict[str, StrokeSet] = {}
    for tier in scope.tiers:
        if tier.name is not TierName.CLEARED:
            suspect[tier.lot] = suspect.get(tier.lot, NO_STROKES) | tier.strokes
    return items + [
        HoldItem(lot, span.first, span.last) for lot, strokes in suspect.items() for span in strokes.spans
    ]


def _item(code: str) -> HoldItem:
    """A container as a whole; pieces of a build order by their numbers, because they have no label together."""
    pieces = pieces_of_place(code)
    return HoldItem(code, None, None) if pieces is None else HoldItem(*pieces)


def shipped_with(scope: Scope) -> list[ContainerBound]:
    """The containers that can hold an affected disc and left the plant: for these, write to the consignee."""
    return [held for held in scope.containers if held.most and held.shipped]

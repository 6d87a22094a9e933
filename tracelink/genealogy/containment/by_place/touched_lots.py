"""Lots of which discs were touched on a spindle in a process step, when it was not known which strokes stood there.

Which discs may have been there is a tier of possible ones, with the number that did stand there. What places can hold of
them is exact, by a network in which touched discs are told apart (flow/touched_layers.py), and is certified like other bounds.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from tracelink.genealogy.containment.causes import Cause
from tracelink.genealogy.containment.holdings import LotHoldings
from tracelink.genealogy.containment.scope import Tier
from tracelink.genealogy.flow.exact import MOST, LotExact, Side
from tracelink.genealogy.flow.touched_layers import Touching, in_layers, touched_in
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.combine import Discs
from tracelink.genealogy.suspects.step_reach import Stood
from tracelink.ledger.count_words import counted


@dataclass(frozen=True, slots=True)
class TouchedLot:
    """The most touched discs of one lot, by its whole network."""

    touching: Touching
    """What touched them."""
    exact: LotExact
    """Asked for the most only: no disc that was followed by place is affected for certain."""

    def most(self, places: Iterable[str]) -> Side | None:
        """The most that some places together can hold; None if there was no time to find out."""
        return self.exact.side(frozenset(touched_in(place) for place in places), MOST)


def only_steps_by_place(causes: Sequence[Sequence[Cause]]) -> bool:
    """Return whether any cause may hold, and of those that are followed by place all are steps or equipment."""
    placed = [cause for clause in causes for cause in clause if cause.touched is not None]
    return len(causes) == 1 and bool(placed) and all(cause.stood for cause in placed)


def touched_lots(
    lots: Mapping[str, LotHoldings], stood: Sequence[Stood], known: Discs, good: Discs
) -> dict[str, TouchedLot]:
    """Prepare the lots of which discs stood in steps; those with conflicts have no network.

    Args:
        lots: the lots in question, with what is suspect of them by stroke.
        stood: what stood in the steps.
        known: discs that the causes touched by stroke.
        good: discs that were judged good.
    """
    found = {}
    for lot, may in _may_have_stood(stood).items():
        held = lots.get(lot)
        if held is None or held.conflicts:
            continue
        touching = Touching(
            held.exact.suspect, tuple(sorted((one.seq, one.place) for one in stood if one.lot == lot))
        )
        spared = good.get(lot, NO_STROKES) | (known.get(lot, NO_STROKES) - held.exact.suspect)
        suspect = held.exact.suspect | (may - spared)
        found[lot] = TouchedLot(touching, _exact(held, touching, suspect))
    return found


def _exact(held: LotHoldings, touching: Touching, suspect: StrokeSet) -> LotExact:
    steps = in_layers(held.history.pressed, held.exact.steps, touching)
    return LotExact(held.history.pressed, lambda: steps, held.exact.proven, suspect, held.exact.budget)


def _may_have_stood(stood: Iterable[Stood]) -> dict[str, StrokeSet]:
    found: dict[str, StrokeSet] = {}
    for one in stood:
        found[one.lot] = found.get(one.lot, NO_STROKES) | one.strokes
    return found


def tiers_of_stood(stood: Sequence[Stood], known: Discs, good: Discs) -> Iterator[Tier]:
    """Yield what may have stood in the steps, apart from what is known by stroke.

    Args:
        stood: what stood in the steps.
        known: discs that the causes touched by stroke; they have tiers of their own.
        good: discs that were judged good.
    """
    for lot, may in _may_have_stood(stood).items():
        of_lot = [one for one in stood if one.lot == lot]
        strokes = may - known.get(lot, NO_STROKES)
        cleared = strokes & good.get(lot, NO_STROKES)
        discs = sum(one.count for one in of_lot)
        spindles = ", ".join(dict.fromkeys(one.place for one in of_lot))
        possible = strokes - cleared
        if possible:
            most = min(discs, len(possible))
            yield Tier(
                TierName.POSSIBLE,
                lot,
                possible,
                f"may have stood on {spindles} in a step; which did was not recorded, {counted(most, 'disc')} at most",
                most,
            )
        if cleared:
            yield Tier(
                TierName.CLEARED, lot, cleared, "judged good, and says nothing of the others in the step"
            )

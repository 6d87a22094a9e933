"""Bounds for causes of which some are followed by stroke and some by place.

Where a cause is followed by place (spread.py) it is known how many discs it may have touched and not which. Under
*or* a place holds at most the discs that are suspect by stroke and those that were touched elsewhere, together.
Under *and* it holds at most as many as each clause alone allows, and none for sure. Both always hold; they are
called exact only where nothing by place comes into them, or where the whole network of a lot says so (touched_lots.py),
as it does for spindles that went through a step. A sample that was judged good holds none, whatever touched
it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from tracelink.genealogy.containment.by_place.spread import Spread
from tracelink.genealogy.containment.by_place.touched_lots import TouchedLot
from tracelink.genealogy.containment.holdings import StrokeHoldings
from tracelink.genealogy.flow.pool_bounds import Bound, together


@dataclass(frozen=True, slots=True)
class PlacedClause:
    """One clause that has causes followed by place."""

    strokes: StrokeHoldings | None
    """What its other causes touched by stroke; None if it has none."""
    touched: Mapping[str, int]
    """Lot -> how many discs that is."""
    spreads: tuple[Spread, ...]
    """Discs that those causes touched, lot by lot."""


@dataclass(frozen=True, slots=True)
class MixedHoldings:
    """Discs that are suspect by stroke, by place, or only by both."""

    strokes: StrokeHoldings
    """Every lot in question, with what is suspect of it by stroke."""
    suspects: Mapping[str, tuple[int, int]]
    """Lot -> discs proven, and discs proven or possible, by stroke."""
    parts: tuple[PlacedClause, ...]
    """Clauses with causes followed by place; none if all are followed by stroke."""
    every: bool
    """True if all clauses must hold; else there is one only."""
    whole: bool
    """True if some clause is followed by stroke alone, so that `strokes` bounds the discs under `every`."""
    spared: frozenset[str] = frozenset()
    """Samples whose disc was judged good: places that hold no affected disc."""
    networks: Mapping[str, TouchedLot] = field(default_factory=dict)
    """Lots whose touched discs are bounded by a whole network; only where any clause may hold."""

    def bound(self, places: Iterable[str]) -> Bound:
        """The bounds of some places together."""
        if not self.parts:
            return self.strokes.bound(places)
        wanted = frozenset(places)
        return together(self.of_lot(lot, wanted) for lot in self.strokes.lots)

    def of_lot(self, lot: str, places: Iterable[str]) -> Bound:
        """The same for the discs of one lot."""
        wanted = frozenset(places)
        bound = self.strokes.of_lot(lot, wanted)
        if not self.parts:
            return bound
        open_to = bound.pieces - self.strokes.of_lot(lot, wanted & self.spared).pieces
        wanted -= self.spared
        if not self.every:
            (part,) = self.parts
            elsewhere = _elsewhere(part.spreads, lot, wanted)
            if not elsewhere:
                return bound
            most = min(open_to, bound.most + elsewhere)
            wider = replace(bound, most=most, chance=None, tight=False)
            return self._narrowed(wider, lot, wanted, is_least_tight=bound.tight)
        limits = [bound.most] if self.whole else []
        limits += [self._part(part, lot, wanted, open_to) for part in self.parts]
        most = min(limits)
        return Bound(bound.pieces, 0, most, None if most else 0.0, tight=not most)

    def _narrowed(self, bound: Bound, lot: str, places: frozenset[str], *, is_least_tight: bool) -> Bound:
        """The narrower of a bound and of what the lot's whole network says; what is not claimed has no part in it."""
        network = self.networks.get(lot)
        side = None if network is None else network.most(places - self.strokes.unclaimed)
        if side is None:
            return bound
        at = self.strokes.lots[lot].history.at
        open_to = sum(at[place].count for place in places & self.strokes.unclaimed if place in at)
        most = min(bound.most, side.value + open_to)
        return replace(bound, most=most, tight=side.tight and is_least_tight and not open_to)

    def total(self) -> Bound:
        """All discs of the lots in question, wherever they are or went."""
        return together(self._total(lot) for lot in self.strokes.lots)

    def of_place(self, lot: str, place: str) -> Bound:
        """The same for one place."""
        return self.of_lot(lot, [place])

    def mark_unclaimed(self, places: Iterable[str]) -> None:
        """Note places whose content is not known any more."""
        self.strokes.mark_unclaimed(places)

    def held(self) -> list[tuple[str, str]]:
        """(place, lot) pairs that hold discs, apart from the counter and scrap."""
        return self.strokes.held()

    def _part(self, part: PlacedClause, lot: str, places: frozenset[str], pieces: int) -> int:
        by_stroke = 0
        if part.strokes is not None and lot in part.strokes.lots:
            by_stroke = part.strokes.of_lot(lot, places).most
        return min(pieces, by_stroke + _elsewhere(part.spreads, lot, places))

    def _total(self, lot: str) -> Bound:
        held = self.strokes.lots[lot]
        pieces = len(held.history.pressed)
        least, most = self.suspects.get(lot, (0, 0))
        if not self.parts:
            return Bound(pieces, least, most, None, tight=True)
        if not self.every:
            (part,) = self.parts
            elsewhere = sum(spread.total.get(lot, 0) for spread in part.spreads)
            bound = Bound(pieces, least, min(pieces, most + elsewhere), None, tight=not elsewhere)
            return self._narrowed(bound, lot, frozenset(held.history.at), is_least_tight=True)
        limits = [most] if self.whole else []
        for part in self.parts:
            elsewhere = sum(spread.total.get(lot, 0) for spread in part.spreads)
            limits.append(min(pieces, part.touched.get(lot, 0) + elsewhere))
        return Bound(pieces, 0, min(limits), None, tight=not min(limits))


def _elsewhere(spreads: Sequence[Spread], lot: str, places: frozenset[str]) -> int:
    return sum(spread.most(lot, places) for spread in spreads)

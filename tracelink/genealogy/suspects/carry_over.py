"""Compound that stays in a press's hopper after a change, and gets into the discs of the next one.

After the last disc that was pressed with a compound lot, the next discs on the same press still hold some of
it. How much nobody records. Two models stand beside each other (quality/hopper.py): in a stirred hopper, or one that is
like several stirred tanks in a row, the share falls with every disc and never ends, so it is followed down to a share
that the plant sets; first in, first out it ends after one filling. The discs down to that share are possible, never proven and
never cleared by the model. The hopper is taken to have been full of the lot, which may be more than there was.
A recorded emptying of the hopper ends it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

from tracelink.genealogy.model.facts import SegmentFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import Span, StrokeSet
from tracelink.ledger.count_words import grouped, in_percent
from tracelink.quality.hopper import MOST_TANKS, first_out_pieces, stirred_left, stirred_pieces


@dataclass(frozen=True, slots=True)
class Carried:
    """Discs of one lot that may hold what was left of a compound lot in the hopper."""

    compound: str
    """The compound lot that was left."""
    press: str
    """The press with the hopper."""
    lot: str
    """The lot pressed from it."""
    strokes: StrokeSet
    """The discs, one unbroken span."""
    largest: float
    """Share of the old compound in the first of them, stirred, 0 to 1."""
    smallest: float
    """Share in the last of them."""
    first_out: int | None
    """The last stroke that can hold any of it if nothing mixes; None if that is before these discs."""
    hopper_g: int
    """Mass of pellets in the hopper, grams."""
    disc_g: int
    """Mass of pellets for one disc, grams."""
    tanks: int
    """Stirred tanks in a row that the hopper is like."""
    blend: str = ""
    """How much of that compound is the cause, if it is a blend of it, as a clause; else empty."""
    blend_permille: int = 1000
    """The most of the cause in that compound, in thousandths, rounded up."""

    @property
    def share_permille(self) -> int:
        """The most of the cause in the material of the first of them, in thousandths, rounded up."""
        return ceil(self.largest * self.blend_permille)

    @property
    def reason(self) -> str:
        """Why the discs are possible, as a clause without a full stop."""
        ends = (
            f"first in, first out it would end at stroke {self.first_out}"
            if self.first_out is not None
            else "first in, first out it would have ended before"
        )
        row = f"hopper of {grouped(self.hopper_g)} g, like {self.tanks} stirred tanks in a row,"
        hopper = f"stirred hopper of {grouped(self.hopper_g)} g" if self.tanks == 1 else row
        return (
            f"pressed on {self.press} after compound {self.compound}: a {hopper} and discs of {self.disc_g} g leave "
            f"{in_percent(self.largest, 1)} of it in the first of these discs and {in_percent(self.smallest, 1)} in the last; {ends}{self.blend}"
        )


@dataclass(frozen=True, slots=True)
class Hoppers:
    """What was followed through the hoppers."""

    carried: tuple[Carried, ...]
    """By press, in the order in which the discs were pressed."""
    gaps: tuple[str, ...]
    """Why something was not followed."""


NO_HOPPER = Hoppers((), ())
"""For causes that are no compound."""


def carried_over(records: Records, compound: str) -> Hoppers:
    """Follow a compound lot through the hoppers of the presses that used it.

    Args:
        records: the records.
        compound: the compound lot.
    """
    used = records.segments_with(compound)
    presses = dict.fromkeys(segment.press for segment in used if segment.strokes)
    found: list[Carried] = []
    gaps: dict[str, None] = {}
    for press in presses:
        model = _hopper_of(records, compound, press)
        if isinstance(model, str):
            gaps[model] = None
        else:
            found += _on_press(records, compound, press, model)
    return Hoppers(tuple(found), tuple(gaps))


@dataclass(frozen=True, slots=True)
class _Hopper:
    hopper_g: int
    disc_g: int
    tanks: int
    reach: int
    """Discs until the share is below the one that is followed."""


def _hopper_of(records: Records, compound: str, press: str) -> _Hopper | str:
    """Return what the hopper of a press is taken to be; a sentence where its plant has not said."""
    hopper, disc = records.press_setting("hopper_g", press), records.press_setting("disc_g", press)
    permille = records.press_setting("carry_over_permille", press)
    tanks = records.press_setting("hopper_tanks", press)
    if not (hopper and disc and 0 < permille < 1000 and 1 <= tanks <= MOST_TANKS):
        return (
            f"What the hopper of a press holds is not set (hopper_g {hopper}, disc_g {disc}, hopper_tanks {tanks}, "
            f"carry_over_permille {permille}): discs pressed after a change from compound {compound} may still hold some of it and are in "
            f"no tier."
        )
    return _Hopper(hopper, disc, tanks, stirred_pieces(hopper, disc, permille / 1000, tanks))


def _on_press(records: Records, compound: str, press: str, hopper: _Hopper) -> Iterator[Carried]:
    """Walk a press's discs in order; `since` counts them from the last one made with the compound."""
    since: int | None = None
    emptied = records.emptied(press)
    for segment in _in_order(records.segments_with(press)):
        if segment.compound == compound:
            since = 0
        for span, fresh in _stretches(segment, emptied) if segment.compound != compound else ():
            if fresh:
                since = None
            if since is None or since >= hopper.reach:
                continue
            last = min(span.last, span.first + hopper.reach - since - 1)
            yield _carried(compound, segment, Span(span.first, last), since, hopper)
            since += len(span)
        if (segment.lot, segment.last) in emptied:
            # Emptied after its last disc: the next segment, of this lot or another, begins with nothing of it.
            since = None


def _in_order(segments: Sequence[SegmentFact]) -> list[SegmentFact]:
    made = [segment for segment in segments if segment.strokes]
    return sorted(made, key=lambda segment: (segment.seq, segment.first))


def _stretches(segment: SegmentFact, emptied: Sequence[tuple[str, int]]) -> Iterator[tuple[Span, bool]]:
    """A segment cut where the hopper was emptied; True for what came after an emptying."""
    cuts = sorted(
        after for lot, after in emptied if lot == segment.lot and segment.first - 1 <= after < segment.last
    )
    first, fresh = segment.first, False
    for after in cuts:
        if after >= first:
            yield Span(first, after), fresh
        first, fresh = after + 1, True
    yield Span(first, segment.last), fresh


def _carried(compound: str, segment: SegmentFact, span: Span, since: int, hopper: _Hopper) -> Carried:
    ends = span.first + first_out_pieces(hopper.hopper_g, hopper.disc_g) - since - 1
    return Carried(
        compound=compound,
        press=segment.press,
        lot=segment.lot,
        strokes=StrokeSet((span,)),
        largest=stirred_left(hopper.hopper_g, hopper.disc_g, since + 1, hopper.tanks),
        smallest=stirred_left(hopper.hopper_g, hopper.disc_g, since + len(span), hopper.tanks),
        first_out=min(ends, span.last) if ends >= span.first else None,
        hopper_g=hopper.hopper_g,
        disc_g=hopper.disc_g,
        tanks=hopper.tanks,
    )

"""What a built piece is built of, and what a judgement of it says about that.

A unit that fails a drop test says something about the boards in it and about the parts on them. A good one says that each of
them is good. A bad one says that at least one of them is bad, and nobody knows which: if several of one reel or order are in it,
the last one stands for them. That claims no more than is known. All of them are in the same unit, so a place holds as many
of them either way; and a fault that begins at some position has begun at the last one of them at the latest.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from tracelink.genealogy.model.facts import JudgementFact, UnreadJudgement
from tracelink.genealogy.model.strokes import StrokeSet


@dataclass(frozen=True, slots=True)
class BuiltOf:
    """Parts of one reel, or pieces of one build order, that are in a built piece."""

    lot: str
    """The reel or build order."""
    positions: StrokeSet
    """Their positions or numbers, as far as they are recorded."""
    is_whole: bool
    """True if every position is recorded; not for parts of a tray, beside parts thrown away, or after one was taken out."""


@dataclass(frozen=True, slots=True)
class PieceJudgement:
    """What was found of a built piece."""

    sample: str
    """Its serial label."""
    good: bool
    """True if it was found good."""
    defect: str | None
    """The defect; None if none was named."""
    seq: int
    """Journal sequence."""

    def of(self, built: BuiltOf) -> Iterator[JudgementFact | UnreadJudgement]:
        """Yield what it says about parts of one reel, or pieces of one order, in the piece."""
        if self.good:
            for stroke in built.positions:
                yield JudgementFact(self.sample, built.lot, stroke, self.good, self.defect, self.seq)
        elif built.is_whole and built.positions:
            last = built.positions.last
            yield JudgementFact(self.sample, built.lot, last, self.good, self.defect, self.seq)
        if not built.is_whole:
            yield UnreadJudgement(self.sample, built.lot, self.good, self.defect, self.seq)


def together(parts: Iterable[BuiltOf]) -> list[BuiltOf]:
    """Return one for each reel and build order, in the order in which they come first."""
    found: dict[str, BuiltOf] = {}
    for part in parts:
        one = found.get(part.lot)
        if one is not None:
            part = BuiltOf(part.lot, one.positions | part.positions, one.is_whole and part.is_whole)  # noqa: PLW2901
        found[part.lot] = part
    return list(found.values())

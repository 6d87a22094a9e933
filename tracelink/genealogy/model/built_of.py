"""What a built piece is built of, and what a judgement of it says about that.

A unit that fails a drop test says something about the boards in it and about the parts on them. A good one says that each of
them is good. A bad one says that at least one of them is bad, and nobody knows which: if several of one reel or order are in it,
the last one stands for them. That claims no more than is known. All of them are in the same unit, so a place holds as many
of them either way; and a fault that begins at some position has begun at the last one of them at the latest. That holds
of the reel or order; a cause that touched only some of these parts may have made the bad one or not (`is_told_by`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from tracelink.genealogy.model.facts import JudgementFact, UnreadJudgement
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet


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
            last, among = built.positions.last, built.positions if len(built.positions) > 1 else NO_STROKES
            yield JudgementFact(self.sample, built.lot, last, self.good, self.defect, self.seq, among)
        if not built.is_whole:
            yield UnreadJudgement(self.sample, built.lot, self.good, self.defect, self.seq)


def is_told_by(judgement: JudgementFact, touched: StrokeSet) -> bool:
    """Say whether a judgement says something about what a cause touched of its lot, or nothing at all of it.

    Args:
        judgement: on a disc, or on a part of a unit.
        touched: the strokes or positions of its lot that the cause touched.

    Returns:
        False where the cause touched some of the parts one of which is bad, and not all of them.
    """
    return not (judgement.among & touched and judgement.among - touched)


def together(parts: Iterable[BuiltOf]) -> list[BuiltOf]:
    """Return one for each reel and build order, in the order in which they come first."""
    found: dict[str, BuiltOf] = {}
    for part in parts:
        one = found.get(part.lot)
        if one is not None:
            part = BuiltOf(part.lot, one.positions | part.positions, one.is_whole and part.is_whole)  # noqa: PLW2901
        found[part.lot] = part
    return list(found.values())

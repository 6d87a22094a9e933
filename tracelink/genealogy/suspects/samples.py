"""What the judged discs show about the others, and what they do not."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.suspects.evidence import counts_as
from tracelink.ledger.count_words import PieceWords, counted, grouped, in_percent, piece_words
from tracelink.quality.confidence import CONFIDENCE, most_bad, share_at_most

TOUCHED = "touched"
"""All discs of a lot that the cause touched."""


@dataclass(frozen=True, slots=True)
class Shown:
    """What the judged discs of one lot say about the rest, if they were taken at random."""

    lot: str
    """The lot."""
    about: str
    """touched: every disc of the lot that the cause touched; possible: those that are in question."""
    discs: int
    """How many discs that is, the judged ones among them."""
    good: int
    """Judged good among them, for the defect asked about."""
    bad: int
    """Judged bad among them."""
    most_bad: int
    """Most bad discs among them that go with this, counted exactly without replacement."""
    most_share: float
    """Largest share of bad discs of a process that goes with this, 0 to 1."""
    confidence: float
    """Confidence of both statements above, 0 to 1."""

    @property
    def sentence(self) -> str:
        """The same in words."""
        words = piece_words(self.lot)
        which = f"{counted(self.discs, words.one)} of {words.whole} {self.lot}"
        which += " in question" if self.about == TierName.POSSIBLE else " made with the cause"
        judged = self.good + self.bad
        if not judged:
            return (
                f"Of the {which} none was judged: the samples say nothing about how many of them are bad "
                f"({grouped(self.most_bad)} may be)."
            )
        found = "all good" if not self.bad else f"{self.bad} bad"
        return (
            f"Of the {which} {judged} were judged, {found}: with {in_percent(self.confidence)} confidence at most "
            f"{grouped(self.most_bad)} of the {grouped(self.discs)} are bad, and a process that makes such {words.many} makes at "
            f"most {in_percent(self.most_share, 2)} bad ones. This holds for {words.many} taken at random."
        )


def caution(words: PieceWords) -> str:
    """Say what must stand beside every figure of this module."""
    return (
        f"A tool that fails at some {words.number} is not random, and samples drawn at set times are not either: then a clean "
        f"sample speaks for its stretch of {words.numbers} only, and these figures clear no {words.one}."
    )


def shown_by(
    touched: Mapping[str, StrokeSet],
    possible: Mapping[str, StrokeSet],
    judgements: Iterable[JudgementFact],
    defect: str | None,
) -> tuple[Shown, ...]:
    """What the judgements say about each lot that has discs in question.

    Args:
        touched: lot -> every stroke that the cause touched.
        possible: lot -> the strokes in question, among those.
        judgements: the evidence in use; a disc judged both good and bad counts as bad.
        defect: the defect asked about.
    """
    verdicts: dict[str, dict[int, bool]] = {}
    for judgement in judgements:
        good = counts_as(judgement, defect)
        if good is not None:
            of_lot = verdicts.setdefault(judgement.lot, {})
            of_lot[judgement.stroke] = of_lot.get(judgement.stroke, True) and good
    found: list[Shown] = []
    for lot, asked in possible.items():
        if not asked:
            continue
        judged = verdicts.get(lot, {})
        if asked != touched[lot]:
            found.append(_shown(lot, TOUCHED, touched[lot], judged))
        found.append(_shown(lot, TierName.POSSIBLE.value, asked, judged))
    return tuple(found)


def _shown(lot: str, about: str, discs: StrokeSet, judged: dict[int, bool]) -> Shown:
    inside = [good for stroke, good in judged.items() if stroke in discs]
    bad = len(inside) - sum(inside)
    return Shown(
        lot=lot,
        about=about,
        discs=len(discs),
        good=sum(inside),
        bad=bad,
        most_bad=most_bad(len(discs), len(inside), bad),
        most_share=share_at_most(bad, len(inside)),
        confidence=CONFIDENCE,
    )

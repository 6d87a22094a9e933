"""The judgements that a query rests on: what the lab recorded, and what came with the query.

What came with the query is checked against what the cause touched before anything is worked out from it: a slip
of the pen must neither clear a disc nor be passed over in silence.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from tracelink.errors import UsageError
from tracelink.genealogy.containment.query import BY_LABEL, NOT_RECORDED, ContainmentQuery, Evidence
from tracelink.genealogy.model.built_of import PieceJudgement, is_told_by
from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.identity.plantcode import CodeKind

Touched = Mapping[str, StrokeSet | None]
"""Lot -> the strokes that the cause touched; None where discs are followed by place, and any may be meant."""


def judgements_for(
    records: Records, query: ContainmentQuery, cause: str, lots: Iterable[str], touched: Touched
) -> tuple[list[JudgementFact], tuple[JudgementFact, ...]]:
    """Return the recorded judgements of some lots, with those of the query behind them, and apart those that say nothing.

    Of a bad unit of which the cause touched some parts and not all, nobody knows whether the bad part is one of those.

    Args:
        records: the records.
        query: what is asked, with judged discs that the lab has not recorded.
        cause: how the cause is named in a refusal.
        lots: whose recorded judgements are taken; under *and* also lots that only some of the causes touched.
        touched: what the cause touched: what the query's discs must be among.

    Raises:
        UsageError: a disc of the query does not exist, says nothing about the cause, or contradicts another judgement.
    """
    concerned = list(lots)
    records.look_up_lots(concerned)
    found = [fact for lot in concerned for fact in records.judgements_of(lot)]
    recorded = [fact for fact in found if _is_telling(touched, fact)]
    given = query.evidence
    added = [fact for one in given for fact in _facts_of(records, one, cause, touched)]
    for place, fact in enumerate(added):
        _require_telling(cause, touched, fact)
        _require_agreement(fact, [*recorded, *added[:place]])
    return [*recorded, *added], tuple(fact for fact in found if not _is_telling(touched, fact))


def _is_telling(touched: Touched, fact: JudgementFact) -> bool:
    strokes = touched.get(fact.lot)
    return strokes is None or is_told_by(fact, strokes)


def _facts_of(records: Records, one: Evidence, cause: str, touched: Touched) -> list[JudgementFact]:
    if one.stroke != BY_LABEL or one.lot[0] != CodeKind.PIECE.value:
        return [_existing(records, one)]
    seq = records.head()[0]
    built = [each for each in records.built_of(one.lot, seq + 1) if each.lot in touched]
    if not built:
        raise UsageError(f"--evidence: unit {one.lot} has nothing of {cause} in it by the records")
    judged = PieceJudgement(one.lot, one.good, one.defect, seq)
    found = [fact for each in built for fact in judged.of(each) if isinstance(fact, JudgementFact)]
    if not all(_is_telling(touched, fact) for fact in found):
        raise UsageError(
            f"--evidence: unit {one.lot} has parts of {cause} and others of the same reel or order, and nobody knows which is bad"
        )
    found = [fact for fact in found if _is_among(touched, fact)]
    if not found:
        raise UsageError(
            f"--evidence: nobody recorded which parts of {cause} unit {one.lot} has, so it says nothing about their positions"
        )
    return found


def _is_among(touched: Touched, fact: JudgementFact) -> bool:
    strokes = touched[fact.lot]
    return strokes is None or fact.stroke in strokes


def _existing(records: Records, one: Evidence) -> JudgementFact:
    lot = records.lot(one.lot)
    if lot is None:
        raise UsageError(f"--evidence: lot {one.lot} is not in the records")
    if not 1 <= one.stroke <= lot.pressed:
        raise UsageError(
            f"--evidence: lot {one.lot} has strokes 1 to {lot.pressed}; there is no disc {one.stroke}"
        )
    return one.judgement(records.head()[0])


def _require_telling(cause: str, touched: Touched, fact: JudgementFact) -> None:
    if fact.lot not in touched:
        lots = ", ".join(sorted(touched)) or "none"
        raise UsageError(f"--evidence: lot {fact.lot} was not touched by {cause}; it touched {lots}")
    strokes = touched[fact.lot]
    if strokes is not None and fact.stroke not in strokes:
        raise UsageError(
            f"--evidence: disc {fact.stroke} of lot {fact.lot} was not made with {cause}, which made {strokes}"
        )


def _require_agreement(fact: JudgementFact, others: Sequence[JudgementFact]) -> None:
    for other in others:
        if (other.lot, other.stroke) == (fact.lot, fact.stroke) and other.good != fact.good:
            raise UsageError(
                f"--evidence: disc {fact.stroke} of lot {fact.lot} is {_word(fact)} here and {_word(other)} "
                f"{_by(other)}; one disc is not both (REJUDGE corrects a sample)"
            )


def _word(fact: JudgementFact) -> str:
    return "good" if fact.good else "bad"


def _by(other: JudgementFact) -> str:
    return "in another --evidence" if other.sample == NOT_RECORDED else f"by sample {other.sample}"


def require_known_defect(evidence: Iterable[JudgementFact], defect: str | None) -> None:
    """Refuse a scope for a defect that nobody ever found on its discs: a slip of the pen would clear them.

    Raises:
        UsageError: names the defects that were found.
    """
    known = {one.defect for one in evidence if one.defect}
    if defect is not None and defect not in known:
        named = ", ".join(sorted(known)) or "none"
        raise UsageError(f"--defect: no disc here was judged bad for {defect!r}; known here: {named}")

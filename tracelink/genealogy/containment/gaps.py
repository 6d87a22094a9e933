"""What the records do not say about a cause."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from tracelink.genealogy.containment.holdings import LotHoldings
from tracelink.genealogy.model.facts import STAMPER, JudgementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.closure import Axis, Closure
from tracelink.genealogy.suspects.evidence import counts_as
from tracelink.ledger.count_words import counted, piece_words, whole_word


def gaps_of(
    records: Records,
    closure: Closure,
    judgements: Iterable[JudgementFact],
    defect: str | None,
    untold: Iterable[JudgementFact] = (),
) -> list[str]:
    """Sentences on missing records that a person must look into.

    Args:
        records: the records.
        closure: what the cause touches.
        judgements: the evidence in use.
        defect: the defect asked about.
        untold: judgements of units that say nothing, as nobody knows whether the bad part is of the cause.
    """
    found = [text for lot in closure.lots for text in _of_lot(records, lot)]
    for axis in closure.axes:
        if axis.kind == STAMPER:
            found.extend(_of_life(axis))
    return [*found, *_of_judgements(closure, judgements, defect), *_of_units(closure, untold, defect)]


def came_back_loose(lots: Mapping[str, LotHoldings]) -> list[str]:
    """Say of which lots discs came back that left in cartons which are shown as they were sent."""
    return [
        f"{counted(held.loose, piece_words(lot).one)} of {piece_words(lot).whole} {lot} came back loose. The cartons they were sent in are shown as they were sent: "
        "one of them holds fewer."
        for lot, held in lots.items()
        if held.loose
    ]


def _of_lot(records: Records, lot: str) -> Iterator[str]:
    fact = records.lot(lot)
    if fact is None:
        yield f"{whole_word(lot)} {lot} is named by a run segment but is not in the records itself."
        return
    if fact.kind != "lot":
        # What a reel was made of is in its own records, and says nothing of stampers.
        yield from _of_unread_parts(records, lot)
        return
    known = NO_STROKES
    for segment in records.segments_of(lot):
        known |= segment.strokes
    by_counter = StrokeSet.between(1, fact.pressed) if fact.pressed else NO_STROKES
    if by_counter - known:
        yield (
            f"Strokes {by_counter - known} of lot {lot} were counted, but no record says with which stampers, compound and "
            f"labels. They are in no tier; look into them."
        )
    if known - by_counter:
        yield f"Strokes {known - by_counter} of lot {lot} are in run segments, but the press counted {fact.pressed} only."
    for judged in records.judged_unread(lot):
        if judged.good:
            continue
        places = ", ".join(move.source for move in records.movements_into(judged.sample))
        yield (
            f"Sample {judged.sample} of lot {lot} was judged bad, and nobody knows its stroke: it narrows nothing. It is one of the "
            f"discs that were in {places}; look at what else was there."
        )


def _of_unread_parts(records: Records, lot: str) -> Iterator[str]:
    for judged in records.judged_unread(lot):
        if not judged.good:
            yield (
                f"{judged.sample} was judged bad, and nobody recorded which parts of {piece_words(lot).whole} {lot} are in it: "
                "it narrows nothing. Look at them."
            )


def _of_life(axis: Axis) -> Iterator[str]:
    seen = NO_STROKES
    for stretch in axis.stretches:
        twice = seen & stretch.positions
        if twice:
            yield (
                f"Strokes {twice} in the life of stamper {axis.code} are recorded twice, the second time for lot "
                f"{stretch.lot}. Check its stroke count."
            )
        seen |= stretch.positions
    if seen:
        missing = StrokeSet.between(1, seen.last) - seen
        if missing:
            yield f"Strokes {missing} in the life of stamper {axis.code} are in no recorded lot."


def _of_units(closure: Closure, untold: Iterable[JudgementFact], defect: str | None) -> Iterator[str]:
    for judgement in untold:
        if counts_as(judgement, defect) is False:
            whole = piece_words(judgement.lot).whole
            yield (
                f"{judgement.sample} was judged bad. Of its parts {judgement.among} of {whole} {judgement.lot} only some are of "
                f"{closure.cause}, and nobody knows which is bad: it narrows nothing. Look at them."
            )


def _of_judgements(
    closure: Closure, judgements: Iterable[JudgementFact], defect: str | None
) -> Iterator[str]:
    for judgement in judgements:
        if counts_as(judgement, defect) is not False:
            continue
        sample = f"Sample {judgement.sample} (lot {judgement.lot}, stroke {judgement.stroke})"
        if all(axis.position(judgement.lot, judgement.stroke) is None for axis in closure.axes):
            yield (
                f"{sample} was judged bad, but {closure.cause} did not touch it. Look for another cause as well."
            )
        elif defect is not None and judgement.defect is None:
            yield f"{sample} was judged bad without a named defect; it counts as {defect}. Ask the lab."

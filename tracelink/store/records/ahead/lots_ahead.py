"""What the records say of lots, read for many lots at a time; see `ahead_rows.py`."""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import Connection

from tracelink.genealogy.model.facts import JudgementFact, LotFact, SegmentFact, UnreadJudgement
from tracelink.identity.plantcode import CodeKind
from tracelink.store.records.ahead.ahead_rows import AheadRows, asking
from tracelink.store.records.plant_versions import PlantVersion, names_of_lot, versions

SEGMENT = 'lot, "first", "last", press, stamper_a, stamper_b, life_a, life_b, compound, label_a, label_b, seq'
"""Columns of a segment, in the order of its fact."""
_LOTS = asking(
    "SELECT l.code, l.code, l.gtin, l.piece, p.title, l.press, l.counter, l.status, l.decision, p.catalogue_number, s.name "
    "FROM lot l JOIN product p ON p.gtin = l.gtin LEFT JOIN station s ON s.code = l.press WHERE l.code IN ({codes})"
)
_SEGMENTS = asking(
    'SELECT lot, {segment} FROM run_segment WHERE lot IN ({codes}) ORDER BY lot, "first"', segment=SEGMENT
)
_JUDGED = asking(
    "SELECT s.lot, s.code, s.lot, s.stroke, j.good, j.defect, j.seq FROM sample s JOIN judgement j ON j.sample = s.code "
    "WHERE s.lot IN ({codes}) AND s.stroke IS NOT NULL AND j.corrected_by IS NULL ORDER BY j.seq"
)
_JUDGED_UNREAD = asking(
    "SELECT s.lot, s.code, s.lot, j.good, j.defect, j.seq FROM sample s JOIN judgement j ON j.sample = s.code "
    "WHERE s.lot IN ({codes}) AND s.stroke IS NULL AND j.corrected_by IS NULL ORDER BY j.seq"
)


class LotsAhead:
    """Lots, their segments and the judgements on their samples.

    Args:
        conn: a connection inside one transaction, so that what was read stays true.
    """

    def __init__(self, conn: Connection) -> None:
        self._conn = conn
        self._changes: dict[str, tuple[PlantVersion, ...]] = {}
        self._lots = AheadRows(conn, _LOTS, self._lot_fact)
        self._segments = AheadRows(conn, _SEGMENTS, SegmentFact)
        self._judged = AheadRows(conn, _JUDGED, _judgement)
        self._unread = AheadRows(conn, _JUDGED_UNREAD, _unread)

    def read(self, lots: Iterable[str]) -> None:
        """Read lots that will be asked for."""
        wanted = list(lots)
        for rows in (self._lots, self._segments, self._judged, self._unread):
            rows.read(wanted)

    def lot(self, code: str) -> LotFact | None:
        """The lot of that code."""
        if not code.startswith(CodeKind.LOT.value):
            return None
        return next(iter(self._lots.of(code)), None)

    def segments_of(self, lot: str) -> list[SegmentFact]:
        """The segments of a lot, by first stroke."""
        return self._segments.of(lot)

    def judgements_of(self, lot: str) -> list[JudgementFact]:
        """The lab's judgements on discs of a lot, those that stand."""
        return self._judged.of(lot)

    def judged_unread(self, lot: str) -> list[UnreadJudgement]:
        """The lab's judgements on samples of a lot whose stroke nobody knows, those that stand."""
        return self._unread.of(lot)

    def _lot_fact(self, *row: Any) -> LotFact:
        code, gtin, piece, title, press, counter, status, decision, number, name = row
        if gtin not in self._changes:
            self._changes[gtin] = versions(self._conn, gtin)
        title, number = names_of_lot(self._conn, code, self._changes[gtin], (title, number))
        return LotFact(
            code, gtin, piece, title, press or "", counter, f"{status}, {decision}", number, name or ""
        )


def _judgement(*row: Any) -> JudgementFact:
    sample, lot, stroke, good, defect, seq = row
    return JudgementFact(sample, lot, stroke, bool(good), defect, seq)


def _unread(*row: Any) -> UnreadJudgement:
    sample, lot, good, defect, seq = row
    return UnreadJudgement(sample, lot, bool(good), defect, seq)

"""Stampers that bear one matrix text: outside the plant their discs cannot be told apart by it."""

from collections.abc import Collection, Iterable

from sqlalchemy import Connection

from tracelink.facts.scope_discs import LookAlike
from tracelink.genealogy.model.facts import SegmentFact
from tracelink.store.database.in_lists import of_codes, rows_of

_TEXTS = of_codes("SELECT code, matrix FROM tool WHERE code IN :codes AND what = 'stamper' AND matrix <> ''")
_OTHERS = of_codes(
    "SELECT DISTINCT t.matrix, t.code, s.lot FROM tool t JOIN run_segment s ON s.stamper_a = t.code OR s.stamper_b = t.code "
    "WHERE t.matrix IN :codes AND t.what = 'stamper' ORDER BY t.matrix, t.code, s.lot"
)


def look_alikes(
    conn: Connection, suspects: Collection[str], segments: Iterable[SegmentFact]
) -> tuple[LookAlike, ...]:
    """Return the stampers that are not in question and bear the text of one that is, with what they pressed.

    Args:
        conn: a connection that reads one state.
        suspects: tools that carry the fault or may; if no stamper is among them, all that pressed suspect discs count.
        segments: the segments with suspect strokes.
    """
    pressed = {code for one in segments for code in (one.stamper_a, one.stamper_b)}
    meant = {row.code: row.matrix for row in rows_of(conn, _TEXTS, pressed & set(suspects) or pressed)}
    found: dict[tuple[str, str], list[str]] = {}
    for row in rows_of(conn, _OTHERS, meant.values()):
        if row.code not in meant:
            found.setdefault((row.matrix, row.code), []).append(row.lot)
    return tuple(LookAlike(matrix, stamper, tuple(lots)) for (matrix, stamper), lots in found.items())

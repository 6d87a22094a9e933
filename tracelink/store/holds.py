"""Is this on hold? Each question is one query, because a packing line asks it before every match.

A hold names things, or some strokes of a lot. A thing is held when it is named, when something it is made
of or filled from is named, or when something in it is named. Held strokes catch what is stacked after the
hold was placed; whatever held one of those discs before is named by the hold itself, so that a spindle from
which the last suspect disc is gone stays free. In the same way a held tool, material or press holds what it
makes after the hold; what it made before is for a containment to scope.
"""

from collections.abc import Sequence
from typing import Any

from sqlalchemy import Connection, Row, bindparam, text

from tracelink.station.facts import HoldNotice

_OPEN = (
    "SELECT h.code, h.cause, h.reason, i.subject FROM hold_item i JOIN hold h ON h.code = i.hold "
    "WHERE h.lifted_seq IS NULL AND "
)
_FIRST = " ORDER BY h.seq LIMIT 1"

_BY_CODE = text(
    "SELECT code, cause, reason, cause AS subject FROM hold WHERE code = :code AND lifted_seq IS NULL"
)
_CHUNK = 500
"""Codes to one question; SQLite binds at most 32,766 values, and a plan of many is slow to make."""

_NAMED = text(_OPEN + 'i."first" IS NULL AND i.subject IN :subjects ORDER BY h.seq').bindparams(
    bindparam("subjects", expanding=True)
)
_ITEMS = text(
    'SELECT h.code, i.subject, i."first", i."last" FROM hold_item i JOIN hold h ON h.code = i.hold '
    "WHERE h.lifted_seq IS NULL AND i.subject IN :subjects ORDER BY h.seq"
).bindparams(bindparam("subjects", expanding=True))
_THINGS = text(_OPEN + 'i."first" IS NULL AND i.subject IN :subjects' + _FIRST).bindparams(
    bindparam("subjects", expanding=True)
)
_SPINDLE = text(
    """WITH made AS (SELECT lot, seq, "first", "last" FROM movement WHERE target = :code AND source = 'counter')
    SELECT h.code, h.cause, h.reason, i.subject, h.seq FROM hold_item i JOIN hold h ON h.code = i.hold
    WHERE h.lifted_seq IS NULL AND (i.subject = :code OR (i.subject = (SELECT s.lot FROM spindle s WHERE s.code = :code)
        AND (i."first" IS NULL OR EXISTS (SELECT 1 FROM movement m WHERE m.target = :code
             AND m.seq > h.seq AND m."first" <= i."last" AND m."last" >= i."first"))))
    UNION ALL SELECT h.code, h.cause, h.reason, i.subject, h.seq FROM (
        SELECT m.seq, g.stamper_a AS code FROM made m JOIN run_segment g ON _
        UNION ALL SELECT m.seq, g.stamper_b FROM made m JOIN run_segment g ON _
        UNION ALL SELECT m.seq, g.compound FROM made m JOIN run_segment g ON _
        UNION ALL SELECT m.seq, g.label_a FROM made m JOIN run_segment g ON _
        UNION ALL SELECT m.seq, g.label_b FROM made m JOIN run_segment g ON _
        UNION ALL SELECT m.seq, g.press FROM made m JOIN run_segment g ON _
    ) used JOIN hold_item i ON i.subject = used.code AND i."first" IS NULL
    JOIN hold h ON h.code = i.hold AND h.lifted_seq IS NULL AND h.seq < used.seq
    ORDER BY seq LIMIT 1""".replace(
        "ON _", 'ON g.lot = m.lot AND g."first" <= m."last" AND g."last" >= m."first"'
    )
)
# Every piece of SQL here is a constant of this module; values are bound.
# Everything a carton is known to hold, by the name under which it could be held as a whole.
_IN_CARTONS = """
    SELECT sscc FROM these
    UNION SELECT n.parent FROM nesting n JOIN these ON n.child = these.sscc WHERE n.closed_seq IS NULL
    UNION SELECT k.lot FROM stock k JOIN these ON k.place = these.sscc WHERE k.quantity > 0
    UNION SELECT p.lot FROM spool p JOIN these ON p.carton = these.sscc
    UNION SELECT b.batch FROM carton_sleeve b JOIN these ON b.carton = these.sscc
    UNION SELECT '(01)0' || s.gtin || '(21)' || s.number FROM numbered_sleeve s JOIN these ON s.carton = these.sscc
"""
_CARTON = text(
    "WITH these AS (SELECT :sscc AS sscc) "
    + _OPEN
    + f'i."first" IS NULL AND i.subject IN ({_IN_CARTONS})'
    + _FIRST
)
_PALLET = text(
    "WITH these AS (SELECT n.child AS sscc FROM nesting n WHERE n.parent = :sscc AND n.closed_seq IS NULL) "  # noqa: S608
    + _OPEN
    + f'i."first" IS NULL AND (i.subject = :sscc OR i.subject IN ({_IN_CARTONS}))'
    + _FIRST
)


def by_code(conn: Connection, code: str) -> HoldNotice | None:
    """Return the hold with this code unless it is lifted."""
    return _notice(conn.execute(_BY_CODE, {"code": code}).first())


def on_things(conn: Connection, subjects: Sequence[str]) -> HoldNotice | None:
    """Return an open hold that names one of `subjects` as a whole."""
    return _notice(conn.execute(_THINGS, {"subjects": list(subjects)}).first())


def on_spindle(conn: Connection, code: str) -> HoldNotice | None:
    """Return an open hold on a spindle, its lot, or strokes that were stacked on it."""
    return _notice(conn.execute(_SPINDLE, {"code": code}).first())


def on_carton(conn: Connection, sscc: str) -> HoldNotice | None:
    """Return an open hold on a carton, its pallet, or a lot, sleeve batch or number in it."""
    return _notice(conn.execute(_CARTON, {"sscc": sscc}).first())


def on_pallet(conn: Connection, sscc: str) -> HoldNotice | None:
    """Return an open hold on a pallet, a carton on it, or anything in those."""
    return _notice(conn.execute(_PALLET, {"sscc": sscc}).first())


def holds_by_thing(conn: Connection, codes: Sequence[str]) -> dict[str, str]:
    """Return, for each of `codes` that an open hold names as a whole, the code of that hold."""
    found: dict[str, str] = {}
    for start in range(0, len(codes), _CHUNK):
        chunk = list(codes[start : start + _CHUNK])
        for row in conn.execute(_NAMED, {"subjects": chunk}):
            found.setdefault(row.subject, row.code)
    return found


def held_already(
    conn: Connection, items: Sequence[tuple[str, int | None, int | None]]
) -> dict[tuple[str, int | None, int | None], str]:
    """Return those of `items` (thing, first and last stroke) that an open hold names exactly, with its code."""
    found: dict[tuple[str, int | None, int | None], str] = {}
    subjects = list(dict.fromkeys(subject for subject, _first, _last in items))
    for start in range(0, len(subjects), _CHUNK):
        for row in conn.execute(_ITEMS, {"subjects": subjects[start : start + _CHUNK]}):
            found.setdefault((row.subject, row.first, row.last), row.code)
    return {item: found[item] for item in items if item in found}


def _notice(row: Row[*tuple[Any, ...]] | None) -> HoldNotice | None:
    return None if row is None else HoldNotice(row.code, row.cause, row.reason, row.subject)

"""Is this on hold? Each question is one query, because a packing line asks it before every match.

A hold names things, or some strokes of a lot. A thing is held when it is named, when something it is made
of or filled from is named, or when something in it is named. Held strokes catch what is stacked after the
hold was placed; whatever held one of those discs before is named by the hold itself, so that a spindle from
which the last suspect disc is gone stays free. In the same way a held tool, material or press holds what it
makes after the hold; what it made before is for a containment to scope.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, Row, text

from tracelink.station.common.station_facts import HoldNotice
from tracelink.store.database.in_lists import text_list
from tracelink.store.statements import short_reads

_OPEN = (
    "SELECT h.code, h.cause, h.reason, i.subject FROM hold_item i JOIN hold h ON h.code = i.hold "
    "WHERE h.lifted_seq IS NULL AND "
)
# Of the things that one hold names the same is told on every engine, in every order of its letters: a piece before a code.
_IN_ORDER = " ORDER BY h.seq, substr(i.subject, 1, 1) <> '(', i.subject, i.line"
_FIRST = f"{_IN_ORDER} LIMIT 1"

_BY_CODE = text(
    "SELECT code, cause, reason, cause AS subject FROM hold WHERE code = :code AND lifted_seq IS NULL"
)
_CHUNK = 500
"""Codes to one question; SQLite binds at most 32,766 values, and a plan of many is slow to make."""

_NAMED = text(_OPEN + 'i."first" IS NULL AND i.subject IN :subjects' + _IN_ORDER).bindparams(
    text_list("subjects")
)
_ITEMS = text(
    'SELECT h.code, i.subject, i."first", i."last" FROM hold_item i JOIN hold h ON h.code = i.hold '  # noqa: S608  constants only
    "WHERE h.lifted_seq IS NULL AND i.subject IN :subjects" + _IN_ORDER
).bindparams(text_list("subjects"))
_FEW = 4
_THINGS = text(
    _OPEN
    + 'i."first" IS NULL AND i.subject IN ('
    + ", ".join(f":code_{place}" for place in range(_FEW))
    + ")"
    + _FIRST
)
_MADE = text(
    """SELECT m.seq, m.lot, m."first", m."last", g.stamper_a, g.stamper_b, g.compound, g.label_a, g.label_b, g.press
    FROM movement m JOIN run_segment g ON g.lot = m.lot AND g."first" <= m."last" AND g."last" >= m."first"
    WHERE m.target = :code AND m.source = 'counter'"""
)
_RESTOCKED = text(
    "SELECT m.seq, m.lot, l.counter FROM movement m JOIN lot l ON l.code = m.lot WHERE m.target = :code "
    "AND m.source LIKE 'return %'"
)
_PLACES = 16
"""Codes that one question about a spindle asks for; a stack pressed with more changes than that asks again."""

_AROUND_SPINDLE = text(
    'SELECT h.code, h.cause, h.reason, h.seq, i.subject, i."first", i."last" FROM hold_item i '  # noqa: S608  constants only
    "JOIN hold h ON h.code = i.hold WHERE h.lifted_seq IS NULL AND i.subject IN ("
    + ", ".join(f":code_{place}" for place in range(_PLACES))
    + ")"
    + _IN_ORDER
)
# Every piece of SQL here is a constant of this module; values are bound.
# Everything a carton is known to hold, by the name under which it could be held as a whole.
_IN_CARTONS = """
    SELECT sscc FROM these
    UNION SELECT n.parent FROM nesting n JOIN these ON n.child = these.sscc WHERE n.closed_seq IS NULL
    UNION SELECT k.lot FROM stock k JOIN these ON k.place = these.sscc WHERE k.quantity > 0
    UNION SELECT p.lot FROM spool p JOIN these ON p.carton = these.sscc
    UNION SELECT b.batch FROM carton_sleeve b JOIN these ON b.carton = these.sscc
    UNION SELECT n.child FROM nesting n JOIN these ON n.parent = these.sscc WHERE n.closed_seq IS NULL
    UNION SELECT m.child FROM nesting n JOIN these ON n.parent = these.sscc JOIN nesting m ON m.parent = n.child
        WHERE n.closed_seq IS NULL AND m.closed_seq IS NULL
    UNION SELECT p.build FROM nesting n JOIN these ON n.parent = these.sscc JOIN piece p ON p.code = n.child
        WHERE n.closed_seq IS NULL
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
    return _notice(short_reads.kept_first(conn, _BY_CODE, {"code": code}))


def on_things(conn: Connection, subjects: Sequence[str]) -> HoldNotice | None:
    """Return an open hold that names one of `subjects` as a whole."""
    for start in range(0, len(subjects), _FEW):
        chunk = subjects[start : start + _FEW]
        values = {f"code_{place}": chunk[place % len(chunk)] for place in range(_FEW)}
        found = short_reads.kept_first(conn, _THINGS, values)
        if found is not None:
            return _notice(found)
    return None


@dataclass(frozen=True, slots=True)
class Stack:
    """What a stack was made of. It is written once, when the stack is taken, and never changes."""

    lot: str
    seq: int
    """Entry that took it."""
    ranges: tuple[tuple[int, int], ...]
    """Its strokes."""
    used: frozenset[str]
    """Stampers, compound, labels and press that made them."""


def stack(conn: Connection, code: str) -> Stack | None:
    """Return what a spindle's stack was made of; None if there is no such stack."""
    rows = conn.execute(_MADE, {"code": code}).all()
    if not rows:
        return _restocked(conn, code)
    ranges = tuple(dict.fromkeys((row.first, row.last) for row in rows))
    return Stack(rows[0].lot, rows[0].seq, ranges, frozenset(used for row in rows for used in row[4:]))


def _restocked(conn: Connection, code: str) -> Stack | None:
    """A stack of discs that came back: they may be any strokes of their lot, so a hold on some of them holds it."""
    row = conn.execute(_RESTOCKED, {"code": code}).first()
    return None if row is None else Stack(row.lot, row.seq, ((1, int(row.counter)),), frozenset())


def on_spindle(conn: Connection, code: str, made: Stack) -> HoldNotice | None:
    """Return an open hold on a spindle, its lot, strokes stacked on it, or what made it, if held before.

    Args:
        conn: a connection.
        code: the spindle.
        made: what its stack was made of, from `stack`.
    """
    asked = [code, made.lot, *sorted(made.used)]
    for start in range(0, len(asked), _PLACES):
        chunk = asked[start : start + _PLACES]
        values = {f"code_{place}": chunk[place % len(chunk)] for place in range(_PLACES)}
        for row in short_reads.kept(conn, _AROUND_SPINDLE, values):
            if _holds_stack(row, code, made):
                return _notice(row)
    return None


def _holds_stack(row: Row[*tuple[Any, ...]], code: str, made: Stack) -> bool:
    if row.first is not None:
        return row.seq < made.seq and any(
            first <= row.last and last >= row.first for first, last in made.ranges
        )
    return row.subject in (code, made.lot) or bool(row.seq < made.seq)


def on_carton(conn: Connection, sscc: str) -> HoldNotice | None:
    """Return an open hold on a carton, its pallet, or a lot, sleeve batch or number in it."""
    return _notice(short_reads.kept_first(conn, _CARTON, {"sscc": sscc}))


def on_pallet(conn: Connection, sscc: str) -> HoldNotice | None:
    """Return an open hold on a pallet, a carton on it, or anything in those."""
    return _notice(short_reads.kept_first(conn, _PALLET, {"sscc": sscc}))


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

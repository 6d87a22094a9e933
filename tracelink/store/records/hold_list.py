"""What is on hold, thing by thing."""

from typing import Any

from sqlalchemy import Connection, text

_HELD = text(
    'SELECT h.code AS hold, h.cause, h.reason, h.person, h.seq, i.subject, i."first", i."last", h.lifted_seq '
    "FROM hold h JOIN hold_item i ON i.hold = h.code WHERE (CAST(:lifted AS INTEGER) = 1 OR h.lifted_seq IS NULL) "
    "ORDER BY h.seq, i.line"
)
KEYS = ("hold", "subject", "first", "last", "cause", "reason", "person", "seq", "lifted_seq")
"""Of each row, in order."""


def hold_rows(conn: Connection, *, lifted: bool) -> list[dict[str, Any]]:
    """Return one row per thing held, oldest hold first, with `KEYS`.

    Args:
        conn: a connection inside a transaction.
        lifted: lifted holds as well.
    """
    rows = conn.execute(_HELD, {"lifted": int(lifted)}).mappings()
    return [{key: row[key] for key in KEYS} for row in rows]

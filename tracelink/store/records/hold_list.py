"""What is on hold, thing by thing."""

from sqlalchemy import Connection, text

from tracelink.facts.held_things import HeldThing

_HELD = text(
    'SELECT h.code, i.subject, i."first", i."last", h.cause, h.reason, h.person, h.seq, h.lifted_seq '
    "FROM hold h JOIN hold_item i ON i.hold = h.code WHERE (CAST(:lifted AS INTEGER) = 1 OR h.lifted_seq IS NULL) "
    "ORDER BY h.seq, i.line"
)


def held_things(conn: Connection, *, lifted: bool) -> list[HeldThing]:
    """Return every thing held, oldest hold first.

    Args:
        conn: a connection inside a transaction.
        lifted: lifted holds as well.
    """
    return [HeldThing(*row) for row in conn.execute(_HELD, {"lifted": int(lifted)})]

"""Whom to write to at a consignee, on a given day."""

from sqlalchemy import Connection, text

from tracelink.facts.notice_content import Contact

_ON = text(
    "SELECT person, email, telephone, address, since FROM contact WHERE name = :name AND since <= :day "
    "ORDER BY since DESC, seq DESC LIMIT 1"
)


def contact_on(conn: Connection, name: str, day: str) -> Contact | None:
    """Return the contact that holds on a day; None if none does yet.

    Args:
        conn: a connection inside a transaction.
        name: the consignee as in its orders, or the plant.
        day: YYYY-MM-DD.
    """
    row = conn.execute(_ON, {"name": name, "day": day}).first()
    return None if row is None else Contact(*row)

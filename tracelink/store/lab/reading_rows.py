"""Readings of slow tests that nobody took yet."""

from datetime import date

from sqlalchemy import Connection, text

from tracelink.facts.lab.due_readings import DueReading

_DUE = text(
    "SELECT r.sample, s.lot, s.stroke, r.slow_test, r.label, r.due, COALESCE(p.title, k.number || ', ' || k.what) AS what "
    "FROM slow_reading r JOIN sample s ON s.code = r.sample LEFT JOIN lot l ON l.code = s.lot "
    "LEFT JOIN product p ON p.gtin = l.gtin LEFT JOIN build b ON b.code = s.lot LEFT JOIN part_kind k ON k.number = b.part "
    "WHERE r.taken_seq IS NULL ORDER BY r.due, r.sample, r.line"
)


def due_readings(conn: Connection, day: str) -> list[DueReading]:
    """Return the readings that were not taken, by due day.

    Args:
        conn: a connection.
        day: on which it is asked, YYYY-MM-DD.
    """
    today = date.fromisoformat(day)
    return [
        DueReading(
            row.sample,
            row.lot,
            row.stroke,
            row.slow_test,
            row.label,
            row.due,
            (today - date.fromisoformat(row.due)).days,
            row.what,
        )
        for row in conn.execute(_DUE)
    ]

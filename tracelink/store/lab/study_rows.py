"""What people said and read for studies, from the tables."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import Connection, RowMapping, text

_VERDICTS = text("SELECT seq, sample AS disc, person, verdict FROM compared_verdict ORDER BY seq")
# A side of a disc is a piece of its own: it has its own noise.
_READINGS = text(
    "SELECT seq, sample || COALESCE(' ' || side, '') AS disc, person, value FROM study_reading "
    "WHERE gauge = :gauge AND test = :test ORDER BY seq"
)


def compared_verdicts(conn: Connection) -> list[tuple[int, dict[str, str]]]:
    """Return every verdict that was given for a comparison, by its entry, with the fields of a line of a file."""
    return _lines(conn.execute(_VERDICTS).mappings().all())


def study_readings(conn: Connection, gauge: str, test: str) -> list[tuple[int, dict[str, str]]]:
    """Return every reading of a gauge's study, by its entry, with the fields of a line of a file."""
    return _lines(conn.execute(_READINGS, {"gauge": gauge, "test": test}).mappings().all())


def _lines(rows: Sequence[RowMapping]) -> list[tuple[int, dict[str, str]]]:
    return [(int(row["seq"]), {name: str(row[name]) for name in row if name != "seq"}) for row in rows]

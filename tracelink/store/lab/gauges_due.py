"""Until when the calibration of each gauge holds."""

from sqlalchemy import Connection, text

_GAUGES = text(
    "SELECT g.code, g.name, MAX(c.due) AS due FROM gauge g "
    "LEFT JOIN gauge_calibration c ON c.gauge = g.code AND c.calibrated <= :day GROUP BY g.code, g.name ORDER BY g.code"
)


def calibrations(conn: Connection, day: str) -> list[tuple[str, str, str | None]]:
    """Return code, name and last day of its calibration of every gauge, by code; None without one by then.

    Args:
        conn: a connection that reads one state.
        day: local day, YYYY-MM-DD.
    """
    return [(row.code, row.name, row.due) for row in conn.execute(_GAUGES, {"day": day})]

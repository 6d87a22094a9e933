"""The plant's reasons for the acts of an area."""

from sqlalchemy import Connection, text

from tracelink.facts.plant_reasons import PlantReason

_REASONS = text(
    "SELECT r.code, r.text, a.act FROM reason r JOIN reason_act a ON a.reason = r.code WHERE r.area = :area "
    "ORDER BY r.code, a.act"
)


def reasons_of(conn: Connection, area: str) -> tuple[PlantReason, ...]:
    """Return the reasons of a kind of station, by code.

    Args:
        conn: a connection.
        area: tool, press, lab, line, dock, process or assembly.
    """
    texts: dict[str, str] = {}
    acts: dict[str, list[str]] = {}
    for row in conn.execute(_REASONS, {"area": area}):
        texts[row.code] = row.text
        acts.setdefault(row.code, []).append(row.act)
    return tuple(PlantReason(code, said, tuple(acts[code])) for code, said in texts.items())

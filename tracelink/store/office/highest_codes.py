"""A thing of each kind that stations ask about, for asking about it: the one with the highest code, which an index knows."""

from sqlalchemy import Connection, text

_HIGHEST = text(
    "SELECT (SELECT MAX(code) FROM lot) AS lot, (SELECT MAX(code) FROM spindle) AS spindle, "
    "(SELECT MAX(sscc) FROM carton) AS carton, (SELECT MAX(sscc) FROM pallet) AS pallet"
)


def highest_codes(conn: Connection) -> dict[str, str]:
    """Return lot, spindle, carton and pallet -> the highest code of the kind, as far as there is one."""
    [row] = conn.execute(_HIGHEST).mappings()
    return {kind: str(code) for kind, code in row.items() if code is not None}

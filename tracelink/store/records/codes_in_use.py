"""Every code that the ledger gave out or was told, for comparing them with each other."""

from sqlalchemy import Connection, text

from tracelink.identity.plantcode import CodeKind, PlantCode

_CODES = text(
    "SELECT gtin AS code FROM product UNION SELECT code FROM tool UNION SELECT code FROM lot "
    "UNION SELECT code FROM spindle UNION SELECT code FROM sample UNION SELECT code FROM sleeve_batch "
    "UNION SELECT code FROM material UNION SELECT code FROM person UNION SELECT code FROM station "
    "UNION SELECT code FROM customer_order"
)
_NUMBERED = text(
    "SELECT code FROM (SELECT code FROM tool UNION SELECT code FROM lot UNION SELECT code FROM spindle "
    "UNION SELECT code FROM sample UNION SELECT code FROM sleeve_batch UNION SELECT code FROM material "
    "UNION SELECT code FROM person UNION SELECT code FROM station UNION SELECT code FROM hold "
    "UNION SELECT code FROM customer_order UNION SELECT code FROM shipment UNION SELECT code FROM location "
    "UNION SELECT code FROM kit_item UNION SELECT code FROM containment_case) known WHERE code LIKE :letter"
)
_SSCCS = text("SELECT sscc FROM carton UNION SELECT sscc FROM pallet")


def codes_in_use(conn: Connection, *, with_ssccs: bool) -> list[str]:
    """Return GTINs, plant codes and order numbers, and if wanted the SSCCs of cartons and pallets.

    Args:
        conn: a connection inside a transaction.
        with_ssccs: SSCCs as well; they are many.
    """
    codes = list(conn.execute(_CODES).scalars())
    return [*codes, *conn.execute(_SSCCS).scalars()] if with_ssccs else codes


def largest_number(conn: Connection, kind: CodeKind) -> int:
    """Return the largest number of a kind of plant code that the ledger knows; 0 if it knows none."""
    # As text the code of a longer number may come first.
    codes = conn.execute(_NUMBERED, {"letter": f"{kind.value}%"}).scalars()
    return max((PlantCode.parse(code).number for code in codes), default=0)

"""Every code that the ledger gave out or was told, for comparing them with each other."""

from sqlalchemy import Connection, text

_CODES = text(
    "SELECT gtin AS code FROM product UNION SELECT code FROM tool UNION SELECT code FROM lot "
    "UNION SELECT code FROM spindle UNION SELECT code FROM sample UNION SELECT code FROM sleeve_batch "
    "UNION SELECT code FROM material UNION SELECT code FROM person UNION SELECT code FROM station "
    "UNION SELECT code FROM customer_order"
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

"""Every code that the ledger gave out or was told, for comparing them with each other."""

from collections.abc import Iterable

from sqlalchemy import Connection, text

from tracelink.identity.plantcode import CodeKind, PlantCode

_SCANNED = (
    "tool",
    "lot",
    "spindle",
    "sample",
    "sleeve_batch",
    "material",
    "person",
    "station",
    "customer_order",
)
_OTHERS = (
    "hold",
    "shipment",
    "location",
    "kit_item",
    "containment_case",
    "reason",
    "gauge",
    "equipment",
    "step",
    "part_lot",
    "reel",
    "slot",
    "build",
    "piece",
)
NUMBERED = (*_SCANNED, *_OTHERS)
"""Tables of everything that has a plant code."""


def _all_of(tables: Iterable[str]) -> str:
    return " UNION ".join(f"SELECT code FROM {table}" for table in tables)  # noqa: S608  our own names


_CODES = text(f"SELECT gtin AS code FROM product UNION {_all_of(_SCANNED)}")  # noqa: S608  our own names
_OF_LETTER = text(f"SELECT code FROM ({_all_of(NUMBERED)}) known WHERE code LIKE :letter")  # noqa: S608  our own names
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
    codes = conn.execute(_OF_LETTER, {"letter": f"{kind.value}%"}).scalars()
    return max((PlantCode.parse(code).number for code in codes), default=0)

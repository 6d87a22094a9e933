"""Products, orders, customers and part numbers with what belongs to each."""

from __future__ import annotations

from sqlalchemy import Connection

from tracelink.errors import UnknownCode
from tracelink.facts.catalogue.part_record import PartRecord
from tracelink.facts.catalogue.product_record import ConsigneeRecord, OrderRecord, ProductRecord
from tracelink.store.catalogue import part_rows, product_rows

_OF_A_LABEL = 14
"""Digits of a GTIN as it stands in element strings: one of 13 with a 0 in front. Source: GS1 General Specifications, AI (01)."""


def product(conn: Connection, given: str) -> ProductRecord:
    """Return a product by its GTIN, or that of a lot, sleeve batch or carton.

    Raises:
        UnknownCode: there is no such thing.
    """
    code = given.strip().upper()
    if len(code) == _OF_A_LABEL and code.startswith("0"):
        code = code[1:]
    found = product_rows.product_record(conn, product_rows.product_of(conn, code) or code)
    if found is None:
        raise UnknownCode(f"product {given!r} is not in the records: expected the 13 digits of its GTIN")
    return found


def order(conn: Connection, given: str) -> OrderRecord:
    """Return an order by its code.

    Raises:
        UnknownCode: there is no such order.
    """
    found = product_rows.order_record(conn, given.strip().upper())
    if found is None:
        raise UnknownCode(f"order {given!r} is not in the records")
    return found


def consignee(conn: Connection, name: str) -> ConsigneeRecord:
    """Return a customer by its name.

    Raises:
        UnknownCode: nobody of that name ordered anything.
    """
    found = product_rows.consignee_record(conn, name.strip())
    if found is None:
        raise UnknownCode(f"nobody called {name!r} ordered anything")
    return found


def part(conn: Connection, given: str) -> PartRecord:
    """Return a part by its number, or that of a part lot, reel or build order.

    Raises:
        UnknownCode: there is no such thing.
    """
    number = part_rows.part_of(conn, given.strip().upper()) or given.strip()
    found = part_rows.part_record(conn, number)
    if found is None:
        raise UnknownCode(f"part {given!r}: the plant has no part of this number")
    return found

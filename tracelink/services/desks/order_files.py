"""Orders from a CSV or XLSX file, every wrong line named.

The first row names the columns: order, consignee, country, gtin, quantity, in any order; other columns are not read.
An order of several products has a line for each, with the same order code, consignee and country.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.kinds.orders import OrderLine, order_of
from tracelink.services.table_files import read_table
from tracelink.store.office.order_book import Order

COLUMNS = ("order", "consignee", "country", "gtin", "quantity")


def read_orders(file: str) -> list[tuple[int, Order]]:
    """Read the orders of a file, each with its line.

    Args:
        file: a path ending in .csv (UTF-8; comma or semicolon) or .xlsx (the first sheet).

    Raises:
        UsageError: the file cannot be read, or names every line with what is wrong in it.
    """
    return read_table(file, "order file", COLUMNS, _orders)


def _orders(rows: Sequence[tuple[int, dict[str, str]]]) -> list[tuple[int, Order]]:
    begun: dict[str, _Begun] = {}
    problems: list[str] = []
    for line, values in rows:
        found = list(_problems(values)) or list(_added(begun, line, values))
        problems += [f"line {line}: {problem}" for problem in found]
    if problems:
        raise UsageError("no order was taken\n" + "\n".join(problems))
    if not begun:
        raise UsageError("the file names no order below its first row")
    return [
        (one.line, order_of(code, one.consignee, one.country, list(one.lines.values())))
        for code, one in begun.items()
    ]


@dataclass(slots=True)
class _Begun:
    """An order of which one line or more were read."""

    line: int
    """Line of the file where the order begins, from 1."""
    consignee: str
    country: str
    lines: dict[str, OrderLine]


def _added(begun: dict[str, _Begun], line: int, values: dict[str, str]) -> Iterable[str]:
    """Add a line to its order, or yield why it does not belong to it."""
    code, gtin = PlantCode.parse(values["order"]).text, _gtin(values["gtin"])
    one = begun.setdefault(code, _Begun(line, values["consignee"], values["country"], {}))
    for name, first in (("consignee", one.consignee), ("country", one.country)):
        if values[name] != first:
            yield f"{name} is {values[name]!r}: order {code} is for {first!r} by line {one.line}"
    if gtin in one.lines:
        yield f"order {code} names gtin {gtin} already: expected each product once"
    one.lines.setdefault(gtin, OrderLine(gtin, int(values["quantity"])))


def _problems(values: dict[str, str]) -> Iterable[str]:
    """Yield what is wrong in one line, column by column."""
    try:
        code = PlantCode.parse(values["order"])
        if code.kind is not CodeKind.ORDER:
            yield f"order {values['order']} is a {code.kind.noun}: expected an order code"
    except IdentifierError as problem:
        yield f"order: {problem}"
    for name in ("consignee", "country"):
        if not values[name].isprintable() or not values[name]:
            yield f"{name} is {values[name]!r}: expected printable text"
    try:
        _gtin(values["gtin"])
    except IdentifierError as problem:
        yield f"gtin: {problem}"
    quantity = values["quantity"]
    if not (quantity.isascii() and quantity.isdigit() and 1 <= int(quantity[:10]) <= 999_999_999):
        yield f"quantity is {quantity!r}: expected a whole number from 1"


def _gtin(text: str) -> str:
    return Gtin.parse(text).gtin13

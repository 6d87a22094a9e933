"""Orders from a CSV or XLSX file, every wrong line named.

The first row names the columns: order, consignee, country, gtin, quantity, in any order; other columns are not read.
An order of several products has a line for each, with the same order code, consignee and country.
"""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from zipfile import BadZipFile, ZipFile

from tracelink.errors import IdentifierError, UsageError
from tracelink.identity.gs1.gtin import Gtin
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.kinds.orders import OrderLine, order_of
from tracelink.limited import within_limits
from tracelink.plainfile import plain_bytes
from tracelink.store.office.order_book import Order

COLUMNS = ("order", "consignee", "country", "gtin", "quantity")

_MOST_LINES = 100_000
"""Of one file. A busy plant has some hundred orders a day."""

_MOST_COLUMNS = 30

_MOST_UNZIPPED = 64 << 20
"""Bytes of a workbook when it is unzipped; a hundred thousand lines have about twenty million."""

Row = tuple[int, Sequence[str]]
"""A line of the file, counted from 1, and its cells as text."""


def read_orders(file: str) -> list[tuple[int, Order]]:
    """Read the orders of a file, each with its line.

    Args:
        file: a path ending in .csv (UTF-8; comma or semicolon) or .xlsx (the first sheet).

    Raises:
        UsageError: the file cannot be read, or names every line with what is wrong in it.
    """
    path = Path(file)
    readers = {".csv": _csv_rows, ".xlsx": _xlsx_rows}
    reader = readers.get(path.suffix.lower())
    if reader is None:
        raise UsageError(f"order file {file}: expected a name ending in .csv or .xlsx")
    try:
        data = plain_bytes(path)
    except OSError as problem:
        raise UsageError(f"order file {file} cannot be read: {problem.strerror}") from None
    return within_limits(lambda: _orders(_filled_rows(reader(data, file), file)), f"order file {file}")


def _filled_rows(rows: Iterable[Row], file: str) -> list[Row]:
    """Return the rows in which anything stands."""
    found: list[Row] = []
    for line, cells in rows:
        if line > _MOST_LINES:
            raise UsageError(f"order file {file} has more than {_MOST_LINES:,} lines: expected several files")
        if any(cells):
            found.append((line, cells))
    if not found:
        raise UsageError(f"order file {file} is empty: expected a first row with {', '.join(COLUMNS)}")
    return found


def _csv_rows(data: bytes, file: str) -> Iterator[Row]:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise UsageError(
            f"order file {file} is not UTF-8 text: byte {problem.start} cannot be read"
        ) from None
    head = text.partition("\n")[0]
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=";" if ";" in head else ",", strict=True)
    try:
        for cells in reader:
            yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as problem:
        raise UsageError(f"order file {file}, line {reader.line_num}: {problem}") from None


def _xlsx_rows(data: bytes, file: str) -> Iterator[Row]:
    from openpyxl import load_workbook  # noqa: PLC0415  costs a tenth of a second, for one command

    try:
        unzipped = sum(part.file_size for part in ZipFile(io.BytesIO(data)).infolist())
    except (BadZipFile, ValueError, NotImplementedError) as problem:
        raise UsageError(f"order file {file} is not an XLSX workbook: {problem}") from None
    if unzipped > _MOST_UNZIPPED:
        raise UsageError(
            f"order file {file} unzips to {unzipped:,} bytes: expected at most {_MOST_UNZIPPED:,}, and several files"
        )
    try:
        book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    except Exception as problem:  # noqa: BLE001  a broken workbook raises whatever its parser stumbled over
        raise UsageError(
            f"order file {file} is not an XLSX workbook: {problem or type(problem).__name__}"
        ) from None
    sheet = book.worksheets[0]
    for line, cells in enumerate(sheet.iter_rows(values_only=True, max_col=_MOST_COLUMNS), 1):
        yield line, [_cell(value) for value in cells]


def _cell(value: Any) -> str:
    """Return a cell as text; a spreadsheet keeps a GTIN typed as a number without its leading zeros."""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    return "" if value is None else str(value).strip()


def _orders(rows: Sequence[Row]) -> list[tuple[int, Order]]:
    (_line, head), *rest = rows
    names = [name.lower() for name in head]
    missing = [name for name in COLUMNS if name not in names]
    if missing:
        raise UsageError(f"the first row has no column {', '.join(missing)}: expected {', '.join(COLUMNS)}")
    begun: dict[str, _Begun] = {}
    problems: list[str] = []
    for line, cells in rest:
        padded = [*cells, *[""] * (len(names) - len(cells))]
        values = {name: padded[names.index(name)] for name in COLUMNS}
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

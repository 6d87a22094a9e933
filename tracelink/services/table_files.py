"""Tables that people hand in as CSV or XLSX, read line by line in a process of its own."""

import csv
import io
import warnings
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import chain, islice
from pathlib import Path
from typing import Any, TypeVar
from zipfile import BadZipFile, ZipFile

from tracelink.errors import UsageError
from tracelink.limited import within_limits
from tracelink.plainfile import plain_bytes

MOST_LINES = 100_000
"""Of one file. A busy plant has some hundred orders a day."""

_MOST_COLUMNS = 30

_MOST_UNZIPPED = 64 << 20
"""Bytes of a workbook when it is unzipped; a hundred thousand lines have about twenty million."""

Row = tuple[int, Sequence[str]]
"""A line of the file, counted from 1, and its cells as text."""

Answer = TypeVar("Answer")


@dataclass(frozen=True, slots=True)
class TableForm:
    """What is said of a file before it is read, so that nothing of it is guessed."""

    separator: str | None = None
    """Between the cells of a CSV; None takes semicolons if the first row has one, else commas."""
    decimal_sign: str = "."
    """How the numbers of a workbook are written as text; those of a CSV stay as they are."""
    time_form: str | None = None
    """How the dates of a workbook are written as text, as `strftime` takes it; None for YYYY-MM-DD hh:mm:ss."""


ANY_FORM = TableForm()
"""Nothing is said."""


def read_table(
    file: str,
    what: str,
    columns: Sequence[str],
    take: Callable[[Sequence[tuple[int, dict[str, str]]]], Answer],
    form: TableForm = ANY_FORM,
) -> Answer:
    """Return what `take` makes of the lines below the first row of a file.

    Args:
        file: a path ending in .csv (UTF-8; comma or semicolon) or .xlsx (the first sheet).
        what: the file is, to begin a sentence with, such as "order file".
        columns: that the first row must name, in any order; other columns are not read.
        take: gets each line with its number and its cells by the name of their column.
        form: what is said of the file beforehand.

    Raises:
        UsageError: the file cannot be read, is empty, or has not these columns.
    """
    return table_of(table_bytes(file, what), take, columns, form)


@dataclass(frozen=True, slots=True)
class TableBytes:
    """A file as it was read: what is hashed and what is booked are the same bytes."""

    named: str
    """What the file is, with its path."""
    suffix: str
    """Of its name, small: .csv or .xlsx."""
    data: bytes


def table_bytes(file: str, what: str) -> TableBytes:
    """Read a file once.

    Raises:
        UsageError: it cannot be read, or its name ends in neither .csv nor .xlsx.
    """
    path, named = Path(file), f"{what} {file}"
    suffix = path.suffix.lower()
    if suffix not in _READERS:
        raise UsageError(f"{named}: expected a name ending in .csv or .xlsx")
    try:
        return TableBytes(named, suffix, plain_bytes(path))
    except OSError as problem:
        raise UsageError(f"{named} cannot be read: {problem.strerror}") from None


def table_of(
    given: TableBytes,
    take: Callable[[Sequence[tuple[int, dict[str, str]]]], Answer],
    columns: Sequence[str],
    form: TableForm = ANY_FORM,
) -> Answer:
    """Return what `take` makes of the lines below the first row, as `read_table`."""
    reader, named = _READERS[given.suffix], given.named
    return within_limits(
        lambda: take(_by_column(_filled_rows(reader(given.data, named, form), named, columns), columns)),
        named,
    )


def _filled_rows(rows: Iterable[Row], named: str, columns: Sequence[str]) -> list[Row]:
    """Return the rows in which anything stands."""
    found: list[Row] = []
    for line, cells in rows:
        if line > MOST_LINES:
            raise UsageError(f"{named} has more than {MOST_LINES:,} lines: expected several files")
        if any(cells):
            found.append((line, cells))
    if not found:
        raise UsageError(f"{named} is empty: expected a first row with {', '.join(columns)}")
    return found


def _by_column(rows: Sequence[Row], columns: Sequence[str]) -> list[tuple[int, dict[str, str]]]:
    (_line, head), *rest = rows
    names = [name.lower() for name in head]
    missing = [name for name in columns if name not in names]
    if missing:
        raise UsageError(f"the first row has no column {', '.join(missing)}: expected {', '.join(columns)}")
    padded = [(line, [*cells, *[""] * (len(names) - len(cells))]) for line, cells in rest]
    return [(line, {name: cells[names.index(name)] for name in columns}) for line, cells in padded]


def _csv_rows(data: bytes, named: str, form: TableForm) -> Iterator[Row]:
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as problem:
        raise UsageError(f"{named} is not UTF-8 text: byte {problem.start} cannot be read") from None
    head = text.partition("\n")[0]
    separator = form.separator or (";" if ";" in head else ",")
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        for cells in reader:
            yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as problem:
        raise UsageError(f"{named}, line {reader.line_num}: {problem}") from None


def _xlsx_rows(data: bytes, named: str, form: TableForm) -> Iterator[Row]:
    try:
        unzipped = sum(part.file_size for part in ZipFile(io.BytesIO(data)).infolist())
    except (BadZipFile, ValueError, NotImplementedError) as problem:
        raise UsageError(f"{named} is not an XLSX workbook: {problem}") from None
    if unzipped > _MOST_UNZIPPED:
        raise UsageError(
            f"{named} unzips to {unzipped:,} bytes: expected at most {_MOST_UNZIPPED:,}, and several files"
        )
    for line, cells in enumerate(_sheet_rows(data, named), 1):
        yield line, [_cell(value, form) for value in cells]


def _sheet_rows(data: bytes, named: str) -> list[tuple[Any, ...]]:
    """Return the cells of the first sheet, of one row more than are taken: a workbook may be broken in any of its parts."""
    from openpyxl import load_workbook  # noqa: PLC0415  costs a tenth of a second, for few commands

    try:
        with warnings.catch_warnings():
            # They are about styles and print areas, not about what stands in a cell.
            warnings.simplefilter("ignore")
            book = load_workbook(io.BytesIO(data), read_only=True, data_only=True)
            rows = (sheet.iter_rows(values_only=True, max_col=_MOST_COLUMNS) for sheet in book.worksheets[:1])
            return list(islice(chain.from_iterable(rows), MOST_LINES + 1))
    except MemoryError:
        raise
    except Exception as problem:  # noqa: BLE001  a broken workbook raises whatever its parser stumbled over
        raise UsageError(f"{named} is not an XLSX workbook: {problem or type(problem).__name__}") from None


def _cell(value: Any, form: TableForm) -> str:
    """Return a cell as text; a spreadsheet keeps a GTIN typed as a number without its leading zeros."""
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if isinstance(value, float):
        return repr(value).replace(".", form.decimal_sign)
    if isinstance(value, datetime) and form.time_form is not None:
        return value.strftime(form.time_form)
    return "" if value is None else str(value).strip()


_READERS = {".csv": _csv_rows, ".xlsx": _xlsx_rows}

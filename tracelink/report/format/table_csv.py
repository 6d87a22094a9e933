"""Rows for other programs and for spreadsheets: CSV with the keys of the columns in its first line.

A spreadsheet takes a cell that begins with one of `= + - @`, tab or carriage return for a formula. Such text
gets one apostrophe in front; so does text that has apostrophes before such a sign, so that taking one off again
gives back exactly what was recorded.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence

from tracelink.report.format.plain import visible
from tracelink.report.format.table import Cell, Column, Table

_CHARACTERS_AT_A_TIME = 65_536
_FORMULA = re.compile(r"'*[=+\-@\t\r]")


def csv_text(rows: Iterable[Mapping[str, Cell]], columns: Sequence[Column]) -> str:
    """Return rows as CSV.

    Args:
        rows: keys without a column are left out.
        columns: what to print; each key must be in every row.
    """
    return "".join(csv_lines(rows, columns))


def csv_lines(rows: Iterable[Mapping[str, Cell]], columns: Sequence[Column]) -> Iterator[str]:
    """Yield the same some lines at a time, for tables that need not be in memory whole."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([column.key for column in columns])
    for row in rows:
        writer.writerow([for_spreadsheet(row[column.key]) for column in columns])
        if out.tell() > _CHARACTERS_AT_A_TIME:
            yield out.getvalue()
            out.seek(0)
            out.truncate()
    yield out.getvalue()


def csv_file(table: Table) -> bytes:
    """Return a table as a CSV file, without the lines that it adds up to."""
    return csv_text(table.records(), table.columns).encode()


def for_spreadsheet(cell: Cell) -> str:
    """Return a cell as text that no spreadsheet takes for a formula and no reader for anything else."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return str(cell)
    # Judged before controls are shown by their number: a tab that is `\t` to the eye was still a tab.
    raw = cell if isinstance(cell, str) else visible(", ".join(cell))
    said = visible(cell if isinstance(cell, str) else ", ".join(cell))
    return "'" + said if _FORMULA.match(raw) else said

"""Rows for a reader or for a program: the three forms of every reading command.

`table` is for people. `json` and `csv` are for programs and spreadsheets; their keys and order are those of the
columns, so they stay as they are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from tracelink.errors import UsageError
from tracelink.report.format.table import Cell, Column, Kind
from tracelink.report.format.table_csv import csv_text
from tracelink.report.format.table_json import json_text
from tracelink.report.format.table_text import terminal_text

__all__ = ["FORMATS", "Cell", "Column", "Format", "Kind", "render"]

Format = Literal["table", "json", "csv"]
"""How rows are printed."""

FORMATS: tuple[Format, ...] = ("table", "json", "csv")
"""Every format, the one for people first."""


def render(
    rows: Sequence[Mapping[str, Cell]],
    columns: Sequence[Column],
    fmt: str,
    *,
    width: int | None = None,
    encoding: str | None = "utf-8",
) -> str:
    """Print rows.

    Args:
        rows: one mapping per row; keys without a column are left out.
        columns: what to print, in order; each key must be in every row.
        fmt: one of `FORMATS`.
        width: characters in a line of the screen; None asks the terminal.
        encoding: of the stream it will be written to; lines are drawn in ASCII if it has no others.

    Returns:
        Text that ends in a line feed.

    Raises:
        UsageError: the format is unknown.
    """
    if fmt == "json":
        return json_text(rows, columns)
    if fmt == "csv":
        return csv_text(rows, columns)
    if fmt == "table":
        return terminal_text(rows, columns, width, encoding)
    raise UsageError(f"format {fmt!r} is unknown: expected one of {', '.join(FORMATS)}")

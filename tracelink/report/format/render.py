"""Rows for a reader or for a program: the three forms of every reading command.

`table` is for people: scanned text is shown, never obeyed, and no code is cut off. `json` and `csv` are for
programs and spreadsheets; their keys and order are those of the columns, so they stay as they are.

A spreadsheet takes a cell that begins with one of `= + - @`, tab or carriage return for a formula. Such text
gets one apostrophe in front; so does text that has apostrophes before such a sign, so that taking one off again
gives back exactly what was recorded.
"""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from tracelink.errors import UsageError
from tracelink.report.format.plain import can_draw, visible

if TYPE_CHECKING:
    from rich.table import Table

Cell = str | int | float | bool | Sequence[str] | None
"""What a row may hold; None is something that is not known or does not apply."""

Format = Literal["table", "json", "csv"]
"""How rows are printed."""

FORMATS: tuple[Format, ...] = ("table", "json", "csv")
"""Every format, the one for people first."""

_FORMULA = re.compile(r"'*[=+\-@\t\r]")
_NOTHING = "(no rows)"
_BETWEEN_COLUMNS = 2


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table."""

    key: str
    """The key in the rows, in JSON and in the first line of CSV."""
    title: str
    """The heading for people."""
    number: bool = False
    """Whether it holds numbers; they stand on the right."""
    wraps: bool = False
    """Whether long text may go on in the next line. Codes never do: a broken code is read wrong."""


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
        rows: one mapping a row; keys without a column are left out.
        columns: what to print, in order; each key must be in every row.
        fmt: one of `FORMATS`.
        width: characters in a line of the screen; None asks the terminal. A table whose codes need more is wider.
        encoding: of the stream it will be written to; lines are drawn in ASCII if it has no others.

    Returns:
        Text that ends in a line feed.

    Raises:
        UsageError: the format is none of them.
    """
    if fmt == "json":
        return _json(rows, columns)
    if fmt == "csv":
        return _csv(rows, columns)
    if fmt == "table":
        return _table(rows, columns, width, encoding)
    raise UsageError(f"format {fmt!r} is unknown: expected one of {', '.join(FORMATS)}")


def _json(rows: Iterable[Mapping[str, Cell]], columns: Sequence[Column]) -> str:
    plain = [{column.key: _plain(row[column.key]) for column in columns} for row in rows]
    # ASCII only: JSON itself lets C1 controls and reversed writing through, and a terminal obeys them.
    return json.dumps(plain, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def _plain(cell: Cell) -> str | int | float | bool | list[str] | None:
    return cell if isinstance(cell, str | int | float) or cell is None else list(cell)


def _csv(rows: Iterable[Mapping[str, Cell]], columns: Sequence[Column]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([column.key for column in columns])
    for row in rows:
        writer.writerow([for_spreadsheet(row[column.key]) for column in columns])
    return out.getvalue()


def for_spreadsheet(cell: Cell) -> str:
    """Return a cell as text that no spreadsheet takes for a formula and no reader for anything else."""
    shown = _said(cell)
    if isinstance(cell, int | float):
        return shown
    # Judged before controls are shown by their number: a tab that is `\t` to the eye was still a tab.
    raw = cell if isinstance(cell, str) else shown
    return "'" + shown if _FORMULA.match(raw) else shown


def _said(cell: Cell) -> str:
    """A cell as text, with everything in it visible."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return str(cell)
    return visible(cell if isinstance(cell, str) else ", ".join(cell))


def _table(
    rows: Sequence[Mapping[str, Cell]], columns: Sequence[Column], width: int | None, encoding: str | None
) -> str:
    # Rich costs 20 ms, which the formats for programs do not pay.
    from rich import box  # noqa: PLC0415
    from rich.console import Console  # noqa: PLC0415
    from rich.table import Table  # noqa: PLC0415

    cells = [[_said(row[column.key]) for column in columns] for row in rows]
    lines = box.SIMPLE_HEAD if can_draw(encoding, "─") else box.ASCII2
    table = Table(box=lines, pad_edge=False, show_edge=False)
    _fill(table, columns, cells)
    wanted = shutil.get_terminal_size().columns if width is None else width
    out = io.StringIO()
    console = Console(
        file=out,
        width=max(wanted, _needed(columns, cells)),
        color_system=None,
        force_terminal=False,
        force_jupyter=False,
        legacy_windows=False,
    )
    console.print(table)
    if not rows:
        console.print(_NOTHING, markup=False, highlight=False)
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def _fill(table: Table, columns: Sequence[Column], cells: Iterable[Sequence[str]]) -> None:
    from rich.text import Text  # noqa: PLC0415 - see _table

    for column in columns:
        table.add_column(
            Text(column.title),
            justify="right" if column.number else "left",
            no_wrap=not column.wraps,
            overflow="fold",
        )
    for row in cells:
        # Text, never a plain str: rich would take [brackets] in a scanned text for its own markup and eat them.
        table.add_row(*(Text(cell) for cell in row))


def _needed(columns: Sequence[Column], cells: Sequence[Sequence[str]]) -> int:
    """The fewest characters in which no code is broken and wrapping text breaks between words only."""
    from rich.cells import cell_len  # noqa: PLC0415 - see _table

    total = 0
    for number, column in enumerate(columns):
        texts = [column.title, *(row[number] for row in cells)]
        parts = (word for text in texts for word in text.split()) if column.wraps else iter(texts)
        total += max((cell_len(part) for part in parts), default=0) + _BETWEEN_COLUMNS
    return total + len(columns)

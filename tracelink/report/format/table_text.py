"""Rows on a terminal: a table if it fits the screen, else one block of lines per row.

Scanned text is shown, never obeyed, and no code is cut off or broken.
"""

from __future__ import annotations

import io
import shutil
import sys
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING

from tracelink.report.format.plain import can_draw
from tracelink.report.format.shown import shown
from tracelink.report.format.table import Cell, Column

if TYPE_CHECKING:
    from rich.table import Table

_NOTHING = "(no rows)"
_BETWEEN_COLUMNS = 2
_LEAST_WORDS = 20
"""Characters that running text in a block gets at least, however narrow the screen."""


def terminal_text(
    rows: Sequence[Mapping[str, Cell]],
    columns: Sequence[Column],
    width: int | None,
    encoding: str | None,
) -> str:
    """Return rows for a person at a terminal.

    Args:
        rows: keys without a column are left out.
        columns: what to print; each key must be in every row.
        width: characters in a line of the screen; None asks the terminal. What does not go to a terminal is as wide
            as its codes need.
        encoding: of the stream; lines are drawn in ASCII if it has no others.
    """
    cells = [[_said(row[column.key], column, encoding) for column in columns] for row in rows]
    needed = _needed(columns, cells)
    wanted = shutil.get_terminal_size().columns if width is None else width
    is_screen = width is not None or sys.stdout.isatty()
    if is_screen and needed > wanted:
        return _blocks(columns, cells, wanted) if rows else f"{_NOTHING}\n"
    return _table(columns, cells, max(wanted, needed), encoding)


def _said(cell: Cell, column: Column, encoding: str | None) -> str:
    said = shown(cell, column)
    if can_draw(encoding, said):
        return said
    for sign, plain in (("\u202f", " "), ("\u00a0", " "), ("−", "-"), ("±0", "0"), ("–", "-")):
        said = said.replace(sign, plain)
    return said


def _blocks(columns: Sequence[Column], cells: Iterable[Sequence[str]], width: int) -> str:
    """One line `name: value` per column and an empty line after each row; what is empty is left out."""
    names = max(len(column.heading) for column in columns) + 2
    blocks = []
    for row in cells:
        lines = []
        for column, cell in zip(columns, row, strict=True):
            if not cell:
                continue
            name = f"{column.heading}:".ljust(names)
            if not column.wraps:
                lines.append(name + cell)
                continue
            room = max(width, names + _LEAST_WORDS)
            # Long words are codes: they go on beyond the screen rather than break.
            lines += textwrap.wrap(
                name + cell,
                room,
                subsequent_indent=" " * names,
                break_long_words=False,
                break_on_hyphens=False,
                drop_whitespace=True,
            )
        blocks.append("\n".join(lines))
    return "\n\n".join(blocks) + "\n"


def _table(
    columns: Sequence[Column], cells: Sequence[Sequence[str]], width: int, encoding: str | None
) -> str:
    # Rich costs 20 ms, which the formats for programs do not pay.
    from rich import box  # noqa: PLC0415
    from rich.console import Console  # noqa: PLC0415
    from rich.table import Table  # noqa: PLC0415

    lines = box.SIMPLE_HEAD if can_draw(encoding, "─") else box.ASCII2
    table = Table(box=lines, pad_edge=False, show_edge=False)
    _fill(table, columns, cells)
    out = io.StringIO()
    console = Console(
        file=out,
        width=width,
        color_system=None,
        force_terminal=False,
        force_jupyter=False,
        legacy_windows=False,
    )
    console.print(table)
    if not cells:
        console.print(_NOTHING, markup=False, highlight=False)
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def _fill(table: Table, columns: Sequence[Column], cells: Iterable[Sequence[str]]) -> None:
    from rich.text import Text  # noqa: PLC0415 - see _table

    for column in columns:
        table.add_column(
            Text(column.heading),
            justify="right" if column.number else "left",
            no_wrap=not column.wraps,
            overflow="fold",
        )
    for row in cells:
        # Text, never a plain str: rich would take [brackets] in a scanned text for its own markup and eat them.
        table.add_row(*(Text(cell) for cell in row))


def _needed(columns: Sequence[Column], cells: Sequence[Sequence[str]]) -> int:
    """Return the fewest characters in which no code is broken and wrapping text breaks between words only."""
    from rich.cells import cell_len  # noqa: PLC0415 - see _table

    total = 0
    for number, column in enumerate(columns):
        texts = [column.heading, *(row[number] for row in cells)]
        parts = (word for text in texts for word in text.split()) if column.wraps else iter(texts)
        total += max((cell_len(part) for part in parts), default=0) + _BETWEEN_COLUMNS
    return total + len(columns)

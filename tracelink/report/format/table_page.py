"""A table on a page: markup in which every text is escaped and nothing scanned acts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from markupsafe import Markup

from tracelink.report.format.plain import visible
from tracelink.report.format.shown import LOUD, code_parts, on_paper
from tracelink.report.format.table import Cell, Column, Kind, Table

_SHORT = 12
"""Rows of a table that stays on one sheet when the page is printed."""


def page_table(table: Table) -> Markup:
    """Return a table as markup, or the sentence that stands in its place if it has no rows."""
    caption = visible(table.caption)
    if not table.rows:
        return Markup("<p><b>{}:</b> {}</p>\n").format(caption, visible(table.otherwise))
    return Markup(
        '<div class="wide" tabindex="0" role="group" aria-label="{}">\n'
        "<table{}>\n<caption>{}</caption>\n<thead>{}</thead>\n<tbody>\n{}</tbody>\n{}</table>\n</div>\n"
    ).format(
        f"Table: {caption}",
        Markup(' class="keep"') if len(table.rows) <= _SHORT else "",
        caption,
        _heading(table.columns),
        _rows(table.rows, table.columns),
        Markup("<tfoot>\n{}</tfoot>\n").format(_rows(table.foot, table.columns)) if table.foot else "",
    )


def _heading(columns: Iterable[Column]) -> Markup:
    heads = (
        Markup('<th scope="col"{}>{}</th>').format(
            Markup(' class="n"') if column.number else "", visible(column.heading)
        )
        for column in columns
    )
    return Markup("<tr>{}</tr>").format(Markup("").join(heads))


def _rows(rows: Iterable[Sequence[Cell]], columns: Sequence[Column]) -> Markup:
    return Markup("").join(
        Markup("<tr>{}</tr>\n").format(
            Markup("").join(
                _cell(cell, column, names_row=place == 0)
                for place, (cell, column) in enumerate(zip(row, columns, strict=True))
            )
        )
        for row in rows
    )


def _cell(cell: Cell, column: Column, *, names_row: bool) -> Markup:
    align = "n" if column.number else "w" if column.gives_way else "c"
    loud = " loud" if cell in LOUD else ""
    # A screen reader says the first cell before each of the others.
    form = '<th scope="row" class="{}{}">{}</th>' if names_row else '<td class="{}{}">{}</td>'
    said = _text(on_paper(cell, column))
    if column.kind is Kind.ENTRY and cell is not None:
        said = Markup('<span class="entry">{}</span>').format(said)
    return Markup(form).format(align, loud, said)  # noqa: S704  both forms are literals


def _text(words: str) -> Markup:
    parts = (
        Markup("<code>{}</code>").format(part) if is_code else Markup("{}").format(part)
        for is_code, part in code_parts(words)
    )
    return Markup("").join(parts)

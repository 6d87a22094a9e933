"""Tables on a telephone: a row of many cells is laid out one under the other, each cell with its heading.

The style does it where a page is narrow; here each cell is given its heading, and each part of the table its role, which a
browser forgets of a table that is laid out otherwise.
"""

from __future__ import annotations

import re

_FEWEST = 4
"""Columns; fewer stand side by side on a telephone too."""
_TABLE = re.compile(r"<table(?: class=\"keep\")?>.*?</table>", re.DOTALL)
_COLUMN = re.compile(r'<th scope="col"( class="n")?>(.*?)</th>')
_ROW = re.compile(r"<tr>(<(?:td|th scope=\"row\").*?)</tr>", re.DOTALL)
_CELL = re.compile(r'<(td|th scope="row") class=')
_PARTS = (
    ('<table class="keep">', '<table role="table" class="keep stacked">'),
    ("<table>", '<table role="table" class="stacked">'),
    ("<thead><tr>", '<thead role="rowgroup"><tr role="row">'),
    ("<tbody>", '<tbody role="rowgroup">'),
    ("<tfoot>", '<tfoot role="rowgroup">'),
)
_ROLES = {"td": "cell", 'th scope="row"': "rowheader"}


def stacked(body: str) -> str:
    """Return a page whose wide tables can be laid out one cell under the other.

    Args:
        body: markup of a document, as `document_body` makes it.
    """
    return _TABLE.sub(_stacked, body)


def _stacked(found: re.Match[str]) -> str:
    table = found[0]
    headings = [heading for _number, heading in _COLUMN.findall(table)]
    if len(headings) < _FEWEST:
        return table
    table = _COLUMN.sub(r'<th role="columnheader" scope="col"\1>\2</th>', table)
    table = _ROW.sub(lambda row: _with_headings(row[1], headings), table)
    for plain, with_role in _PARTS:
        table = table.replace(plain, with_role, 1)
    return table


def _with_headings(cells: str, headings: list[str]) -> str:
    left = iter(headings)
    named = _CELL.sub(
        lambda cell: f'<{cell[1]} role="{_ROLES[cell[1]]}" data-of="{next(left)}" class=', cells
    )
    return f'<tr role="row">{named}</tr>'

"""Rows for other programs: JSON with the keys and the order of the columns."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence

from tracelink.report.format.table import Cell, Column


def json_text(rows: Iterable[Mapping[str, Cell]], columns: Sequence[Column]) -> str:
    """Return rows as a list of objects.

    Args:
        rows: keys without a column are left out.
        columns: what to print; each key must be in every row.
    """
    plain = [{column.key: _plain(row[column.key]) for column in columns} for row in rows]
    # ASCII only: JSON itself lets C1 controls and reversed writing through, and a terminal obeys them.
    return json.dumps(plain, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def _plain(cell: Cell) -> str | int | float | bool | list[str] | None:
    return cell if isinstance(cell, str | int | float) or cell is None else list(cell)

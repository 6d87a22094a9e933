"""A cell as a person reads it: one form of times and one of numbers, wherever it is printed."""

from __future__ import annotations

import re
from functools import lru_cache

from tracelink.ledger.count_words import grouped, signed
from tracelink.ledger.time_words import instant, moment
from tracelink.report.format.plain import percent, visible
from tracelink.report.format.table import Cell, Column, Kind, Loose, Signed

LOUD = ("BAD", "NONE", "proven")
"""Cells that must not be overlooked: a page and a sheet set them apart."""


_NO_BREAK = "\u00a0"

_CODE = re.compile(r"(?<![\w.])([A-Z][0-9]{6,10}[0-9A-Z]|[0-9]{18}|[0-9]{12,14})(?![\w.])")
"""A plant code, an SSCC or a GTIN in a text: how it is set and nothing else hangs on it."""
_TIME = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9:.]+(?:Z|[+-][0-9]{2}:[0-9]{2})")


@lru_cache(maxsize=8192)
def code_parts(words: str) -> tuple[tuple[bool, str], ...]:
    """Divide a text into codes (True) and the words between them; codes are set so that 0 and O, 1 and I differ."""
    return tuple((place % 2 == 1, part) for place, part in enumerate(_CODE.split(words)) if part)


def with_moments(words: str) -> str:
    """Return a text with the times in it as they are shown everywhere."""
    return _TIME.sub(lambda found: moment(found[0]), words)


def shown(cell: Cell, column: Column, nothing: str = "") -> str:
    """Return a cell for a person, with everything in it visible.

    Args:
        cell: what the row holds.
        column: the column it stands in.
        nothing: what stands for None.
    """
    if cell is None:
        return nothing
    if isinstance(cell, bool):
        return "yes" if cell else "no"
    if isinstance(cell, int | float):
        return _number(cell, column.kind)
    texts = [cell] if isinstance(cell, str) else cell
    return visible(
        ", ".join(moment(each) for each in texts) if column.kind is Kind.TIME else ", ".join(texts)
    )


def on_paper(cell: Cell, column: Column) -> str:
    """Return a cell for a page or a sheet: what is not known is a dash, and a time breaks behind its date only."""
    said = shown(cell, column, "–")
    if column.kind is Kind.TIME and isinstance(cell, str) and instant(cell) is not None:
        date, _, rest = said.partition(" ")
        return f"{date} {rest.replace(' ', _NO_BREAK)}"
    return said


def _number(cell: float, kind: Kind) -> str:
    if kind is Kind.SHARE:
        return percent(cell)
    if isinstance(cell, Loose):
        return f"{grouped(cell)}*"
    if isinstance(cell, int):
        if kind is Kind.DIFFERENCE or isinstance(cell, Signed):
            return signed(cell)
        if kind is Kind.COUNT:
            return grouped(cell)
    return str(cell)

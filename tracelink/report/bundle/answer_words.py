"""Pieces of sentences for the answers to an auditor's questions.

An answer names what matters most and how many there are; what it leaves out it counts, and the table has it whole.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tracelink.ledger.count_words import grouped
from tracelink.ledger.time_words import moment
from tracelink.report.format.table import Cell

_NAMED = 4
"""Things an answer names one by one; of more it names so many and counts the rest."""

Row = dict[str, Cell]
Rows = Sequence[Row]
"""The rows of a table of the bundle, by column key."""


def few(texts: Iterable[str], noun: str = "", joint: str = "; ") -> str:
    """Return texts in a row; of more than a few so many, and how many more."""
    each = list(dict.fromkeys(text for text in texts if text))
    more = len(each) - _NAMED
    if more <= 0:
        return joint.join(each)
    return f"{joint.join(each[:_NAMED])} and {grouped(more)} more{f' {noun}' if noun else ''}"


def period(rows: Rows, first: str, last: str = "") -> str:
    """Return when some rows happened, as the end of a clause; empty if none has a time."""
    begun = sorted(str(row[first]) for row in rows if row[first])
    ended = sorted(str(row[last or first]) for row in rows if row[last or first])
    if not begun or not ended:
        return ""
    since, until = moment(begun[0]), moment(ended[-1])
    return f", {since}" if since == until else f", {since} to {until}"


def by_whom(rows: Rows, *columns: str) -> str:
    """Return who acted, as the end of a clause; empty if nobody is named."""
    names = few((str(row[column] or "") for row in rows for column in columns), joint=", ")
    return f", by {names}" if names else ""


def number(cell: Cell) -> str:
    """Return a count for a reader."""
    return grouped(cell) if isinstance(cell, int) else str(cell)


def total(rows: Iterable[Row], column: str) -> str:
    """Return the sum of a column for a reader."""
    return grouped(sum(cell for row in rows if isinstance(cell := row[column], int)))


def sentences(*texts: str) -> str:
    """Return texts as sentences, one after the other; empty ones are left out."""
    return " ".join(sentence(text) for text in texts if text)


def sentence(text: str) -> str:
    """Return text as a sentence: with a large letter and a full stop."""
    text = text[:1].upper() + text[1:]
    return f"{text}." if text and not text.endswith(".") else text

"""How many discs, by what is meant: each meaning has one heading, on screens, pages, sheets and in letters alike.

- *discs there*: discs of the lots in question in a place, affected or not.
- *discs sent*: those that left the plant for a consignee, affected or not.
- *discs in cartons that may hold one*: only those in containers that can hold an affected disc.
- *affected at least, at most*: of all of it taken together, never added up from its parts.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, replace

from tracelink.ledger.count_words import OF_DISCS, PieceWords
from tracelink.report.format.table import Column, Kind, Table

THERE = Column("pieces", "discs there", Kind.COUNT)
SENT = Column("sent", "discs sent", Kind.COUNT)
MAY_HOLD = Column("may_hold", "discs in cartons that may hold one", Kind.COUNT)
LEAST = Column("least", "affected at least", Kind.COUNT)
MOST = Column("most", "at most", Kind.COUNT)
CHANCE = Column("chance", "chance of any, at worst", Kind.SHARE)
TIGHT = Column("tight", "exact", Kind.YES_NO)
TOGETHER = (Column("codes", "taken together", Kind.TEXT), THERE, LEAST, MOST, Column("tight", "exact"))
"""Of sets of things that were asked about together."""

_TITLES = {
    "lot": "{whole}",
    "stroke": "{number}",
    "strokes": "{numbers}",
    "discs": "{many}",
    "discs there": "{many} there",
    "discs sent": "{many} sent",
    "discs in cartons that may hold one": "{many} in {holders} that may hold one",
    "discs of these lots": "{many} of these {whole}s",
    "pressed": "{made}",
    "discs judged good": "{many} judged good",
    "discs pressed": "{many} {made}",
    "first stroke": "first {number}",
    "last stroke": "last {number}",
    "stroke of its life": "{number} of its life",
    "strokes of the lot": "{numbers} of the {whole}",
    "lot and stroke": "{whole} and {number}",
    "off the press": "{made}",
    "sleeve numbers": "numbers",
}
"""Headings of columns about discs, and how they read where parts or built pieces are meant."""


def worded(columns: Iterable[Column], words: PieceWords) -> tuple[Column, ...]:
    """Return columns with headings for what is counted; their keys stay, and headings for discs stay as they are."""
    if words is OF_DISCS:
        return tuple(columns)
    said = asdict(words) | {"many": words.many, "numbers": words.numbers, "holders": words.holders}
    return tuple(
        replace(column, title=_TITLES.get(column.title, column.title).format(**said)) for column in columns
    )


def in_words(table: Table, words: PieceWords) -> Table:
    """Return a table with headings for what is counted."""
    return replace(table, columns=worded(table.columns, words))


def least_note(words: PieceWords = OF_DISCS) -> str:
    """Say what `affected at least` and `at most` count."""
    return f"At least counts only {words.many} that are proven affected; at most counts the possible ones as well."


LEAST_NOTE = least_note()


def chance_note(words: PieceWords) -> str:
    """Say what a chance is worth."""
    taken = "from their stack" if words is OF_DISCS else "from where they lay"
    return (
        f"The chance of any is one at worst: as if every possible {words.one} were affected and {words.many} were taken {taken} in "
        "random order. It says where to look first and does not justify a release."
    )

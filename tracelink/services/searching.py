"""A search through everything that the records know by a code, a name or a day."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.identity.reading import DiscRead, SleeveRead, read_scan
from tracelink.services.codes import resolve
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.records.text_search import FEWEST_CHARACTERS, Hit, HitsOfKind, SearchTerms, find_things

_PERIOD = re.compile(r"([0-9]{4}-[0-9]{2}-[0-9]{2})(?:\.\.([0-9]{4}-[0-9]{2}-[0-9]{2}))?")


@dataclass(frozen=True, slots=True)
class SearchResult:
    """What a search found, kind by kind."""

    text: str
    """The text looked for."""
    kinds: tuple[HitsOfKind, ...]
    """Those of a kind that is likeliest meant first."""

    @property
    def hits(self) -> tuple[Hit, ...]:
        """Everything that is shown."""
        return tuple(hit for kind in self.kinds for hit in kind.hits)

    @property
    def left_out(self) -> int:
        """How many things were found and are not shown."""
        return sum(kind.total - len(kind.hits) for kind in self.kinds)

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout search --format json`."""
        return {"text": self.text, "hits": [_plain(hit) for hit in self.hits], "left_out": self.left_out}


def search(conn: Connection, given: str, most: int) -> SearchResult:
    """Look for a text in everything that a person may know a thing by.

    Args:
        conn: a connection inside a transaction.
        given: part of a code, title, catalogue number, matrix text, name, reason or defect; the last digits of an
            SSCC; the number of a sleeve; a raw scan; a day (2025-03-10) or a period (2025-03-10..2025-03-12).
        most: hits of one kind at most, 1 or more.

    Raises:
        UsageError: the text is too short, or a day is invalid.
        IdentifierError: a raw scan holds an invalid code.
    """
    words = " ".join(given.split())
    if len(words) < FEWEST_CHARACTERS:
        raise UsageError(
            f"the search text {given!r} is too short: expected {FEWEST_CHARACTERS} characters or more"
        )
    if most < 1:
        raise UsageError(f"{most} hits of a kind: expected 1 or more")
    return SearchResult(words, tuple(find_things(conn, _wanted(conn, words), most)))


def _wanted(conn: Connection, words: str) -> SearchTerms:
    period = _PERIOD.fullmatch(words)
    if period is not None:
        day, last = _day(period[1]), _day(period[2] or period[1])
        if last < day:
            raise UsageError(f"the period {words!r} ends before it begins: expected the earlier day first")
        return SearchTerms(words, day, last)
    if words.startswith(("]", "(01)")):
        return SearchTerms(_product_in(words) or resolve(SqlRecords(conn), words))
    return SearchTerms(words)


def _product_in(scan: str) -> str | None:
    """Return the product that a raw scan of a disc or a sleeve without number names; None for any other."""
    reading = read_scan(scan) if scan.startswith("]") else None
    if isinstance(reading, DiscRead) or (isinstance(reading, SleeveRead) and reading.serial is None):
        return reading.gtin.gtin13
    return None


def _day(text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError:
        raise UsageError(f"{text!r} is an invalid date: expected YYYY-MM-DD") from None


def _plain(hit: Hit) -> dict[str, Any]:
    return {name: getattr(hit, name) for name in hit.__slots__}

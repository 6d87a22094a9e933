"""What a search found, as a document."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from tracelink.ledger.count_words import counted
from tracelink.report.format.document import Document, FramedNote, Section
from tracelink.report.format.shown import with_moments
from tracelink.report.format.table import Column, Kind, Table

COLUMNS = (
    Column("kind", "kind"),
    Column("code", "code or name"),
    Column("text", "known by", Kind.TEXT),
    Column("detail", "state", Kind.TEXT),
    Column("entry", "entry", Kind.ENTRY),
)
"""What a search says of each thing."""


def _shown(cell: Any) -> Any:
    return with_moments(cell) if isinstance(cell, str) else cell


def search_document(text: str, hits: Sequence[Mapping[str, Any]], left_out: int, imprint: str) -> Document:
    """Return the things that were found as a table.

    Args:
        text: what was looked for.
        hits: for each thing the values of `COLUMNS`.
        left_out: how many more were found.
        imprint: the records looked at.
    """
    rows = tuple(tuple(_shown(hit[column.key]) for column in COLUMNS) for hit in hits)
    table = Table("", "Found", COLUMNS, rows, otherwise=f"Nothing in the records is known by {text!r}.")
    more = FramedNote(
        f"{counted(left_out, 'more thing')} found and not shown: say more of what you look for."
    )
    blocks = (table, more) if left_out else (table,)
    return Document("Search", f"Search: {text}", imprint, imprint, (Section("What was found", blocks),))

"""The holds on some things, for a document: why, since when, by whom, and whether they were lifted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import Connection

from tracelink.facts.scope_records import HoldLine
from tracelink.store.database.in_lists import of_codes, rows_of
from tracelink.store.records.entry_stamps import entry_stamps

_HOLDS = of_codes(
    "SELECT h.code, h.cause, h.reason, h.seq, h.lifted_seq, i.subject, i.line FROM hold_item i "
    "JOIN hold h ON h.code = i.hold WHERE i.subject IN :codes ORDER BY h.seq, i.line"
)


def hold_lines(conn: Connection, things: Sequence[str], people: Mapping[str, str]) -> tuple[HoldLine, ...]:
    """Return the holds that name any of some things, open and lifted, in the order in which they were placed.

    Args:
        conn: a connection inside a transaction.
        things: codes; a lot also finds the holds on some of its strokes.
        people: names by badge, from `entry_stamps.names`.
    """
    rows = rows_of(conn, _HOLDS, things)
    stamps = entry_stamps(conn, (row.seq for row in rows), people)
    named: dict[str, list[Any]] = {}
    for row in sorted(rows, key=lambda row: (row.seq, row.line)):
        named.setdefault(row.code, []).append(row)
    lines = []
    for code, items in named.items():
        first = items[0]
        stamp = stamps[first.seq]
        things_named = len({item.subject for item in items})
        lines.append(
            HoldLine(
                code,
                first.cause,
                first.reason,
                things_named,
                stamp.happened,
                stamp.by,
                first.seq,
                first.lifted_seq,
            )
        )
    return tuple(lines)

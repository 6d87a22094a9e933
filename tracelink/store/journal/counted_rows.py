"""Rows that count, while a whole journal is replayed: each is written when it comes to be, and what it comes to at the end.

Theory of operation
-------------------
A place gains and loses discs with nearly every entry, and only its last count is a row of the tables. So the row is inserted
with its first count, which the schema judges as ever, and what is added later is kept here. A count that would go below zero
is written at once, so that the schema refuses or takes it at the very entry. Nothing reads these rows before `write`.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final

from sqlalchemy import Connection

from tracelink.ledger.changes import Change, Increase, Insert
from tracelink.store.journal.projection import count_of, set_counts

COUNTED: Final = frozenset({"stock", "carton_sleeve", "carton_item"})
"""Tables of a key and one count, which nothing but `Increase` writes."""

_MOST: Final = 100_000
"""Rows of which the count is kept: some 30 MB."""

_Key = tuple[Any, ...]


@dataclass(slots=True)
class _CountsOfTable:
    """What the rows of one table count."""

    first: Increase
    """The first change of the table: what its key and its count are called."""
    known: dict[_Key, int] = field(default_factory=dict)
    changed: set[_Key] = field(default_factory=set)
    """Keys of the rows that hold another count."""

    def write(self, target: Connection) -> None:
        """Write the counts that changed."""
        names = [*(f"key_{name}" for name in self.first.key), "now"]
        rows = [dict(zip(names, (*key, self.known[key]), strict=True)) for key in self.changed]
        set_counts(target, self.first, rows)
        self.changed.clear()


class CountedRows:
    """Adds to the rows of `COUNTED`, which had none when the replay began."""

    def __init__(self, target: Connection, carry_out: Callable[[Change], None]) -> None:
        """Begin with no rows.

        Args:
            target: a connection inside a write transaction.
            carry_out: carries out a change on it.
        """
        self._target = target
        self._carry_out = carry_out
        self._tables: dict[str, _CountsOfTable] = {}
        self._kept = 0
        self._are_all_kept = True

    def add(self, change: Increase) -> None:
        """Add to a count.

        Raises:
            sqlalchemy.exc.IntegrityError: the schema refuses the row.
        """
        counts = self._tables.get(change.table)
        if counts is None:
            counts = self._tables[change.table] = _CountsOfTable(change)
        key = tuple(change.key.values())
        before = counts.known.get(key)
        if before is None:
            before = self._begin(counts, key, change)
            if before is None:
                return
        counts.known[key] = before + change.by
        counts.changed.add(key)
        if before + change.by < 0:
            counts.write(self._target)

    def _begin(self, counts: _CountsOfTable, key: _Key, change: Increase) -> int | None:
        """Begin to keep a count and return what its row holds; if there was none, it is made with what is added."""
        self._make_room()
        found = None if self._are_all_kept else count_of(self._target, change)
        if found is None:
            self._carry_out(Insert(change.table, _row(change)))
            counts.known[key] = change.by
        self._kept += 1
        return found

    def _make_room(self) -> None:
        if self._kept >= _MOST:
            self.write()
            for counts in self._tables.values():
                counts.known.clear()
            self._kept, self._are_all_kept = 0, False

    def write(self) -> None:
        """Write what all rows come to."""
        for counts in self._tables.values():
            counts.write(self._target)


def _row(change: Increase) -> Mapping[str, Any]:
    return {**change.key, change.column: change.by}

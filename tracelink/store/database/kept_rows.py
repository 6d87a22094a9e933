"""Rows that were read and still stand: a station asks the same of the tables again and again while nothing changes.

Theory of operation
-------------------
A SQLite connection that writes keeps the rows of its short questions. A write of this program drops the rows of all
questions that name its table; any other write on the connection is seen by the number of rows that it changed so far
(`total_changes`), and drops everything. What other connections commit is seen by `PRAGMA data_version`, which is asked
when a write transaction has begun: from there on nobody else can write. Rows are never kept across connections, and
those of a transaction that was not committed, or of which that is not known, are dropped before the next one.
On a database server nothing is kept.
"""

import re
from collections import defaultdict
from typing import Any

from sqlalchemy import Connection

_MOST = 2000
"""Questions whose rows are kept; a dock that looks through a whole store must not fill the memory."""

_WORD = re.compile(r"(?<![.\w])[a-z_]+")
# What stands behind a dot is a column: no table is named with its schema.
_NAMING: defaultdict[str, set[int]] = defaultdict(set)
# Word -> the statements that have it: more words than tables, and never a table too few.


class KeptRows:
    """The rows that one connection keeps."""

    def __init__(self, raw: Any) -> None:
        """Args: raw: the driver's connection."""
        self.raw = raw
        self.same = False
        """True if no other connection wrote since the transaction before, and that was committed."""
        self._rows: dict[int, dict[tuple[object, ...], list[Any]]] = {}
        self._count = 0
        self._changes = -1
        self._version = -1
        self._is_committed = False

    @property
    def changes(self) -> int:
        """How many rows were changed through this connection since it was made."""
        return int(self.raw.total_changes)

    def began(self) -> None:
        """Drop what no longer stands; call when a write transaction has begun."""
        [version] = self.raw.execute("PRAGMA data_version").fetchone()
        self.same = self._is_committed and version == self._version
        if not self.same:
            self.drop()
        self._version, self._is_committed = version, False

    def committed(self) -> None:
        """Take notice that the transaction came through; never called, nothing of it is kept."""
        self._is_committed = True

    def drop(self) -> None:
        """Drop all rows."""
        self._rows.clear()
        self._count = 0
        self._changes = self.changes

    def find(self, statement: int, values: tuple[object, ...]) -> list[Any] | None:
        """Return the rows of a question if they still stand.

        Args:
            statement: its identity, which `note_words` was told of.
            values: of its parameters.
        """
        if self.raw.total_changes != self._changes:
            self.drop()
            return None
        known = self._rows.get(statement)
        return None if known is None else known.get(values)

    def keep(self, statement: int, values: tuple[object, ...], rows: list[Any]) -> None:
        """Keep the rows that were found just now; see `find`."""
        if self._count >= _MOST:
            self.drop()
        self._count += 1
        self._rows.setdefault(statement, {})[values] = rows

    def look(self) -> None:
        """Drop all rows if something was written that `wrote` was not told of; call before each write."""
        if self.raw.total_changes != self._changes:
            self.drop()

    def wrote(self, table: str) -> None:
        """Drop the rows of all questions that name a table, after a write to it and nothing else."""
        for statement in _NAMING[table]:
            gone = self._rows.pop(statement, None)
            if gone is not None:
                self._count -= len(gone)
        self._changes = self.raw.total_changes


_NAME = "kept_rows"
# Under this name with the connection itself, as a table beside it would be looked into a dozen times a scan.


def begin(conn: Connection, raw: Any, *, writes: bool) -> None:
    """Take notice that a transaction has begun.

    Args:
        conn: its connection.
        raw: the driver's own, to a SQLite database.
        writes: whether it holds the write lock.
    """
    if not writes:
        conn.__dict__.pop(_NAME, None)
        return
    info = conn.info
    if _NAME not in info:
        info[_NAME] = KeptRows(raw)
    kept: KeptRows = info[_NAME]
    kept.began()
    conn.__dict__[_NAME] = kept


def of(conn: Connection) -> KeptRows | None:
    """Return the rows that a connection keeps inside its write transaction; None if it keeps none."""
    return conn.__dict__.get(_NAME)


def note_words(statement: int, sql: str) -> None:
    """Note which tables a question may be about.

    Args:
        statement: its identity.
        sql: its text.
    """
    for word in _WORD.findall(sql.lower()):
        _NAMING[word].add(statement)

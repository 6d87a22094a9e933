"""Rows that were read and still stand: a station asks the same of the tables again and again while nothing changes.

Theory of operation
-------------------
A connection that writes keeps the rows of its short questions. A write of this program drops the rows of all questions that
name its table. Rows are never kept across connections, and those of a transaction that was not committed, or of which that is
not known, are dropped before the next one. How everything else is seen differs by engine:

`FileRows`, SQLite: any other write on the connection is seen by the number of rows that it changed so far (`total_changes`),
and drops everything. What other connections commit is seen by `PRAGMA data_version`, which is asked when a write transaction
has begun: from there on nobody else can write.

`ServerRows`, PostgreSQL: with the write lock comes how far the ledger is (`LedgerReached`). While the journal did not go on, no
table changed but those of the desks, which every scan changes: the rows of all other questions stand, whoever scanned in
between. Any other write on the connection is seen by its statement, and what is done to tables without an entry
(`rebuild`) is told to other programs by `changed_without_entry`.
"""

import re
from collections import defaultdict
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from tracelink.ledger.proof.chain import Head
from tracelink.store.statements.unwritten_rows import UnwrittenRows

_MOST = 2000
"""Questions whose rows are kept; a dock that looks through a whole store must not fill the memory."""

_WORD = re.compile(r"(?<![.\w])[a-z_]+")
# What stands behind a dot is a column: no table is named with its schema.
_NAMING: defaultdict[str, set[int]] = defaultdict(set)
# Word -> the statements that have it: more words than tables, and never a table too few.


class KeptRows:
    """The rows that one connection keeps."""

    unwritten: UnwrittenRows | None = None
    """Of the transaction; None if it has none."""

    head: Head | None = None
    """Where the journal ends, if that is known without asking."""
    turns: int | None = None
    """How many scans were booked at all stations, likewise."""
    clock: str | None = None
    """The clock of a server when the transaction got the write lock, UTC."""

    def __init__(self, raw: Any) -> None:
        """Args: raw: the driver's connection."""
        self.raw = raw
        self.cursor = raw.cursor()
        """For all short questions and writes, each of which is through before the next: making one costs as much as a question."""
        self.same = False
        """True if nobody else wrote since the transaction before, and that was committed."""
        self._rows: dict[int, dict[tuple[object, ...], list[Any]]] = {}
        self._count = 0

    @property
    def changes(self) -> int:
        """A number that is another one after every write to this connection that `wrote` is not told of."""
        raise NotImplementedError

    def committed(self) -> None:
        """Take notice that the transaction came through; never called, nothing of it is kept."""
        raise NotImplementedError

    def leaves(self, head: Head | None, turns: int | None) -> None:
        """Take notice how a booking leaves the ledger, just before it is committed.

        Args:
            head: where the journal ends; None if the booking neither looked nor wrote.
            turns: how many scans were booked at all stations; None likewise.
        """

    def drop(self) -> None:
        """Drop all rows."""
        self._rows.clear()
        self._count = 0

    def find(self, statement: int, values: tuple[object, ...]) -> list[Any] | None:
        """Return the rows of a question if they still stand.

        Args:
            statement: its identity, which `note_words` was told of.
            values: of its parameters.
        """
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

    def wrote(self, table: str) -> None:
        """Drop the rows of all questions that name a table, after a write to it and nothing else."""
        for statement in _NAMING[table]:
            gone = self._rows.pop(statement, None)
            if gone is not None:
                self._count -= len(gone)


class FileRows(KeptRows):
    """The rows that a connection to a SQLite database keeps."""

    def __init__(self, raw: Any) -> None:
        """Args: raw: the driver's connection."""
        super().__init__(raw)
        self._changes = -1
        self._version = -1
        self._is_committed = False

    @property
    def changes(self) -> int:
        """How many rows were changed through this connection since it was made."""
        return int(self.raw.total_changes)

    def began(self) -> None:
        """Drop what no longer stands; call when a write transaction has begun."""
        self.unwritten = None
        [version] = self.raw.execute("PRAGMA data_version").fetchone()
        self.same = self._is_committed and version == self._version
        if not self.same:
            self.drop()
        self._version, self._is_committed = version, False

    def committed(self) -> None:
        """See `KeptRows`."""
        self._is_committed = True

    def drop(self) -> None:
        """Drop all rows, and go on from the changes so far."""
        super().drop()
        self._changes = self.changes

    def find(self, statement: int, values: tuple[object, ...]) -> list[Any] | None:
        """See `KeptRows`; asked a dozen times a scan, and so written out."""
        if self.raw.total_changes != self._changes:
            self.drop()
            return None
        known = self._rows.get(statement)
        return None if known is None else known.get(values)

    def look(self) -> None:
        """See `KeptRows`."""
        if self.raw.total_changes != self._changes:
            self.drop()

    def wrote(self, table: str) -> None:
        """See `KeptRows`."""
        super().wrote(table)
        self._changes = self.raw.total_changes


@dataclass(frozen=True, slots=True)
class LedgerReached:
    """How far the ledger is when a transaction got the write lock."""

    seq: int
    """Number of the last entry."""
    turns: int
    """How many scans were booked at all stations."""
    changed: str
    """Another text after each change of tables without an entry."""


_OF_DESKS = ("spool", "station", "last_scan", "scan_signature")
"""Tables that a scan changes without an entry."""


class ServerRows(KeptRows):
    """The rows that a connection to a PostgreSQL database keeps."""

    def __init__(self, raw: Any) -> None:
        """Args: raw: the driver's connection."""
        super().__init__(raw)
        self._unseen = 0
        self._at = LedgerReached(0, 0, "")
        self._leaves: tuple[LedgerReached, Head | None] | None = None
        self._left: tuple[LedgerReached, Head | None] | None = None

    @property
    def changes(self) -> int:
        """How many writes went another way than `short_writes.write`."""
        return self._unseen

    def began(self, at: LedgerReached) -> None:
        """Drop what no longer stands; call when a transaction has the write lock.

        Args:
            at: how far the ledger is.
        """
        self.unwritten = None
        (left, head), self._left, self._leaves = self._left or (None, None), None, None
        self.same = left == at
        if left is None or (left.seq, left.changed) != (at.seq, at.changed):
            head = None
            self.drop()
        elif not self.same:
            for table in _OF_DESKS:
                self.wrote(table)
        self._at, self.turns, self.head = at, at.turns, head

    def leaves(self, head: Head | None, turns: int | None) -> None:
        """See `KeptRows`."""
        at, head = self._at, head or self.head
        seq = at.seq if head is None else head.seq
        self._leaves = LedgerReached(seq, at.turns if turns is None else turns, at.changed), head

    def committed(self) -> None:
        """Remember how far the ledger is now."""
        self._left = self._leaves

    def wrote_unseen(self) -> None:
        """Drop all rows after a write that went another way than `short_writes.write`."""
        self._unseen += 1
        self.drop()


_NAME = "kept_rows"
# Under this name with the connection itself, as a table beside it would be looked into a dozen times a scan.


def begin_file(conn: Connection, raw: Any, *, writes: bool) -> None:
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
        info[_NAME] = FileRows(raw)
    kept: FileRows = info[_NAME]
    kept.began()
    conn.__dict__[_NAME] = kept


def begin_server(conn: Connection, raw: Any, at: LedgerReached, clock: str) -> None:
    """Take notice that a transaction has the write lock of a PostgreSQL database.

    Args:
        conn: its connection.
        raw: the driver's own.
        at: how far the ledger is.
        clock: of the server, UTC.
    """
    info = conn.info
    if _NAME not in info:
        info[_NAME] = ServerRows(raw)
    kept: ServerRows = info[_NAME]
    kept.began(at)
    kept.clock = clock
    conn.__dict__[_NAME] = kept


def of(conn: Connection) -> KeptRows | None:
    """Return the rows that a connection keeps inside its write transaction; None if it keeps none."""
    return conn.__dict__.get(_NAME)


def taken_back(conn: Connection, _name: str, _context: None) -> None:
    """Drop what was kept when a part of a transaction is taken back; a listener of SQLAlchemy's."""
    keeping = of(conn)
    if keeping is not None:
        keeping.drop()


def spool_is_asked(conn: Connection) -> None:
    """Write what the transaction of a connection has for the spool; call before a question about the spool."""
    if (keeping := of(conn)) is not None and keeping.unwritten is not None:
        keeping.unwritten.write()


def note_words(statement: int, sql: str) -> None:
    """Note which tables a question may be about.

    Args:
        statement: its identity.
        sql: its text.
    """
    for word in _WORD.findall(sql.lower()):
        _NAMING[word].add(statement)

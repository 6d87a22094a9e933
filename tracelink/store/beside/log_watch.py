"""The write-ahead log beside a ledger's file, watched while a station is open.

SQLite keeps its log open and does not look whether that still lies under its name. A program whose log was taken away, emptied
or replaced goes on booking into what nobody will read: the ledger lacks all of it as soon as that program is gone. So a station
looks before each scan, and stops.

An orderly program ends with what it has in its own log, as far as that is whole: SQLite then moves it into the file.
"""

import os
from pathlib import Path
from typing import Any

from sqlalchemy import Connection


class LogWatch:
    """The log of one file, as a program last saw it."""

    def __init__(self, file: Path) -> None:
        """Args: file: of the ledger."""
        self.log = file.with_name(file.name + "-wal")
        self._connection: Any = None
        self._seen: os.stat_result | None = None

    def is_as_it_was(self, conn: Connection) -> bool:
        """Say whether the log is the one of the last look, and no shorter; inside a write transaction.

        Args:
            conn: its connection. Another one than the last may have begun a log of its own.
        """
        raw, before = conn.connection.driver_connection, self._seen
        try:
            found = self.log.stat()
        except FileNotFoundError:
            found = None
        if before is None or raw is not self._connection:
            self._connection, self._seen = raw, found
            return True
        if found is None or not os.path.samestat(before, found) or found.st_size < before.st_size:
            return False
        self._seen = found
        return True

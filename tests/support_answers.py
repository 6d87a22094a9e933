"""The answer of a ledger to the end of a transaction is lost, after it was committed or before."""

import pysqlite3

from tracelink.errors import StorageFailed
from tracelink.store.ledger import Ledger


class Answers:
    def __init__(self, monkeypatch):
        self.is_away = False
        self.monkeypatch = monkeypatch
        self._fate = None

    def lost(self, *, committed, away=False):
        """Lose the next answer, after it was committed or not; the ledger may be away from then on."""
        self._fate = (committed, away)

    def of_ledger(self, ledger):
        """Stand between a ledger and its database."""
        opened = ledger._open
        dialect = opened._engine.dialect
        commit, begin = dialect.do_commit, Ledger.transaction

        def lose(connection):
            changes, connection.info["changes"] = connection.info.get("changes", 0), connection.total_changes
            if self._fate is None or changes == connection.total_changes:
                commit(connection)
                return
            (committed, self.is_away), self._fate = self._fate, None
            if committed:
                commit(connection)
            raise pysqlite3.OperationalError("disk I/O error")

        def transaction(which):
            if self.is_away:
                raise StorageFailed("the ledger is away")
            return begin(which)

        self.monkeypatch.setattr(dialect, "do_commit", lose)
        self.monkeypatch.setattr(Ledger, "transaction", transaction)
        return self

"""How every answer asks the tables; a part of `SqlStationQueries`."""

from collections.abc import Callable
from typing import Any

from sqlalchemy import Connection, TextClause

from tracelink.store.statements import short_reads


class Asking:
    """Asks the tables inside one transaction; what was asked before and still stands is not asked again."""

    _conn: Connection
    since_entry: dict[tuple[str, ...], Any]
    """Answers that only an entry of the journal can change, found since the last one."""

    def entry_written(self) -> None:
        """Forget what an entry may have changed; call after each."""
        self.since_entry.clear()

    def _until_entry(self, key: tuple[str, ...], find: Callable[[], Any]) -> Any:
        """Return an answer that stands until the next entry.

        Args:
            key: the question and the codes that it names.
            find: looks it up in tables that nothing but entries changes.
        """
        try:
            return self.since_entry[key]
        except KeyError:
            found = self.since_entry[key] = find()
            return found

    def _first(self, query: TextClause, **values: object) -> Any:
        return short_reads.kept_first(self._conn, query, values)

    def _all(self, query: TextClause, **values: object) -> list[Any]:
        return short_reads.kept(self._conn, query, values)

    def _scalars(self, query: TextClause, **values: object) -> list[Any]:
        return [row[0] for row in short_reads.kept(self._conn, query, values)]

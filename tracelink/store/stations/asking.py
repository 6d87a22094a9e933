"""How every answer asks the tables; a part of `SqlStationQueries`."""

from typing import Any

from sqlalchemy import Connection, TextClause

from tracelink.store.statements import short_reads


class Asking:
    """Asks the tables inside one transaction; what was asked before and still stands is not asked again."""

    _conn: Connection

    def _first(self, query: TextClause, **values: object) -> Any:
        return short_reads.kept_first(self._conn, query, values)

    def _all(self, query: TextClause, **values: object) -> list[Any]:
        return short_reads.kept(self._conn, query, values)

    def _scalars(self, query: TextClause, **values: object) -> list[Any]:
        return [row[0] for row in short_reads.kept(self._conn, query, values)]

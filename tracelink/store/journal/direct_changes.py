"""Carrying out the changes of a whole journal on one SQLite database, by statements that are kept ready.

Change by change and in the same order as `projection.carry_out`, so that the schema refuses what it refuses there. What is saved
is all that a station needs around a single write: here nobody asks in between.
"""

from collections.abc import Callable, Mapping
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection
from sqlalchemy.sql.base import Executable

from tracelink.ledger.changes import Change, Increase, Insert, Update
from tracelink.store.journal import projection
from tracelink.store.statements.short_writes import carried_out, prepare

_Ready = tuple[str, Callable[[Any], Any]]
"""A statement, and what puts values in the order of its parameters."""


class DirectChanges:
    """Carries out changes on a SQLite database."""

    def __init__(self, target: Connection) -> None:
        """Args: target: a connection inside a write transaction."""
        self._target = target
        raw: Any = target.connection.driver_connection
        self._cursor = raw.cursor()
        self._inserts: dict[tuple[str, ...], _Ready] = {}
        self._by_key: dict[tuple[str | None, ...], _Ready] = {}

    def carry_out(self, change: Change) -> None:
        """Carry out one change.

        Raises:
            RefusedByRule, sqlalchemy.exc.IntegrityError: as `projection.carry_out`.
        """
        if isinstance(change, Insert):
            self._insert(change.table, change.row)
        elif isinstance(change, Increase):
            if self._add(change) == 0:
                self._insert(change.table, {**change.key, change.column: change.by})
        elif isinstance(change, Update):
            self._update(change)
        else:
            projection.carry_out(self._target, (change,))

    def _insert(self, table: str, row: Mapping[str, Any]) -> None:
        place = (table, *row)
        ready = self._inserts.get(place)
        if ready is None:
            ready = self._inserts[place] = self._prepared(projection.insert_into(table), tuple(row))
        carried_out(self._target, self._cursor, ready[0], ready[1](row))

    def _add(self, change: Increase) -> int:
        table, key, column = change.table, change.key, change.column
        place = (table, *key, column)
        ready = self._by_key.get(place)
        if ready is None:
            statement = projection.add_to(table, tuple(key), column)
            ready = self._by_key[place] = self._in_order(statement, ("by",), tuple(key))
        return carried_out(self._target, self._cursor, ready[0], ready[1]((change.by, *key.values())))

    def _update(self, change: Update) -> None:
        table, key, values = change.table, change.key, change.values
        # None keeps the names of the key and of the values apart.
        place = (table, *key, None, *values)
        ready = self._by_key.get(place)
        if ready is None:
            statement = projection.update_of(table, tuple(key), tuple(values))
            names = tuple(f"new_{name}" for name in values)
            ready = self._by_key[place] = self._in_order(statement, names, tuple(key))
        given = ready[1]((*values.values(), *key.values()))
        projection.require_one(carried_out(self._target, self._cursor, ready[0], given), change)

    def _in_order(self, statement: Executable, names: tuple[str, ...], key: tuple[str, ...]) -> _Ready:
        """Return a statement that takes its values in the order of `names`, then those of the key."""
        all_names = (*names, *(f"key_{name}" for name in key))
        sql, order = self._statement(statement, all_names)
        return sql, itemgetter(*(all_names.index(name) for name in order))

    def _prepared(self, statement: Executable, names: tuple[str, ...]) -> _Ready:
        sql, order = self._statement(statement, names)
        # Of one name alone `itemgetter` gives the bare value.
        return sql, itemgetter(*order) if len(order) > 1 else lambda row: (row[order[0]],)

    def _statement(self, statement: Executable, names: tuple[str, ...]) -> tuple[str, tuple[str, ...]]:
        written = prepare(self._target, statement, names)
        return written.sql, written.order

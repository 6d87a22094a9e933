"""Comparing the tables of two ledgers row by row, side by side in the order of their keys.

Neither table is ever held in memory. Both sides must sort alike, so text is sorted by its code points on every
database; values of another type than the column's, which only a damaged file can hold, sort as SQLite does it.
"""

from collections.abc import Iterator
from functools import cache
from itertools import chain, zip_longest
from typing import Any

from sqlalchemy import Connection, Table, Text, make_url, select
from sqlalchemy.exc import DBAPIError

from tracelink.store.database.storage_check import plain_text
from tracelink.store.database.storage_errors import DRIVER_ERRORS

_AT_A_TIME = 1000
_LONGEST = 160
"""Characters of a value in a sentence: a desk is a text of hundreds, of which one word may differ."""

Row = dict[str, Any]


def differences(live: Connection, fresh: Connection, table: Table) -> Iterator[str]:
    """Yield a sentence for each row or field in which a table differs from what the journal says.

    Args:
        live: the ledger.
        fresh: a replay of its journal.
        table: the table.
    """
    if _are_alike(live, fresh, table):
        return
    ours, theirs = first_apart(live, fresh, table)
    mine, other = next(ours, None), next(theirs, None)
    while mine is not None or other is not None:
        order = _order(mine, other)
        if order < 0 and mine is not None:
            yield f"{table.name} {shown(mine[1])}: in the tables but not in the journal"
            mine = next(ours, None)
        elif order > 0 and other is not None:
            yield f"{table.name} {shown(other[1])}: in the journal but not in the tables"
            other = next(theirs, None)
        elif mine is not None and other is not None:
            yield from _fields(table, mine, other)
            mine, other = next(ours, None), next(theirs, None)


Keyed = tuple[tuple[tuple[int, Any], ...], tuple[Any, ...], Row]
"""What a row is sorted by, its key, and the row."""


def _are_alike(live: Connection, fresh: Connection, table: Table) -> bool:
    """Return whether two tables are found to hold the same rows without a look at what differs: nearly always."""
    try:
        with plain_text(live):
            both = zip_longest(_thousands(live, table), _thousands(fresh, table))
            return all(mine == other for mine, other in both)
    except (DBAPIError, UnicodeDecodeError, *DRIVER_ERRORS):
        # Whoever looks at row after row says where.
        return False


def first_apart(live: Connection, fresh: Connection, table: Table) -> tuple[Iterator[Keyed], Iterator[Keyed]]:
    """Return the rows of both from the first thousand that differ: nearly always there are none."""
    ours, theirs = _thousands(live, table), _thousands(fresh, table)
    nothing: list[tuple[Any, ...]] = []
    for mine, other in zip_longest(ours, theirs, fillvalue=nothing):
        if mine != other:
            return _keyed(table, mine, ours), _keyed(table, other, theirs)
    return iter(()), iter(())


def _keyed(
    table: Table, first: list[tuple[Any, ...]], others: Iterator[list[tuple[Any, ...]]]
) -> Iterator[Keyed]:
    names = [column.name for column in table.columns]
    places = [names.index(column.name) for column in table.primary_key]
    for row in chain(first, chain.from_iterable(others)):
        values = tuple([row[place] for place in places])
        yield tuple([_sortable(value) for value in values]), values, dict(zip(names, row, strict=True))


def _thousands(conn: Connection, table: Table) -> Iterator[list[tuple[Any, ...]]]:
    query = _query(table, conn.dialect.name)
    if conn.dialect.name == "sqlite":
        # Straight to the driver, whose rows are plain tuples.
        raw: Any = conn.connection.driver_connection
        cursor = raw.execute(query)
        while rows := cursor.fetchmany(_AT_A_TIME):
            yield rows
        return
    # On the statement: a connection would keep the option for everything after.
    found = conn.exec_driver_sql(query, execution_options={"yield_per": _AT_A_TIME})
    for part in found.partitions():
        yield [tuple(row) for row in part]


@cache
def _query(table: Table, database: str) -> str:
    """Return the SELECT of a table in the order of its key.

    As text, and once in a process: every engine compiles all its statements anew, and each replay has an engine of its
    own. No type of these tables turns what the driver gives into something else.
    """
    dialect = make_url(f"{database}://").get_dialect()()
    order = [
        column.collate("C") if database == "postgresql" and isinstance(column.type, Text) else column
        for column in table.primary_key
    ]
    return str(select(table).order_by(*order).compile(dialect=dialect))


def _order(mine: Keyed | None, other: Keyed | None) -> int:
    if mine is None:
        return 1
    if other is None or mine[0] < other[0]:
        return -1
    return 1 if mine[0] > other[0] else 0


def _fields(table: Table, mine: Keyed, other: Keyed) -> Iterator[str]:
    for name, value in mine[2].items():
        if value != other[2][name]:
            is_now, should = _apart(repr(value), repr(other[2][name]))
            yield f"{table.name} {shown(mine[1])}: {name} is {is_now}, the journal says {should}"


def _apart(one: str, other: str) -> tuple[str, str]:
    """Cut two long texts to what lies around the first place where they differ."""
    if max(len(one), len(other)) <= _LONGEST:
        return one, other
    same = next((at for at, (a, b) in enumerate(zip(one, other, strict=False)) if a != b), 0)
    start = max(0, same - _LONGEST // 4)
    return _cut(one, start), _cut(other, start)


def _cut(text: str, start: int) -> str:
    shown = text[start : start + _LONGEST]
    return f"{'...' if start else ''}{shown}{'...' if start + len(shown) < len(text) else ''}"


def _sortable(value: Any) -> tuple[int, Any]:
    if value is None:
        return 0, 0
    if isinstance(value, int | float):
        return 1, value
    if isinstance(value, str):
        return 2, value.encode("utf-8", errors="surrogateescape")
    return 3, bytes(value)


def shown(key: tuple[Any, ...]) -> str:
    """Return the key of a row for a sentence."""
    return " ".join(str(part).encode("utf-8", errors="backslashreplace").decode() for part in key)

"""What the database itself says about a ledger: damaged pages, broken constraints, triggers that are gone."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import Any

from sqlalchemy import Connection, text
from sqlalchemy.exc import DBAPIError

from tracelink.store.database import server_guards

Objects = dict[tuple[str, str], str]
"""What and name of each table, index and trigger -> how it was made, and of which table it is said to be."""

_MOST = 100


def faults(live: Connection, fresh: Connection) -> Iterator[str]:
    """Yield a sentence for each fault that the database finds in itself.

    Args:
        live: the ledger.
        fresh: an empty ledger of the same schema, on SQLite.
    """
    expected = _objects(fresh)
    checks = (_schema, _damage, _references) if live.dialect.name == "sqlite" else (_server,)
    for check in checks:
        try:
            yield from check(live, expected)
        except (DBAPIError, UnicodeDecodeError) as problem:
            reason = problem.orig if isinstance(problem, DBAPIError) else "what it says of itself is not text"
            yield f"the database file is damaged: {reason}"


def _damage(live: Connection, _expected: Objects) -> Iterator[str]:
    """Pages, indexes, column types and NOT NULL.

    CHECK is left out by SQLite on a connection that may only read; a row that breaks one is not a row that the journal
    leads to, so the comparison with the replay names it.
    """
    for row in live.execute(text(f"PRAGMA integrity_check({_MOST})")):
        if row[0] != "ok":
            yield f"the database file is damaged: {' '.join(str(row[0]).split())}"


def _references(live: Connection, _expected: Objects) -> Iterator[str]:
    for number, row in enumerate(live.execute(text("PRAGMA foreign_key_check"))):
        if number == _MOST:
            yield "more rows refer to rows that are not there"
            return
        yield f"table {row[0]}, row {row[1]}: it refers to a row of {row[2]} that is not there"


def _schema(live: Connection, expected: Objects) -> Iterator[str]:
    ours = _objects(live)
    for (what, name), sql in expected.items():
        if (what, name) not in ours:
            yield f"the {what} {name} of the schema is gone"
        elif _plain(ours[what, name]) != _plain(sql):
            yield f"the {what} {name} of the schema was changed"
    for what, name in ours.keys() - expected:
        yield f"the {what} {name} does not belong to the schema"


def _server(live: Connection, expected: Objects) -> Iterator[str]:
    yield from server_guards.faults(
        live, {name: sql for (what, name), sql in expected.items() if what == "trigger"}
    )


def _objects(conn: Connection) -> Objects:
    query = text("SELECT type, name, sql, tbl_name FROM sqlite_master WHERE name NOT LIKE 'sqlite_%'")
    return {(row[0], row[1]): f"{row[2] or ''}\n{row[3]}" for row in conn.execute(query)}


def _plain(sql: str) -> list[str]:
    """Return the lines of a statement, sorted, without white space, quotes and commas at their ends.

    None of that means anything, and it may come out otherwise elsewhere: a table that a migration made anew has its
    constraints in any order, each in its line.
    """
    return sorted("".join(line.replace('"', "").split()).rstrip(",") for line in sql.splitlines())


@contextmanager
def all_text(live: Connection) -> Iterator[None]:
    """Let SQLite hand over bytes that are not text, so that it is compared and named instead of stopping the reader."""
    with _text_by(live, partial(str, encoding="utf-8", errors="surrogateescape")):
        yield


@contextmanager
def plain_text(live: Connection) -> Iterator[None]:
    """Let SQLite hand over text the quick way again, and stop at bytes that are not text."""
    with _text_by(live, str):
        yield


@contextmanager
def _text_by(live: Connection, factory: Callable[..., str]) -> Iterator[None]:
    raw: Any = live.connection.driver_connection
    if live.dialect.name != "sqlite":
        yield
        return
    before = raw.text_factory
    raw.text_factory = factory
    try:
        yield
    finally:
        raw.text_factory = before

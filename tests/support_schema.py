"""The tables of an empty ledger, made by the migrations once in a process and copied afterwards.

Running all migrations takes a quarter of a second, longer than most of what is tested on the tables. What the
migrations themselves do is tested where they are the subject.
"""

from functools import cache

from sqlalchemy import Engine, inspect

from tracelink.store.database.engine import ledger_url, open_engine, open_scratch
from tracelink.store.database.schema import upgrade


def lay_down_tables(engine: Engine) -> None:
    """Give an empty database the tables of a ledger, as `upgrade` would."""
    with engine.connect() as target, _template().connect() as source:
        source.connection.driver_connection.backup(target.connection.driver_connection)


def migrate_once(engine: Engine) -> None:
    """Stand in for `upgrade` where a new ledger is made; an older ledger, and one of PostgreSQL, is migrated."""
    if engine.dialect.name == "sqlite" and not inspect(engine).get_table_names():
        lay_down_tables(engine)
    else:
        upgrade(engine)


def empty_ledger() -> Engine:
    """Return an empty ledger in memory."""
    engine = open_engine(ledger_url("sqlite://"), must_exist=False)
    lay_down_tables(engine)
    return engine


@cache
def _template() -> Engine:
    engine = open_scratch()
    upgrade(engine)
    return engine

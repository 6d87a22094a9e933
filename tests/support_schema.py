"""The tables of an empty ledger, made by the migrations once in a process and copied afterwards.

Running all migrations takes a quarter of a second, longer than most of what is tested on the tables. What the
migrations themselves do is tested where they are the subject.

`python tests/support_schema.py` writes down what the migrations come to, for ledgers that are thrown away; do so after
each new migration.
"""

from functools import cache
from pathlib import Path

from sqlalchemy import Engine, inspect

from tracelink.store.database.engine import ledger_url, open_engine, open_scratch
from tracelink.store.database.schema import SCHEMA_VERSION, upgrade

MIGRATIONS = Path(__file__).resolve().parents[1] / "migrations"


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


def schema_of(engine: Engine) -> str:
    """Return the statements that make the tables, indexes and triggers of a SQLite database, in the order they were made."""
    query = "SELECT sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY rowid"
    with engine.connect() as conn:
        made = [str(sql) for sql in conn.exec_driver_sql(query).scalars()]
    return "".join(f"{sql};\n" for sql in made)


def write_down() -> None:
    """Write what the migrations come to beside them, and remove what was written of earlier versions."""
    for earlier in MIGRATIONS.glob("schema_*.sql"):
        earlier.unlink()
    (MIGRATIONS / f"schema_{SCHEMA_VERSION}.sql").write_text(schema_of(_template()), encoding="utf-8")


if __name__ == "__main__":
    write_down()

"""Making and upgrading the schema with Alembic, and telling which version a ledger has.

Alembic is imported only to migrate: it costs a quarter of a second, and every other command needs one
SELECT. Migrations run with foreign keys off on SQLite, and triggers must be there afterwards: batch
changes drop them silently.
"""

from sqlalchemy import Connection, Engine, text

from tracelink.datadir import data_dir
from tracelink.errors import JournalError, NewerJournal, NotALedger, UsageError

SCHEMA_VERSION = "0011"
"""The newest migration in migrations/versions."""


def upgrade(engine: Engine) -> None:
    """Bring the schema to the newest version, in one transaction."""
    from alembic import command  # noqa: PLC0415  a quarter of a second, needed here only
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(data_dir("migrations")))
    config.set_main_option("path_separator", "os")
    with engine.connect() as conn:
        if engine.dialect.name == "sqlite":
            # The pragma is ignored inside a transaction, so it comes before any begins.
            conn.connection.execute("PRAGMA foreign_keys=OFF")
        with conn.begin():
            before = _triggers(conn)
            config.attributes["connection"] = conn
            command.upgrade(config, "head")
            lost = before - _triggers(conn)
            if lost:
                raise JournalError(f"the migration lost triggers {sorted(lost)}; nothing was changed")
        if engine.dialect.name == "sqlite":
            conn.connection.execute("PRAGMA foreign_keys=ON")


def found_version(conn: Connection, place: str) -> str:
    """Return the schema version of a ledger.

    Raises:
        NotALedger: there is no ledger schema in this database.
        NewerJournal: the schema is newer than this program.
    """
    tables = conn.dialect.get_table_names(conn)
    if "alembic_version" not in tables or "journal" not in tables:
        raise NotALedger(f"{place} holds no ledger: make one with `runout init`")
    found = conn.execute(text("SELECT version_num FROM alembic_version")).scalar()
    if found is None:
        raise NotALedger(
            f"{place} holds no ledger: its schema was never finished; make one with `runout init`"
        )
    if found > SCHEMA_VERSION:
        raise NewerJournal(
            f"{place} was made by a newer version (schema {found}, this program knows {SCHEMA_VERSION}): "
            "use a newer program"
        )
    return str(found)


def require_schema(conn: Connection, place: str) -> None:
    """Check that the ledger has the schema of this program.

    Raises:
        NotALedger: there is no ledger schema in this database.
        UsageError: there is an older one.
        NewerJournal: the schema is newer than this program.
    """
    found = found_version(conn, place)
    if found < SCHEMA_VERSION:
        raise UsageError(f"{place} has the older schema {found}: bring it up with `runout upgrade`")


def _triggers(conn: Connection) -> set[str]:
    query = (
        "SELECT name FROM sqlite_master WHERE type = 'trigger'"
        if conn.dialect.name == "sqlite"
        else "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal"
    )
    return set(conn.execute(text(query)).scalars())

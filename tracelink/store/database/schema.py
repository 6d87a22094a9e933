"""Making and upgrading the schema with Alembic, and telling which version a ledger has.

Alembic is imported only to migrate: it costs a quarter of a second, and every other command needs one
SELECT. Migrations run with foreign keys off on SQLite, and triggers must be there afterwards: batch
changes drop them silently.
"""

from collections.abc import Callable

from sqlalchemy import Connection, Engine, inspect, text

from tracelink.datadir import data_dir
from tracelink.errors import (
    JournalError,
    LedgerDamaged,
    NewerJournal,
    NotALedger,
    ProjectionDiffers,
    UsageError,
)
from tracelink.store.database.storage_errors import commit

SCHEMA_VERSION = "0044"
"""The newest migration in migrations/versions."""


def upgrade(engine: Engine, then: Callable[[Connection], None] = lambda _conn: None) -> None:
    """Bring the schema to the newest version, in one transaction.

    Args:
        engine: of the ledger.
        then: what belongs into the same transaction, so that one that is killed leaves the ledger as it was.

    Raises:
        JournalError: triggers were lost, or rows name what is not there; nothing was changed.
        BookingUnknown: the answer of a server to the commit was lost.
    """
    from alembic import command  # noqa: PLC0415  a quarter of a second, needed here only
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(data_dir("migrations")))
    config.set_main_option("path_separator", "os")
    with engine.connect() as conn:
        if engine.dialect.name == "sqlite":
            # The pragma is ignored inside a transaction, so it comes before any begins.
            conn.connection.execute("PRAGMA foreign_keys=OFF")
        with conn.begin() as transaction:
            before = _triggers(conn)
            config.attributes["connection"] = conn
            command.upgrade(config, "head")
            lost = before - _triggers(conn)
            if lost:
                raise JournalError(f"the migration lost triggers {sorted(lost)}; nothing was changed")
            if engine.dialect.name == "postgresql":
                from tracelink.store.database import server_guards  # noqa: PLC0415  needed here only

                server_guards.guard(conn)
            then(conn)
            _require_references(conn)
            commit(transaction, engine.url.render_as_string())
        if engine.dialect.name == "sqlite":
            conn.connection.execute("PRAGMA foreign_keys=ON")


def _require_references(conn: Connection) -> None:
    """Check on SQLite what its foreign keys would have, had they not been off."""
    if conn.dialect.name != "sqlite":
        return
    lost = conn.exec_driver_sql("PRAGMA foreign_key_check").first()
    if lost is not None:
        raise ProjectionDiffers(
            f"a row of table {lost[0]} names a row of table {lost[2]} that is not there; nothing was changed"
        )


def found_version(conn: Connection, place: str) -> str:
    """Return the schema version of a ledger.

    Raises:
        NotALedger: there is no ledger schema in this database.
        NewerJournal: the schema is newer than this program.
        LedgerDamaged: the version that the ledger names is not that of its tables.
    """
    tables = set(conn.dialect.get_table_names(conn))
    if "alembic_version" not in tables or "journal" not in tables:
        raise NotALedger(f"{place} holds no ledger: make one with `runout init`")
    named = [str(each) for each in conn.execute(text("SELECT version_num FROM alembic_version")).scalars()]
    if named == [SCHEMA_VERSION]:
        return SCHEMA_VERSION
    # All tables are imported only where they are looked at: reading a ledger of today needs a few of them.
    from tracelink.store.database.tables import TABLE_NAMES  # noqa: PLC0415

    real = _version_of_tables(conn, tables)
    if len(named) == 1 and named[0] > SCHEMA_VERSION and named[0].isdigit():
        are_ours = tables <= TABLE_NAMES | {"alembic_version"}
        hint = _EITHER.format(real=real) if are_ours else ""
        raise NewerJournal(
            f"{place} was made by a newer version (schema {named[0]}, this program knows {SCHEMA_VERSION}): "
            f"use a newer program{hint}"
        )
    if named != [real]:
        found = " and ".join(named) or "none"
        raise LedgerDamaged(
            f"{place} names schema version {found}, but its tables are those of schema {real}: somebody changed what it "
            "names. Nothing was upgraded; keep the file as it is, and compare it with a backup"
        )
    return real


_EITHER = ". Its tables are those of schema {real}: if there never was a newer program here, somebody changed the number"

_CAME_WITH = {
    "0002": ("void_label", None),
    "0003": ("hold_back", None),
    "0004": ("location", None),
    "0005": ("investigation", None),
    "0006": ("tree_node", None),
    "0007": ("case_entry", None),
    "0008": ("person_pin", None),
    "0009": ("order_line", None),
    "0010": ("hopper_emptied", None),
    "0011": ("spool", "turn"),
    "0012": ("movement", "sense"),
    "0013": ("contact", "since"),
    "0014": ("carton_draw", "rank"),
    "0015": ("scan_signature", None),
    "0016": ("reason_act", None),
    "0017": ("plant_change", "since"),
    "0019": ("last_scan", None),
    "0020": ("lost_number", None),
    "0022": ("step", None),
    "0023": ("browser", None),
    "0024": ("lab_result", None),
    "0025": ("instrument", None),
    "0026": ("chart_baseline", None),
    "0027": ("blank", None),
    "0028": ("slow_reading", None),
    "0029": ("sampling_plan", None),
    "0030": ("step_item", "taken_back"),
    "0031": ("sampling_plan_defect", None),
    "0032": ("instrument", "time_heading"),
    "0033": ("entry_count", None),
    "0034": ("part_move", None),
    "0035": ("step_output", "corrected_by"),
    "0036": ("study_reading", None),
    "0037": ("place_sorting", None),
    "0039": ("journal", "stored"),
    "0041": ("entry_block", None),
    "0043": ("unit_return", None),
}
"""Version -> a table, or a column of a table, that its migration brought."""

_INDEX_CAME_WITH = {
    "0021": ("stock", "ix_stock_lot"),
    "0038": ("piece_test", "ix_piece_test_at"),
    "0042": ("drill", "ix_drill_subject"),
    "0044": ("nesting", "ix_nesting_parent_opened_seq"),
}
"""Version -> an index of a table that its migration brought, of those that brought indexes only."""

_TRIGGER_CAME_WITH = {"0018": "scan_signature_no_update", "0040": "sample_in_build"}
"""Version -> a trigger that its migration brought, of those that brought no table and no column."""


def _version_of_tables(conn: Connection, tables: set[str]) -> str:
    """Return the version that the tables have, whatever the ledger names."""
    real = "0001"
    for version, (table, column) in _CAME_WITH.items():
        if table in tables and (column is None or _has_column(conn, table, column)):
            real = version
    made = _triggers(conn)
    indexed = [
        version
        for version, (table, name) in _INDEX_CAME_WITH.items()
        if table in tables and any(each["name"] == name for each in inspect(conn).get_indexes(table))
    ]
    return max([real, *indexed, *(version for version, name in _TRIGGER_CAME_WITH.items() if name in made)])


def _has_column(conn: Connection, table: str, column: str) -> bool:
    return any(each["name"] == column for each in inspect(conn).get_columns(table))


def require_schema(conn: Connection, place: str) -> None:
    """Check that the ledger has the schema of this program.

    Raises:
        NotALedger: there is no ledger schema in this database.
        UsageError: there is an older one.
        NewerJournal: the schema is newer than this program.
        LedgerDamaged: the version that the ledger names is not that of its tables.
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

"""A ledger of an older schema on PostgreSQL is brought up step by step: what comes out is what a ledger made today is."""

from alembic import command
from alembic.config import Config
from sqlalchemy import inspect, text
from support_cases import shipped_file
from support_cli import run

from runout import copy_ledger
from tracelink.datadir import data_dir
from tracelink.store.copies.between_engines import ALL
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.schema import SCHEMA_VERSION
from tracelink.store.database.tables import TABLES
from tracelink.store.journal.verify import examine
from tracelink.store.ledger import read_ledger

BEFORE = 39
CATALOGUE = {
    "columns": "SELECT table_name, column_name, data_type, is_nullable, column_default FROM information_schema.columns "
    "WHERE table_schema = 'public'",
    "conditions": "SELECT conrelid::regclass::text, conname, pg_get_constraintdef(oid) FROM pg_constraint "
    "WHERE connamespace = 'public'::regnamespace",
    "indexes": "SELECT tablename, indexname, indexdef FROM pg_indexes WHERE schemaname = 'public'",
    "triggers": "SELECT tgrelid::regclass::text, tgname, pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal",
    "functions": "SELECT proname, prosrc FROM pg_proc WHERE pronamespace = 'public'::regnamespace",
}


def migrated(engine, version):
    config = Config()
    config.set_main_option("script_location", str(data_dir("migrations")))
    config.set_main_option("path_separator", "os")
    with engine.begin() as conn:
        config.attributes["connection"] = conn
        command.upgrade(config, version)


def filled_from(engine, source):
    """Put the rows of a ledger of today into the tables that there were then."""
    there = {*inspect(engine).get_table_names()}
    with source.connect() as live, engine.begin() as fresh:
        for table in ALL:
            if table.name in there:
                order = [table.c.seq] if "seq" in table.c else []
                rows = live.execute(table.select().order_by(*order, *table.primary_key)).mappings().all()
                if rows:
                    fresh.execute(table.insert(), [dict(row) for row in rows])
    return there


def what_is_there(place):
    with read_ledger(place) as conn:
        made = {what: sorted(map(tuple, conn.execute(text(sql)))) for what, sql in CATALOGUE.items()}
        rows = {
            name: sorted(map(tuple, conn.execute(table.select())), key=repr) for name, table in TABLES.items()
        }
        faults = examine(conn).faults
    return made, rows, faults


def test_a_ledger_of_an_older_schema_becomes_what_one_made_today_is(pg_running, tmp_path):
    today, older = pg_running.database(), pg_running.database()
    copy_ledger(shipped_file(tmp_path), today)
    source, engine = (open_engine(ledger_url(place)) for place in (today, older))
    migrated(engine, f"{BEFORE:04d}")
    there = filled_from(engine, source)
    assert {*TABLES} - there == {"entry_block", "unit_return"}
    # One at a time, each committed, but for the last: that is for the command.
    for version in range(BEFORE + 1, int(SCHEMA_VERSION)):
        migrated(engine, f"{version:04d}")
    for each in (source, engine):
        each.dispose()
    refused = run("findings", ledger=older)
    assert refused.code == 2
    assert "bring it up with `runout upgrade`" in refused.err
    done = run("upgrade", ledger=older)
    assert done.code == 0, done.err
    made, rows, faults = what_is_there(older)
    made_today, rows_today, _ = what_is_there(today)
    assert faults == []
    for what in CATALOGUE:
        assert made[what] == made_today[what], what
    assert rows == rows_today
    assert sum(map(len, rows.values())) > len(rows)

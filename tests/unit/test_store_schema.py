"""The schema: built by migrations only, and refusing by itself what no station should ever ask of it."""

import re
import subprocess
import sys

import pysqlite3
import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError
from sqlalchemy.schema import CreateTable
from support_plant import LINE, PRESS, Floor, carton_sscc, code, gtin, pallet_sscc

from tracelink.datadir import data_dir
from tracelink.errors import JournalError, LedgerDamaged, NewerJournal, RefusedByRule
from tracelink.store import ledger as ledger_module
from tracelink.store.database import scratch, storage_check
from tracelink.store.database.columns import complete_for_server
from tracelink.store.database.engine import FIXED_SQLITE, ledger_url, open_engine, open_scratch
from tracelink.store.database.schema import SCHEMA_VERSION, require_schema, upgrade
from tracelink.store.database.storage_errors import storage_sentences
from tracelink.store.database.tables import SHADOW, metadata
from tracelink.store.ledger import Ledger

LAY_DOWN = scratch.lay_down_schema
"""Taken before the tests put their own in its place."""

TRIGGERS = {
    "journal_in_order": "journal",
    "journal_no_update": "journal",
    "journal_no_delete": "journal",
    "journal_pack_once": "journal_pack",
    "journal_pack_no_update": "journal_pack",
    "journal_pack_no_delete": "journal_pack",
    "run_segment_insert_no_overlap": "run_segment",
    "run_segment_update_no_overlap": "run_segment",
    "movement_in_lot": "movement",
    "movement_stroke_once": "movement",
    "sample_in_lot": "sample",
    "sample_in_build": "sample",
    "sscc_block_once": "sscc_block",
    "sscc_return_once": "sscc_return",
    "scan_signature_no_update": "scan_signature",
    "scan_signature_no_delete": "scan_signature",
}
LOT, OTHER = code("L", 1), code("L", 5)


@pytest.fixture(scope="module")
def pressed():
    """Lot 1 with strokes 1 to 20 on two spindles, three discs in an open carton, one sampled."""
    floor = Floor.copy()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 3)
    floor.scan(LINE, "CLOSE", "carton 2")
    floor.scan(code("W", 3), "P1", "SAMPLE", "L1", "S1", "#12", "K12")
    floor.scan(code("W", 5), "P1", "PALLET", "pallet 1", "carton 1")
    assert [verdict for verdict in floor.verdicts if verdict.finding] == []
    return floor


@pytest.fixture
def conn(pressed):
    """A write transaction that is rolled back."""
    with pressed.ledger._engine.connect() as opened, opened.begin() as began:
        yield opened
        began.rollback()


def refused(conn, sql, sentence):
    """A statement is refused with this sentence, changes nothing, and the transaction goes on."""
    with pytest.raises(IntegrityError) as caught, conn.begin_nested():
        conn.execute(text(sql))
    assert sentence in str(caught.value.orig)
    with pytest.raises(RefusedByRule, match=re.escape(sentence)), storage_sentences("here"):
        raise caught.value
    assert conn.execute(text("SELECT COUNT(*) FROM plant")).scalar() == 1


def taken(conn, sql):
    """The counterpart of a refusal: almost the same statement is accepted."""
    with conn.begin_nested() as point:
        conn.execute(text(sql))
        point.rollback()


class TestMigrations:
    def test_the_tables_are_what_the_migrations_made(self):
        engine = open_engine(ledger_url("sqlite://"), must_exist=False)
        upgrade(engine)
        with engine.connect() as conn:
            assert compare_metadata(MigrationContext.configure(conn), metadata) == []
            made = {
                row[0]: row[1]
                for row in conn.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'table'"))
            }
            assert made.pop("alembic_version")
            assert set(made) == set(metadata.tables)
            # compare_metadata looks at neither checks nor STRICT, so the text is compared as SQLAlchemy would write it.
            for name, table in metadata.tables.items():
                assert sorted(_constraints(made[name])) == sorted(_constraints(_written(table, engine))), name
                assert made[name].rstrip().endswith("STRICT"), name

    def test_a_new_ledger_of_a_test_is_the_one_that_is_migrated(self, tmp_path, monkeypatch):
        def schema(name):
            with Ledger.create(str(tmp_path / name)) as ledger, ledger.reading() as conn:
                told = conn.execute(text("SELECT type, name, tbl_name, sql FROM sqlite_master ORDER BY 1, 2"))
                version = conn.execute(text("SELECT version_num FROM alembic_version")).scalars().all()
                # A table that a migration makes anew has its constraints in no certain order.
                found = [(*row[:3], sorted(re.split(r",?\s*\n", row.sql or ""))) for row in told]
                return found, version, conn.execute(text("PRAGMA journal_mode")).scalar()

        laid_down = schema("laid-down.db")
        monkeypatch.setattr(ledger_module, "upgrade", upgrade)
        assert laid_down == schema("migrated.db")

    def test_what_is_written_down_for_scratch_ledgers_is_what_the_migrations_come_to(self):
        written, migrated = open_scratch(), open_scratch()
        LAY_DOWN(written)
        upgrade(migrated)
        again = "run `python tests/support_schema.py` after each new migration"
        assert (data_dir("migrations") / f"schema_{SCHEMA_VERSION}.sql").is_file(), again
        with written.connect() as conn, migrated.connect() as by_migrations:
            assert list(storage_check.faults(conn, by_migrations)) == [], again

    def test_a_version_that_is_not_written_down_is_migrated(self, monkeypatch):
        monkeypatch.setattr(scratch, "SCHEMA_VERSION", "9999")
        engine = open_scratch()
        LAY_DOWN(engine)
        with engine.connect() as conn:
            assert set(TRIGGERS) <= set(
                conn.exec_driver_sql("SELECT name FROM sqlite_master WHERE type = 'trigger'").scalars()
            )

    def test_the_schema_version_is_that_of_the_last_migration(self):
        scripts = ScriptDirectory(str(data_dir("migrations")))
        assert scripts.get_heads() == [SCHEMA_VERSION]

    def test_every_trigger_is_there(self, conn):
        found = conn.execute(text("SELECT name, tbl_name FROM sqlite_master WHERE type = 'trigger'"))
        assert dict(row for row in found) == TRIGGERS

    def test_upgrading_again_changes_nothing(self, pressed):
        def schema():
            return pressed.rows("SELECT type, name, sql FROM sqlite_master ORDER BY 1, 2")

        before = schema(), pressed.ledger.head()
        upgrade(pressed.ledger._engine)
        assert (schema(), pressed.ledger.head()) == before
        assert pressed.rows("PRAGMA foreign_keys") == [(1,)]

    def test_a_migration_that_loses_a_trigger_is_undone(self, monkeypatch):
        engine = open_engine(ledger_url("sqlite://"), must_exist=False)
        upgrade(engine)

        def careless(config, _revision):
            config.attributes["connection"].execute(text("DROP TRIGGER journal_no_delete"))

        monkeypatch.setattr("alembic.command.upgrade", careless)
        with pytest.raises(JournalError) as caught:
            upgrade(engine)
        assert str(caught.value) == "the migration lost triggers ['journal_no_delete']; nothing was changed"
        with engine.connect() as conn:
            assert conn.execute(
                text("SELECT COUNT(*) FROM sqlite_master WHERE type = 'trigger'")
            ).scalar() == len(TRIGGERS)

    @pytest.mark.parametrize(
        ("version", "error", "sentence"),
        [
            (
                "9999",
                NewerJournal,
                (
                    f"here was made by a newer version (schema 9999, this program knows {SCHEMA_VERSION}): "
                    f"use a newer program. Its tables are those of schema {SCHEMA_VERSION}: if there never was a newer "
                    "program here, somebody changed the number"
                ),
            ),
            *(
                (
                    version,
                    LedgerDamaged,
                    (
                        f"here names schema version {version or 'none'}, but its tables are those of schema "
                        f"{SCHEMA_VERSION}: somebody changed what it names. Nothing was upgraded; keep the file as it is, "
                        "and compare it with a backup"
                    ),
                )
                for version in ("0000", "0003", "head", "", None)
            ),
        ],
    )
    def test_another_schema_is_named(self, version, error, sentence):
        engine = open_engine(ledger_url("sqlite://"), must_exist=False)
        upgrade(engine)
        with engine.begin() as conn:
            conn.execute(text("DELETE FROM alembic_version"))
            if version is not None:
                conn.execute(text("INSERT INTO alembic_version VALUES (:v)"), {"v": version})
            with pytest.raises(error) as caught:
                require_schema(conn, "here")
        assert type(caught.value) is error
        assert str(caught.value) == sentence


def _written(table, engine):
    return str(CreateTable(table).compile(dialect=engine.dialect))


def _constraints(sql):
    # SQLite writes a column that was added later behind the last one, in the same line.
    inside = re.sub(r", (?=\W?\w+\W? (TEXT|INTEGER)\b)", ",\n", sql[sql.index("(") + 1 : sql.rindex(")")])
    return [
        re.sub(r"\s+", " ", line).strip().rstrip(",").replace('"', "")
        for line in inside.strip().splitlines()
        if line.strip()
    ]


class TestAppendOnly:
    """The journal and its packs are append-only, by every statement SQL has."""

    NEXT = "(SELECT MAX(seq) + 1 FROM journal)"

    @pytest.mark.parametrize(
        "sql",
        [
            "UPDATE journal SET hash = x'01'",
            "UPDATE journal SET kind = kind WHERE seq = 1",
            "UPDATE journal SET seq = seq + 1000",
            "INSERT INTO journal (seq, hash, kind, stored) VALUES (1, x'01', 'y', x'00') ON CONFLICT (seq) DO UPDATE SET hash = x'01'",
        ],
    )
    def test_no_entry_is_edited(self, conn, sql):
        refused(conn, sql, "the journal is append-only")

    @pytest.mark.parametrize(
        "sql", ["DELETE FROM journal", "DELETE FROM journal WHERE seq = (SELECT MAX(seq) FROM journal)"]
    )
    def test_no_entry_is_deleted(self, conn, sql):
        refused(conn, sql, "the journal is append-only: no entry is deleted")

    @pytest.mark.parametrize("verb", ["INSERT", "INSERT OR REPLACE", "INSERT OR IGNORE", "REPLACE"])
    @pytest.mark.parametrize(
        "seq", ["1", "(SELECT MAX(seq) FROM journal)", "(SELECT MAX(seq) + 2 FROM journal)", "0", "-1"]
    )
    def test_a_used_number_or_a_gap_is_refused(self, conn, verb, seq):
        sql = f"{verb} INTO journal (seq, hash, kind, stored) VALUES ({seq}, x'01', 'y', x'00')"
        refused(conn, sql, "the journal is append-only: an entry must be the next one")

    def test_the_next_number_is_taken(self, conn):
        taken(conn, f"INSERT INTO journal (seq, hash, kind, stored) VALUES ({self.NEXT}, x'01', 'y', x'00')")

    @pytest.mark.parametrize("verb", ["INSERT", "INSERT OR REPLACE", "REPLACE"])
    def test_a_pack_is_written_once(self, conn, verb):
        seq = "(SELECT MAX(seq) FROM journal_pack)"
        refused(
            conn, f"{verb} INTO journal_pack (seq, packed) VALUES ({seq}, x'00')", "this entry has its scans"
        )

    @pytest.mark.parametrize("sql", ["UPDATE journal_pack SET packed = x'00'", "DELETE FROM journal_pack"])
    def test_no_pack_is_edited_or_deleted(self, conn, sql):
        refused(conn, sql, "raw scans are append-only")

    def test_a_pack_needs_its_entry(self, conn):
        refused(
            conn, f"INSERT INTO journal_pack VALUES ({self.NEXT}, x'00')", "FOREIGN KEY constraint failed"
        )

    @pytest.mark.parametrize(
        "values",
        [
            "'one', x'01', 'y', x'00'",
            "{}, 'x', 'y', x'00'",
            "{}, x'01', 'y', 'text'",
            "{}, NULL, 'y', x'00'",
            "{}, x'01', 'y', 1.5",
        ],
    )
    def test_a_strict_table_keeps_its_types(self, conn, values):
        with pytest.raises(IntegrityError), conn.begin_nested():
            conn.execute(
                text(f"INSERT INTO journal (seq, hash, kind, stored) VALUES ({values.format(self.NEXT)})")
            )


def segment(lot, first, last):
    return (
        f"INSERT INTO run_segment VALUES ('{lot}', {first}, {last}, '{PRESS}', '{code('T', 4)}', '{code('T', 14)}', 0, 0, "
        f"'{code('C', 1)}', '{code('E', 1)}', '{code('E', 2)}', 1)"
    )


def movement(quantity, source, target, first, last):
    return f"INSERT INTO movement VALUES (9999, 0, '{LOT}', {quantity}, '{source}', '{target}', {first}, {last}, 'at', NULL)"


SPINDLE = code("K", 11)


class TestRefusedByTheDatabase:
    """Wrong rows that no rule of a station lets through are refused by the schema as well."""

    @pytest.mark.parametrize(("first", "last"), [(20, 20), (21, 21), (15, 30), (2, 3), (2, 1), (21, 20)])
    def test_segments_of_a_lot_may_not_overlap(self, conn, first, last):
        if first <= 20:
            refused(conn, segment(LOT, first, last), "run segments of one lot may not overlap")
        else:
            taken(conn, segment(LOT, first, last))

    def test_a_segment_may_not_grow_past_the_counter_nor_into_another(self, conn):
        sentence = "a run segment may neither overlap another nor pass the counter of its lot"
        refused(conn, f"UPDATE run_segment SET \"last\" = 21 WHERE lot = '{LOT}'", sentence)
        taken(conn, f"UPDATE run_segment SET \"last\" = 20 WHERE lot = '{LOT}'")
        conn.execute(text(f"UPDATE run_segment SET \"last\" = 10 WHERE lot = '{LOT}'"))
        conn.execute(text(segment(LOT, 11, 20)))
        refused(conn, f'UPDATE run_segment SET "last" = 11 WHERE lot = \'{LOT}\' AND "first" = 1', sentence)

    @pytest.mark.parametrize(("first", "last"), [(0, 5), (5, 3), (-1, -1)])
    def test_a_segment_is_a_range(self, conn, first, last):
        refused(conn, segment(OTHER, first, last), "ck_run_segment_range_in_order")

    def test_a_stroke_leaves_the_counter_once(self, conn):
        sentence = "a stroke leaves the press counter once, and its range is known"
        conn.execute(text(f"UPDATE lot SET counter = 30 WHERE code = '{LOT}'"))
        for first, last in ((1, 1), (20, 21), (5, 25)):
            refused(conn, movement(1, "counter", SPINDLE, first, last), sentence)
        refused(conn, movement(1, "counter", SPINDLE, "NULL", "NULL"), sentence)
        taken(conn, movement(10, "counter", SPINDLE, 21, 30))

    def test_a_range_may_not_pass_the_counter_of_its_lot(self, conn):
        sentence = "a stroke range may not pass the counter of its lot"
        refused(conn, movement(1, "counter", SPINDLE, 21, 21), sentence)
        refused(conn, movement(1, SPINDLE, "scrap", 21, 21), sentence)
        taken(conn, movement(1, SPINDLE, "scrap", 20, 20))

    @pytest.mark.parametrize(
        ("row", "rule"),
        [
            ((0, SPINDLE, "scrap", "NULL", "NULL"), "ck_movement_quantity_positive"),
            ((-1, SPINDLE, "scrap", "NULL", "NULL"), "ck_movement_quantity_positive"),
            ((1, SPINDLE, SPINDLE, "NULL", "NULL"), "ck_movement_goes_somewhere"),
            ((3, SPINDLE, "scrap", 1, 2), "ck_movement_range_holds_quantity"),
            ((1, SPINDLE, "scrap", 2, 1), "ck_movement_range_holds_quantity"),
            ((1, SPINDLE, "scrap", 0, 1), "ck_movement_range_holds_quantity"),
            ((1, SPINDLE, "scrap", "NULL", 1), "ck_movement_range_holds_quantity"),
            ((1, SPINDLE, "scrap", 1, "NULL"), "ck_movement_range_holds_quantity"),
        ],
    )
    def test_a_movement_makes_sense(self, conn, row, rule):
        refused(conn, movement(*row), rule)

    def test_no_place_goes_negative(self, conn):
        where = f"WHERE place = '{SPINDLE}' AND lot = '{LOT}'"
        refused(conn, f"UPDATE stock SET quantity = quantity - 11 {where}", "ck_stock_place_not_negative")
        taken(conn, f"UPDATE stock SET quantity = 0 {where}")
        refused(conn, f"INSERT INTO stock VALUES ('new', '{LOT}', -1)", "ck_stock_place_not_negative")

    @pytest.mark.parametrize(
        ("stroke", "fine"), [(0, False), (-1, False), (1, True), (20, True), (21, False)]
    )
    def test_a_sample_is_a_stroke_of_its_lot(self, conn, stroke, fine):
        sql = f"INSERT INTO sample VALUES ('{code('S', 9)}', '{LOT}', {stroke}, 'at', 1)"
        if fine:
            taken(conn, sql)
        else:
            refused(conn, sql, "a sample's stroke must be one of its lot")

    def test_a_stroke_is_sampled_once(self, conn):
        refused(
            conn,
            f"INSERT INTO sample VALUES ('{code('S', 9)}', '{LOT}', 12, 'at', 1)",
            "sample.lot, sample.stroke",
        )

    def test_a_child_has_one_open_parent(self, conn):
        sql = f"INSERT INTO nesting VALUES ('{carton_sscc(1)}', 9999, '{pallet_sscc(2)}', %s)"
        refused(conn, sql % "NULL", "UNIQUE constraint failed: nesting.child")
        taken(conn, sql % "10000")
        refused(
            conn,
            f"INSERT INTO nesting VALUES ('{carton_sscc(2)}', 9999, '{carton_sscc(2)}', NULL)",
            "not_in_itself",
        )

    def test_a_number_is_on_one_sleeve(self, conn):
        row = "INSERT INTO numbered_sleeve VALUES ('{}', '7', '{}', '{}', 1)"
        first = row.format(gtin(3), code("B", 3), carton_sscc(1))
        conn.execute(text(first))
        refused(conn, first, "UNIQUE constraint failed: numbered_sleeve.gtin, numbered_sleeve.number")
        taken(conn, row.format(gtin(4), code("B", 5), carton_sscc(1)))

    def test_a_press_has_one_lot(self, conn):
        on = "UPDATE lot SET press = '{}', status = 'running' WHERE code = '{}'"
        conn.execute(text(on.format(PRESS, LOT)))
        refused(conn, on.format(PRESS, OTHER), "UNIQUE constraint failed: lot.press")
        taken(conn, on.format(code("W", 7), OTHER))

    def test_a_plant_is_one(self, conn):
        refused(conn, "INSERT INTO plant VALUES (2, 'x', 'x', 'x', 'x', 1)", "ck_plant_one_plant")

    def test_a_bad_judgement_has_a_defect_and_a_good_one_none(self, conn):
        row = f"INSERT INTO judgement VALUES (9999, '{code('S', 1)}', %s, NULL)"
        refused(conn, row % "0, NULL", "ck_judgement_defect_when_bad")
        refused(conn, row % "1, 'click'", "ck_judgement_defect_when_bad")
        taken(conn, row % "0, 'click'")

    @pytest.mark.parametrize(
        ("table", "column", "value"),
        [
            ("lot", "status", "'gone'"), ("lot", "decision", "'perhaps'"), ("lot", "counter", "-1"),
            ("tool", "what", "'spoon'"), ("tool", "side", "'C'"), ("tool", "status", "'lost'"), ("station", "area", "'roof'"),
            ("carton", "status", "'lost'"), ("pallet", "status", "'lost'"), ("material", "what", "'ink'"),
            ("sleeve_batch", "status", "'odd'"), ("sscc_block", "what", "'crate'"), ("product", "carton_size", "0"),
            ("sscc_block", "last_serial", "0"), ("product_part", "piece", "3"), ("run_segment", "life_a", "-1"),
        ],
    )  # fmt: skip
    def test_a_column_holds_what_it_may(self, conn, table, column, value):
        assert conn.execute(text(f"SELECT COUNT(*) FROM {table}")).scalar() > 0
        refused(conn, f"UPDATE {table} SET {column} = {value}", "CHECK constraint failed")

    def test_every_reference_is_kept(self, conn):
        """Each foreign key refuses a row that names what is not there."""
        for table in metadata.sorted_tables:
            if table.name.startswith("journal"):
                continue
            keys = ", ".join(f'"{column.name}"' for column in table.primary_key)
            one = f"WHERE ({keys}) = (SELECT {keys} FROM {table.name} LIMIT 1)"
            for key in table.foreign_key_constraints:
                if conn.execute(text(f"SELECT COUNT(*) FROM {table.name}")).scalar():
                    sql = f"UPDATE {table.name} SET {key.columns[0].name} = 'nothing' {one}"
                    refused(conn, sql, "FOREIGN KEY constraint failed")


class TestConnections:
    def pragmas(self, conn):
        names = (
            "foreign_keys",
            "journal_mode",
            "synchronous",
            "busy_timeout",
            "trusted_schema",
            "cell_size_check",
            "query_only",
        )
        return {name: conn.exec_driver_sql(f"PRAGMA {name}").scalar() for name in names}

    def test_the_bundled_sqlite_has_not_the_wal_reset_fault(self):
        assert pysqlite3.sqlite_version_info >= FIXED_SQLITE == (3, 51, 3)

    def test_every_connection_is_set_up(self, tmp_path):
        ledger = Ledger.create(str(tmp_path / "a.db"))
        wanted = {"foreign_keys": 1, "journal_mode": "wal", "synchronous": 2, "busy_timeout": 5000,
                  "trusted_schema": 0, "cell_size_check": 1, "query_only": 0}  # fmt: skip
        with ledger.reading() as one, ledger.reading() as two:
            assert self.pragmas(one) == self.pragmas(two) == wanted
            assert one.connection.dbapi_connection is not two.connection.dbapi_connection
        with Ledger.open(ledger.place, read_only=True).reading() as conn:
            assert self.pragmas(conn) == {**wanted, "query_only": 1}

    def test_an_older_sqlite_falls_back_to_a_rollback_journal(self, tmp_path, monkeypatch):
        monkeypatch.setattr(pysqlite3, "sqlite_version_info", (3, 51, 2))
        ledger = Ledger.create(str(tmp_path / "a.db"))
        with ledger.reading() as conn:
            found = self.pragmas(conn)
        assert (found["journal_mode"], found["synchronous"]) == ("delete", 3)

    def test_writers_take_the_lock_when_they_begin_and_readers_do_not(self, tmp_path):
        ledger = Ledger.create(str(tmp_path / "a.db"))
        other = pysqlite3.connect(ledger.place, timeout=0, isolation_level=None)
        with ledger.writing(), ledger.reading() as conn:
            assert conn.execute(text("SELECT COUNT(*) FROM journal")).scalar() == 0
            with pytest.raises(pysqlite3.OperationalError, match="database is locked"):
                other.execute("BEGIN IMMEDIATE")
        with ledger.reading() as conn:
            assert conn.execute(text("SELECT COUNT(*) FROM journal")).scalar() == 0
            other.execute("BEGIN IMMEDIATE")
            other.execute("ROLLBACK")
        other.close()

    def test_what_is_rolled_back_is_gone_tables_and_savepoints_too(self, tmp_path):
        """The driver's own transactions would keep both (measured; see the pages of the SQLAlchemy SQLite dialect)."""
        ledger = Ledger.create(str(tmp_path / "a.db"))
        with ledger._engine.connect() as conn:
            with conn.begin() as outer:
                conn.execute(text("CREATE TABLE extra (x INTEGER)"))
                with conn.begin_nested():
                    conn.execute(text("INSERT INTO setting VALUES ('x', 1, 'y')"))
                outer.rollback()
            assert conn.execute(text("SELECT COUNT(*) FROM setting")).scalar() == 0
            assert conn.execute(text("SELECT COUNT(*) FROM sqlite_master WHERE name = 'extra'")).scalar() == 0


def test_what_a_sample_is_of_is_copied_before_it():
    """No foreign key says so, because it is a lot or a build order; a trigger refuses a sample of neither."""
    place = {table.name: number for number, table in enumerate(SHADOW)}
    assert max(place["lot"], place["build"]) < place["sample"]


def test_a_ledger_in_a_file_loads_nothing_of_a_server():
    code = "import sys, tracelink.store.database.tables; print([n for n in sys.modules if 'postgresql' in n])"
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout == "[]\n"


def test_a_server_is_told_the_conditions_of_partial_indexes():
    complete_for_server()
    partial = {
        index.name: (index.dialect_options[dialect]["where"] for dialect in ("sqlite", "postgresql"))
        for table in metadata.tables.values()
        for index in table.indexes
        if index.dialect_options["sqlite"]["where"] is not None
    }
    assert len(partial) > 3
    for name, (here, there) in partial.items():
        assert str(here) == str(there), name

"""Faults of files, disks, locks and processes: a sentence of the right kind, and nothing half booked."""

import os
import subprocess
import sys
import tempfile
import textwrap
from contextlib import contextmanager
from pathlib import Path

import pysqlite3
import pytest
from sqlalchemy import event, text
from support_ledgers import filled, new_plant
from support_plant import PRESS, TOOL, Floor, gtin, plant_data, raw
from support_plantfile import read_plant_file

from tracelink.errors import (
    IdentifierError,
    LedgerBusy,
    LedgerDamaged,
    LedgerError,
    LedgerMissing,
    NewerJournal,
    NotALedger,
    StorageFailed,
    UsageError,
)
from tracelink.ledger.entry import Stamp
from tracelink.ledger.packs import RawScan
from tracelink.store.database import engine as engines
from tracelink.store.database.schema import SCHEMA_VERSION
from tracelink.store.ledger import Ledger
from tracelink.store.statements import short_writes

AT = "2031-03-03T08:00:00+01:00"


def error_of(act):
    """The error an act ends in: one of ours, a sentence without a word of databases' insides."""
    with pytest.raises(LedgerError) as caught:
        act()
    message = str(caught.value)
    assert "\n" not in message
    assert "Traceback" not in message
    assert "sqlalche" not in message.lower()
    return type(caught.value), message


@pytest.fixture
def place(tmp_path):
    return str(tmp_path / "plant.db")


@pytest.fixture
def floor(place):
    return Floor(Ledger.open(str(filled(Path(place), new_plant))))


def state(ledger):
    """All that booking may change."""
    with ledger.reading() as conn:
        counts = [
            conn.execute(text(f"SELECT COUNT(*) FROM {table}")).scalar()
            for table in ("journal", "journal_pack", "spool", "finding")
        ]
        return counts, list(conn.execute(text("SELECT * FROM station ORDER BY code")))


class TestFiles:
    def test_no_file(self, place):
        assert error_of(lambda: Ledger.open(place)) == (
            LedgerMissing,
            f"there is no ledger at {place}: make one with `runout init`, or name it with --ledger",
        )
        assert not Path(place).exists()

    def test_a_folder(self, tmp_path):
        assert error_of(lambda: Ledger.open(str(tmp_path)))[0] is LedgerMissing

    def test_a_text_file(self, place):
        Path(place).write_text("Side A: hum.\n" * 400)
        assert error_of(lambda: Ledger.open(place)) == (
            NotALedger,
            f"{place} is not a ledger of this program: file is not a database",
        )
        assert Path(place).read_text() == "Side A: hum.\n" * 400

    def test_an_empty_file(self, place):
        Path(place).touch()
        assert error_of(lambda: Ledger.open(place)) == (
            NotALedger,
            f"{place} holds no ledger: make one with `runout init`",
        )
        assert Path(place).stat().st_size == 0

    def test_another_database(self, place):
        other = pysqlite3.connect(place)
        other.execute("CREATE TABLE recipe (x)")
        other.commit()
        other.close()
        before = Path(place).read_bytes()
        assert error_of(lambda: Ledger.open(place)) == (
            NotALedger,
            f"{place} holds no ledger: make one with `runout init`",
        )
        assert Path(place).read_bytes() == before

    def test_a_newer_schema(self, floor, place):
        with floor.ledger.transaction() as conn:
            conn.execute(text("UPDATE alembic_version SET version_num = '0999'"))
        assert error_of(lambda: Ledger.open(place)) == (
            NewerJournal,
            (
                f"{place} was made by a newer version (schema 0999, this program knows {SCHEMA_VERSION}): use a newer program. "
                f"Its tables are those of schema {SCHEMA_VERSION}: if there never was a newer program here, somebody changed "
                "the number"
            ),
        )

    def test_a_damaged_page(self, floor, place):
        floor.ledger.close()
        data = bytearray(Path(place).read_bytes())
        data[4096:] = b"\xa5" * (len(data) - 4096)
        Path(place).write_bytes(data)
        kind, message = error_of(lambda: Ledger.open(place).verify())
        assert kind is LedgerDamaged
        assert message.startswith(f"the ledger {place} is damaged: ")

    def test_a_ledger_is_never_overwritten(self, floor, place):
        before = floor.ledger.head()
        assert error_of(lambda: Ledger.create(place)) == (
            UsageError,
            f"{place} exists already; a ledger is never overwritten",
        )
        assert floor.ledger.head() == before

    def test_what_holds_no_entry_was_begun_and_is_gone_on_with(self, place):
        Path(place).touch()
        Ledger.create(place).close()
        with Ledger.create(place) as ledger:
            assert ledger.head().seq == 0

    def test_a_file_of_something_else_is_never_overwritten(self, place):
        Path(place).write_text("no database")
        assert error_of(lambda: Ledger.create(place))[0] is UsageError
        assert Path(place).read_text() == "no database"
        Path(place).unlink()
        with pysqlite3.connect(place) as conn:
            conn.execute("CREATE TABLE somebody (other)")
        assert error_of(lambda: Ledger.create(place))[0] is UsageError

    def test_no_folder_for_a_new_ledger(self, tmp_path):
        place = str(tmp_path / "no" / "plant.db")
        assert error_of(lambda: Ledger.create(place)) == (UsageError, f"the folder of {place} does not exist")

    def test_a_url_that_is_none(self):
        assert error_of(lambda: Ledger.open("://")) == (
            UsageError,
            (
                "ledger '://' is not a database URL and not a file: expected the path of a file, or "
                "postgresql+psycopg://USER@HOST/DATABASE"
            ),
        )


class TestScansNotTaken:
    """A wrong call, not a wrong scan: nothing of it is booked."""

    def test_an_unknown_station(self, floor):
        before = state(floor.ledger)
        assert error_of(lambda: floor.ledger.scan("W999999Z", raw("P1"), AT)) == (
            UsageError,
            "station W999999Z is not in the system",
        )
        assert state(floor.ledger) == before

    @pytest.mark.parametrize("number", [0, 1, 3, -1])
    def test_a_scan_out_of_order(self, floor, number):
        floor.scan(TOOL, "P1")
        before = state(floor.ledger)

        def again():
            with floor.ledger.writing() as booking:
                booking.book(TOOL, RawScan(number, AT, raw("LACQUER")))

        assert error_of(again) == (
            UsageError,
            f"station {TOOL}: expected scan 2, found scan {number}; the log is cut or out of order, and nothing of it "  # noqa: ISC004
            "was booked from here on",
        )
        assert state(floor.ledger) == before

    @pytest.mark.parametrize("at", ["", "now", "2031-03-03T08:00:00Z", "2031-03-03 08:00:00+01:00"])
    def test_a_time_that_could_not_be_read_back(self, floor, at):
        """Booked, it would leave a journal that does not verify."""
        before = state(floor.ledger)
        kind, message = error_of(lambda: floor.ledger.scan(TOOL, raw("P1"), at))
        assert issubclass(kind, IdentifierError)
        assert repr(at) in message
        assert state(floor.ledger) == before

    def test_half_a_surrogate_pair_is_refused_as_a_scan_and_kept(self, floor):
        verdict = floor.ledger.scan(TOOL, "]C0\ud800", AT)
        assert verdict.finding == "wrong-format"
        assert floor.read("finding", "subject") == [("]C0\\ud800",)]
        floor.ledger.verify()


class TestLocks:
    @pytest.fixture
    def short(self, monkeypatch):
        monkeypatch.setattr(engines, "BUSY_TIMEOUT_MS", 30)

    @contextmanager
    def locked(self, place):
        other = pysqlite3.connect(place, timeout=0, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        yield
        other.execute("ROLLBACK")
        other.close()

    def test_another_writer(self, short, floor, place):
        floor.ledger.close()
        before = state(floor.ledger)
        with self.locked(place):
            assert error_of(lambda: floor.scan(TOOL, "P1")) == (
                LedgerBusy,
                f"the ledger {place} is locked by another program: nothing was booked; try again when it is done",
            )
            assert state(floor.ledger) == before, "readers are not kept waiting"
        assert floor.scan(TOOL, "P1").finding is None

    def test_the_error_says_refused_and_not_broken(self):
        assert (LedgerBusy.exit_code, StorageFailed.exit_code, UsageError.exit_code) == (4, 4, 2)

    def test_two_stations_never_win_one_card(self, floor, place):
        """Judged where it is written: the second writer waits, then sees what the first has booked."""
        floor.tools()
        second = Floor(Ledger.open(place))
        for one, press in ((floor, PRESS), (second, raw("W7")[3:])):
            one.scan(press, "P1")
        for one, press, lot, which in ((floor, PRESS, "L1", 4), (second, raw("W7")[3:], "L5", 5)):
            one.scan(
                press,
                "SETUP",
                lot,
                f"T{which}",
                f"T1{which}",
                "C1",
                "E1",
                "E2",
                "START",
                '"EX-101-A',
                '"EX-101-B',
            )
            one.scan(press, "STACK", "K11")
        assert floor.scan(PRESS, "#5").finding is None
        assert second.scan(raw("W7")[3:], "#5").finding == "card-in-use"
        assert floor.read("spindle", "code", "lot") == [(raw("K11")[3:], raw("L1")[3:])]


class TestNoWriting:
    def test_a_ledger_opened_for_reading_takes_no_scan(self, floor, place):
        ledger = Ledger.open(place, read_only=True)
        before = state(ledger)
        kind, message = error_of(lambda: ledger.scan(TOOL, raw("P1"), AT))
        assert kind is StorageFailed
        assert message == (
            f"the ledger {place} may not be written here: nothing was booked (attempt to write a readonly database)"
        )
        assert state(ledger) == before
        assert ledger.verify() == ledger.head()

    @pytest.mark.skipif(os.geteuid() != 0, reason="needs a user without rights, which only root can become")
    def test_a_read_only_file_and_folder(self):
        # Not tmp_path: pytest keeps its folders from other users, and so would hide the fault looked for.
        with tempfile.TemporaryDirectory() as folder:
            place, new = str(Path(folder, "plant.db")), Path(folder, "new.db")
            Floor.new(place).ledger.close()
            Path(place).chmod(0o444)
            Path(folder).chmod(0o555)
            scanned, created = as_nobody(
                f"Ledger.open({place!r}).scan({TOOL!r}, ']C0P000001H', {AT!r})",
                f"Ledger.create({str(new)!r})",
            )
            assert not new.exists()
        assert scanned.startswith(
            f"StorageFailed: the ledger {place} may not be written here: nothing was booked ("
        )
        assert created.startswith("StorageFailed: ")

    @pytest.mark.skipif(os.geteuid() != 0, reason="needs a user without rights, which only root can become")
    def test_a_folder_that_may_not_be_entered(self, floor, place, tmp_path):
        floor.ledger.close()
        tmp_path.chmod(0o700)
        told = as_nobody(f"Ledger.open({place!r})", f"Ledger.create({place!r})")
        assert told == [f"StorageFailed: the ledger {place} cannot be reached: Permission denied"] * 2


def as_nobody(*statements):
    """Run statements as a user without rights, in one process; the error of each, as `class: sentence`."""
    program = f"""
        import os
        # Before the rights are gone, because such a user may not even read the interpreter's own library.
        import alembic.command, alembic.config, tracelink.store.stations.booking
        from tracelink.errors import LedgerError
        from tracelink.store.ledger import Ledger
        os.setuid(65534)
        for statement in {statements!r}:
            try:
                exec(statement)
            except LedgerError as problem:
                print(f"{{type(problem).__name__}}: {{problem}}")
    """
    found = subprocess.run(
        [sys.executable, "-c", textwrap.dedent(program)], capture_output=True, text=True, check=True
    )
    told = found.stdout.splitlines()
    assert len(told) == len(statements), "each of them fails, in one line"
    return told


class TestFullDisk:
    def test_a_full_disk_books_nothing_and_the_next_scan_works(self, floor, place):
        """SQLite's own page limit stands in for the disk: it is reported by the same error, SQLITE_FULL."""
        floor.scan(TOOL, "P1")
        before = state(floor.ledger)
        with floor.ledger._engine.connect() as conn:
            raw_connection = conn.connection.dbapi_connection
        pages = raw_connection.execute("PRAGMA page_count").fetchone()[0]
        raw_connection.execute(f"PRAGMA max_page_count = {pages + 4}")
        assert error_of(lambda: floor.scan(TOOL, *[f'"{"x" * 150}{n}' for n in range(400)])) == (
            StorageFailed,
            f"the disk that holds {place} is full: nothing was booked; make room and scan again",
        )
        stuck = state(floor.ledger)
        assert error_of(lambda: floor.scan(TOOL, f'"{"x" * 199}'))[0] is StorageFailed
        assert state(floor.ledger) == stuck != before
        assert floor.ledger.verify() == floor.ledger.head()
        raw_connection.execute("PRAGMA max_page_count = 1000000")
        assert floor.scan(TOOL, '"again').finding == "wrong-thing"
        assert state(floor.ledger)[0][0] == stuck[0][0] + 1

    @pytest.mark.skipif(os.geteuid() != 0, reason="mounting a small disk needs root")
    def test_a_disk_too_small_for_a_new_ledger_leaves_nothing_behind(self, tmp_path):
        """Left behind, half a ledger would bar the second try."""
        if subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=128k", "tmpfs", str(tmp_path)], check=False
        ).returncode:
            pytest.skip("this machine does not let root mount")
        try:
            kind, message = error_of(lambda: Ledger.create(str(tmp_path / "plant.db")))
            left = [path.name for path in tmp_path.iterdir()]
        finally:
            subprocess.run(["umount", "-l", str(tmp_path)], check=True)
        assert kind is StorageFailed
        assert "is full" in message
        assert left == []


class TestInterruption:
    def test_ctrl_c_in_the_middle_of_a_transaction_books_nothing(self, floor):
        floor.scan(TOOL, "P1")
        before = state(floor.ledger)

        def interrupted():
            with floor.ledger.writing() as booking:
                booking.book(TOOL, RawScan(2, AT, raw("LACQUER")))
                booking.book(TOOL, RawScan(3, AT, raw("T1")))
                raise KeyboardInterrupt

        with pytest.raises(KeyboardInterrupt):
            interrupted()
        assert state(floor.ledger) == before
        assert floor.scan(TOOL, "LACQUER").sentence == "Scan the new tool tag."

    @pytest.mark.parametrize("step", range(1, 9))
    def test_a_fault_at_every_statement_of_a_booking_books_nothing(self, floor, monkeypatch, step):
        """The n-th statement of one scan fails, n rising until the scan goes through."""
        floor.scan(TOOL, "P1", "LACQUER", "T1", '"A')
        before = state(floor.ledger)
        left = [step]

        def fail(_conn, _cursor, statement, *_rest):
            left[0] -= statement.startswith(("INSERT", "UPDATE", "DELETE"))
            if left[0] == 0:
                raise OSError("the disk is gone")

        def prepared(conn, statement, names):
            found = prepared_before(conn, statement, names)
            fail(conn, None, found.sql)
            return found

        # Writes go either way: through the layers, or straight to the driver.
        prepared_before = short_writes.prepare
        monkeypatch.setattr(short_writes, "prepare", prepared)
        event.listen(floor.ledger._engine, "before_cursor_execute", fail)
        try:
            verdict = floor.scan(TOOL, '"EX-101-A')
        except OSError:
            assert step <= 6
        else:
            assert step > 6
            assert verdict.sentence == f"Lacquer {raw('T1')[3:]} side A, EX-101-A."
        finally:
            event.remove(floor.ledger._engine, "before_cursor_execute", fail)
        if step <= 6:
            assert state(floor.ledger) == before
            assert floor.scan(TOOL, '"EX-101-A').finding is None


def test_a_plant_file_that_fails_half_way_leaves_an_empty_ledger(place):
    ledger = Ledger.create(place)
    data = plant_data()
    data["order"].append(
        {"code": "O0000001", "consignee": "?", "country": "DE", "gtin": gtin(1), "quantity": 1}
    )

    def load():
        with ledger.writing() as booking:
            for body in read_plant_file(data, new_ledger=True):
                booking.record(body, Stamp(AT, "2031-03-03T07:00:00Z"))

    kind, message = error_of(load)
    assert kind is UsageError
    assert message.startswith("[[order]] number 5: code: ")
    assert ledger.head().seq == 0

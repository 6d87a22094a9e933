"""The table of each station's last scan: a rule goes by it, so `audit verify` tells when somebody changed it."""

import sqlite3
from contextlib import closing

import pytest
from support_cli import run
from support_ledgers import filled, packing_line
from support_plant import LAB, LINE, PRESS, Floor

from tracelink.store.ledger import Ledger

LATER = "2031-03-04T09:00:00+01:00"


@pytest.mark.parametrize("station", [LINE, PRESS], ids=["waits in the spool", "packed beside an entry"])
@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("number", 1, "number is 1, the station's last scan is"),
        ("at", LATER, "is not the one that was booked"),
        ("raw", "]C0T", "is not the one that was booked"),
    ],
)
def test_a_last_scan_that_was_changed_is_noticed(tmp_path, station, field, value, told):
    place = filled(tmp_path / "plant.db", packing_line)
    assert run("audit", "verify", ledger=place).code == 0
    with closing(sqlite3.connect(place)) as conn:
        # Its own words, not the program's.
        conn.execute(f"UPDATE last_scan SET {field} = ? WHERE station = ?", (value, station))
        conn.commit()
    found = run("audit", "verify", ledger=place)
    assert found.code == 3
    assert f"last_scan {station}: " in found.out + found.err
    assert told in " ".join((found.out + found.err).split())


def told_of(place):
    found = run("audit", "verify", ledger=place)
    return found.code, [line for line in found.err.splitlines() if line.startswith("last_scan")]


def keep_rows(place, *stations):
    """Delete the rows of all other stations."""
    with closing(sqlite3.connect(place)) as conn:
        marks = ", ".join("?" * len(stations))
        conn.execute(f"DELETE FROM last_scan WHERE station NOT IN ({marks})", stations)
        conn.commit()


def scan_later(place, *stations):
    """Scan at each station in turn, some weeks after all that was booked."""
    floor = Floor(Ledger.open(str(place)))
    floor.at = "2031-07-30T09:00:00+01:00"
    for station in stations:
        floor.scan(station, "P1")
    floor.ledger.close()


class TestARowThatIsMissing:
    def test_it_is_noticed_where_another_station_has_an_earlier_one(self, tmp_path):
        place = filled(tmp_path / "plant.db", packing_line)
        scan_later(place, LINE)
        keep_rows(place, PRESS)
        code, told = told_of(place)
        assert code == 3
        assert f"last_scan {LINE}: there is no row, and scan 13 of the station left one" in told
        assert all("there is no row" in line for line in told)

    def test_it_is_noticed_after_an_entry_of_a_kind_that_is_younger_than_the_table(self, tmp_path):
        """Here the station whose row is missing scanned before all that have one."""
        place = filled(tmp_path / "plant.db", packing_line)
        keep_rows(place, LINE)
        scan_later(place, LINE, PRESS, LINE)
        with closing(sqlite3.connect(place)) as conn:
            assert conn.execute("SELECT COUNT(*) FROM journal WHERE kind = 'clock-stepped'").fetchone() == (
                1,
            )
            [(number,)] = conn.execute("SELECT last_number FROM station WHERE code = ?", (PRESS,))
        assert told_of(place) == (0, [])
        keep_rows(place, LINE)
        assert told_of(place) == (
            3,
            [f"last_scan {PRESS}: there is no row, and scan {number} of the station left one"],
        )

    def test_a_ledger_of_an_older_program_has_none_of_a_station_that_stands_still(self, tmp_path):
        """Its table is empty after the upgrade; then one station scans, and is the only one with a row."""
        place = filled(tmp_path / "plant.db", packing_line)
        keep_rows(place)
        assert told_of(place) == (0, [])
        scan_later(place, LAB)
        assert told_of(place) == (0, [])

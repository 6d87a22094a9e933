"""The table of each station's last scan: a rule goes by it, so `audit verify` tells when somebody changed it."""

import sqlite3
from contextlib import closing

import pytest
from support_cli import run
from support_ledgers import filled, packing_line
from support_plant import LINE, PRESS

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

"""A forger with the database in hand, who chains rightly and rebuilds, is told all the same."""

import json
import sqlite3
from dataclasses import replace

import pytest
from support_cases import CAUSE, shipped_file
from support_cli import run
from support_journal import journal_rows
from support_plant import LAB, n

from tracelink.ledger.entry import entry_hash, read_entry
from tracelink.ledger.packs import RawScan, pack_hash, pack_scans, unpack_scans
from tracelink.store.compact.entry_form import stored_form
from tracelink.store.compact.pack_form import stored_pack


@pytest.fixture
def place(tmp_path):
    return shipped_file(tmp_path)


def test_a_judgement_that_no_scan_made_is_named(place):
    """A bad sample is turned into a good one by a correction that hangs in the chain as it should."""
    checkpoint = place.parent / "before.txt"
    assert run("audit", "key", "--make", ledger=place).code == 0
    assert run("audit", "checkpoint", "--out", checkpoint, ledger=place).code == 0
    with sqlite3.connect(place) as conn:
        rows = journal_rows(conn)
        head, last = rows[-1].seq, rows[-1].hash
        bad = read_entry([row for row in rows if row.kind == "sample-judged"][-1].canonical)
        assert bad.body["good"] is False
        forged = replace(
            bad,
            seq=head + 1,
            stamp=replace(bad.stamp, station=None, station_seq=None),
            body={**bad.body, "good": True, "defect": None},
            corrects=bad.seq,
            prev=last,
            scans=None,
        )
        data = forged.canonical()
        conn.execute(
            "INSERT INTO journal (seq, hash, kind, stored) VALUES (?, ?, ?, ?)",
            (forged.seq, bytes.fromhex(entry_hash(data)), forged.kind, stored_form(data)),
        )
    assert run("rebuild", ledger=place).code == 0
    told = run("audit", "verify", "--checkpoint", checkpoint, "--format", "json", ledger=place)
    assert told.code == 3
    assert json.loads(told.out)[0]["faults"] == [
        f"entry {forged.seq} (sample-judged) does not come from a rule: it was made at no station: expected a lab station"
    ]


def test_a_judgement_with_a_scan_of_its_own_is_named_when_scans_are_judged_again(place):
    """It carries all that a rule would leave on it, and raw scans; only that they do not lead to it tells it."""
    with sqlite3.connect(place) as conn:
        rows = journal_rows(conn)
        head, last = rows[-1].seq, rows[-1].hash
        judged = [row for row in rows if row.kind == "sample-judged"][-1]
        (turns,) = conn.execute("SELECT SUM(last_number) FROM station").fetchone()
        bad, raw = read_entry(judged.canonical), unpack_scans(judged.pack)[-1].raw
        number = bad.stamp.station_seq + 1
        pack = pack_scans([RawScan(number, bad.stamp.event_time, raw, turns + 1, head)])
        forged = replace(
            bad,
            seq=head + 1,
            stamp=replace(bad.stamp, station_seq=number),
            body={**bad.body, "good": True, "defect": None},
            corrects=bad.seq,
            prev=last,
            scans=pack_hash(pack),
        )
        data = forged.canonical()
        conn.execute(
            "INSERT INTO journal (seq, hash, kind, stored) VALUES (?, ?, ?, ?)",
            (forged.seq, bytes.fromhex(entry_hash(data)), forged.kind, stored_form(data)),
        )
        conn.execute("INSERT INTO journal_pack VALUES (?, ?)", (forged.seq, stored_pack(pack, forged.seq)))
        conn.execute("UPDATE last_scan SET number = ? WHERE station = ?", (number, bad.stamp.station))
    assert run("rebuild", ledger=place).code == 0
    assert run("audit", "verify", ledger=place).code == 0
    told = run("audit", "verify", "--judge-again", "--format", "json", ledger=place)
    assert told.code == 3
    [row] = json.loads(told.out)
    told = f"scan {number} of station {LAB} (turn {turns + 1}) leads to a scan-refused"
    assert row["faults"] == [f"entry {forged.seq} (sample-judged) is not what its scan forces: {told}"]
    assert (row["scans"], row["not_judged"]) == (turns, 0)


def test_what_was_made_by_stations_and_commands_is_not(place):
    assert (
        run(
            "contain",
            CAUSE,
            "--shape",
            "from-onset",
            "--hold",
            "--by",
            n("P1"),
            "--reason",
            "x",
            ledger=place,
        ).code
        == 1
    )
    done = run("audit", "verify", "--judge-again", ledger=place)
    assert (done.code, done.err) == (0, "")
    assert "entries they force" in done.out

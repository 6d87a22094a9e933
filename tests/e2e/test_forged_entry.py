"""A forger with the database in hand, who chains rightly and rebuilds, is told all the same."""

import json
import sqlite3
from dataclasses import replace

import pytest
from support_cases import CAUSE, shipped_file
from support_cli import run
from support_plant import n

from tracelink.ledger.entry import entry_hash, read_entry


@pytest.fixture
def place(tmp_path):
    return shipped_file(tmp_path)


def test_a_judgement_that_no_scan_made_is_named(place):
    """A bad sample is turned into a good one by a correction that hangs in the chain as it should."""
    checkpoint = place.parent / "before.txt"
    assert run("audit", "key", "--make", ledger=place).code == 0
    assert run("audit", "checkpoint", "--out", checkpoint, ledger=place).code == 0
    with sqlite3.connect(place) as conn:
        seq, canonical = conn.execute(
            "SELECT seq, canonical FROM journal WHERE kind = 'sample-judged' ORDER BY seq DESC LIMIT 1"
        ).fetchone()
        head, last = conn.execute("SELECT seq, hash FROM journal ORDER BY seq DESC LIMIT 1").fetchone()
        bad = read_entry(bytes(canonical))
        assert bad.body["good"] is False
        forged = replace(
            bad,
            seq=head + 1,
            stamp=replace(bad.stamp, station=None, station_seq=None),
            body={**bad.body, "good": True, "defect": None},
            corrects=seq,
            prev=last,
            scans=None,
        )
        data = forged.canonical()
        conn.execute(
            "INSERT INTO journal (seq, hash, kind, canonical) VALUES (?, ?, ?, ?)",
            (forged.seq, entry_hash(data), forged.kind, data),
        )
    assert run("rebuild", ledger=place).code == 0
    told = run("audit", "verify", "--checkpoint", checkpoint, "--format", "json", ledger=place)
    assert told.code == 3
    assert json.loads(told.out)[0]["faults"] == [
        f"entry {forged.seq} (sample-judged) does not come from a rule: it was made at no station: expected a lab station"
    ]


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
    done = run("audit", "verify", ledger=place)
    assert (done.code, done.err) == (0, "")

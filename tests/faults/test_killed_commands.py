"""Commands that are killed with SIGKILL at any moment, and two at once, on both engines; a log taken away from a dead line.

Afterwards the ledger is whole, the command was carried out as a whole or not at all, and can be typed again. With the seed below;
`RUNOUT_CAMPAIGN=20` tries twenty times as much. Prints with `-s` what was tried.
"""

import itertools
import os
import random
import signal
import sqlite3
import time
from pathlib import Path

import pytest
from support_campaign import tries
from support_cases import ADA, BEN, CAUSE, shipped_file
from support_cli import run, station_log, write_plant_file
from support_killed import ENGINES, ledger_on, whole
from support_ledgers import filled
from support_open_carton import open_carton
from support_plant import LINE, LINE_2, Floor, code, gtin, raw
from support_server import MISSING, programs, server

from runout import copy_ledger
from tracelink.errors import StorageFailed
from tracelink.store.ledger import Ledger, read_ledger

SEED = 15
KILLS = tries(1)
"""Of each command, on each engine."""
LONGEST_S = 0.7
PATIENCE_S = 60


@pytest.fixture(params=ENGINES)
def place(request, tmp_path):
    return ledger_on(request, tmp_path)


def begun(words, place):
    """Type a command in a process of its own that has imported everything; returns its number."""
    child = os.fork()
    if child == 0:
        os._exit(run(*words, ledger=place).code)
    return child


def ended(child):
    _child, status = os.waitpid(child, 0)
    return status


def numbered(folder, number):
    """Commands that write, so that each can be typed once for every number."""
    plan = folder / f"plan-{number}.toml"
    lots = [
        {"code": code("L", 100 + 10 * number + n), "gtin": gtin(1), "piece": 1, "quantity": 5}
        for n in range(9)
    ]
    write_plant_file(plan, {"lot": lots})
    log = station_log(
        folder / f"log-{number}.jsonl", LINE_2, [raw("P1"), *[raw("disc 1.1")] * 20], first=1 + 21 * number
    )
    return {
        "plan": ("plan", plan, "--by", ADA),
        "replay": ("replay", log),
        "hold": (
            "contain",
            CAUSE,
            "--shape",
            "whole-life",
            "--hold",
            "--by",
            ADA,
            "--reason",
            f"try {number}",
        ),
        "case": ("case", "open", CAUSE, "--shape", "whole-life", "--by", ADA, "--reason", f"try {number}"),
        "issue": ("label", "issue", "carton", "--count", 3, "--by", ADA),
        "rebuild": ("rebuild",),
    }


def test_a_command_that_is_killed_is_carried_out_or_not(place, tmp_path):
    rng = random.Random(SEED)
    # Imported and compiled once, before the forks.
    run("health", ledger=place)
    killed = kept = 0
    for number in range(KILLS):
        for words in numbered(tmp_path, number).values():
            before = whole(place)
            child = begun(words, place)
            time.sleep(rng.uniform(0, LONGEST_S))
            os.kill(child, signal.SIGKILL)
            was_killed = os.WIFSIGNALED(ended(child))
            killed += was_killed
            after = whole(place)
            kept += was_killed and after > before
            assert after >= before
            again = run(*words, ledger=place)
            # 2: what the killed one had carried out is in the ledger already.
            assert again.code in (0, 1, 2), (words, again)
    whole(place)
    print(
        f"seed {SEED}: {killed} kills of {len(numbered(tmp_path, 0))} commands, {kept} after the commit; 0 half done"
    )


def test_two_at_once_never_give_out_the_same(place):
    run("health", ledger=place)
    both = [
        begun(("label", "issue", "carton", "--count", 5, "--by", by), place) for by in (ADA, BEN) * tries(2)
    ]
    assert [ended(child) for child in both] == [0] * len(both)
    with read_ledger(place) as conn:
        blocks = conn.exec_driver_sql(
            "SELECT extension, first_serial, last_serial FROM sscc_block WHERE what = 'carton' ORDER BY extension, first_serial"
        ).all()
    for before, after in itertools.pairwise(blocks):
        assert before[0] != after[0] or before[2] < after[1]
    whole(place)


@pytest.mark.parametrize("taken", [("-shm",), ("-wal", "-shm")], ids=" and ".join)
def test_a_log_that_is_taken_away_leaves_an_earlier_ledger_that_is_whole(tmp_path, taken):
    """What a dead line left is in its log. Without the index nothing is lost; without the log only an earlier state is there."""
    place = filled(tmp_path / "plant.db", open_carton)
    earlier = whole(str(place))
    child = os.fork()
    if child == 0:
        floor = Floor(Ledger.open(str(place)))
        floor.match(1, 3)
        floor.scan(LINE, "CLOSE")
        os.kill(os.getpid(), signal.SIGKILL)
    assert os.WIFSIGNALED(ended(child))
    assert Path(f"{place}-wal").stat().st_size
    for ending in taken:
        Path(f"{place}{ending}").unlink()
    after = whole(str(place))
    assert after == earlier if "-wal" in taken else after > earlier
    again = Floor(Ledger.open(str(place)))
    assert again.match(1, 1).finding is None or "-wal" not in taken
    again.ledger.close()


def killed_under(ledger):
    with ledger.reading() as conn:
        os.kill(conn.exec_driver_sql("SELECT pg_backend_pid()").scalar(), signal.SIGKILL)
        conn.exec_driver_sql("SELECT 1")


def test_a_backend_that_is_killed_is_as_if_its_server_was(tmp_path):
    """SIGKILL of the process that serves a connection: its server recovers, and nothing that was shown is lost."""
    if programs() is None:
        pytest.skip(MISSING)
    booked = 0
    # Of its own: recovering, a server ends the connections of everybody.
    with server() as running:
        place = running.database()
        copy_ledger(filled(tmp_path / "plant.db", open_carton), place)
        for _ in range(tries(1)):
            with Ledger.open(place) as ledger:
                Floor(ledger).match(1, 2)
                booked += 2
                with pytest.raises(StorageFailed):
                    killed_under(ledger)
            until = time.monotonic() + PATIENCE_S
            while (told := run("health", ledger=place)).code == StorageFailed.exit_code:
                assert time.monotonic() < until, told
                time.sleep(0.1)
        with Ledger.open(place) as ledger:
            assert Floor(ledger).spooled_matches() == booked
        whole(place)


def test_a_file_that_is_damaged_at_any_page_is_told(tmp_path):
    """A page of zeros: whoever opens the ledger is told by a sentence, or nothing of it was in use."""
    rng = random.Random(SEED)
    made = shipped_file(tmp_path)
    data = made.read_bytes()
    with sqlite3.connect(made) as conn:
        page = conn.execute("PRAGMA page_size").fetchone()[0]
    for number in range(tries(4)):
        place = tmp_path / f"damaged-{number}.db"
        at = page * rng.randrange(len(data) // page)
        place.write_bytes(data[:at] + bytes(page) + data[at + page :])
        told = run("audit", "verify", ledger=place)
        assert told.code in (0, 2, 3), told
        assert told.code == 0 or "runout" in told.err or "Differences" in told.out

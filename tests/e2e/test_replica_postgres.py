"""A streaming replica of a plant's database answers every question, follows, and takes nothing in."""

import time

import pytest
from support_cases import ADA, CAUSE, shipped_file
from support_cli import run
from support_plant import LINE, Floor, n
from support_replica import is_level, replica

from runout import copy_ledger, open_ledger
from tracelink.store.ledger import Ledger

PATIENCE_S = 60
QUESTIONS = (
    ("trace", n("L1"), "--format", "json"),
    ("contain", CAUSE, "--shape", "whole-life", "--totals", "--format", "json"),
    ("balance", n("L1"), "--format", "json"),
    ("search", "Shop", "--format", "json"),
    ("hold", "--format", "csv"),
    ("audit", "verify", "--format", "json"),
)


@pytest.fixture(scope="module")
def pair(pg_running, tmp_path_factory):
    place = pg_running.database()
    copy_ledger(shipped_file(tmp_path_factory.mktemp("plant")), place)
    with replica(pg_running) as second:
        there = f"{second.url}/{place.rpartition('/')[2]}"
        wait_until_level(place, there)
        yield place, there


def wait_until_level(place, there):
    until = time.monotonic() + PATIENCE_S
    while not is_level(place, there):
        assert time.monotonic() < until, "the replica does not follow"
        time.sleep(0.05)


def test_it_answers_as_the_first_does_and_follows(pair):
    place, there = pair
    for question in QUESTIONS:
        asked, of_replica = run(*question, ledger=place), run("--read-only", *question, ledger=there)
        assert (of_replica.code, of_replica.out.replace(there, place)) == (asked.code, asked.out), question
    floor = Floor(Ledger.open(place))
    floor.scan(LINE, "P1", "HELP")
    floor.ledger.close()
    wait_until_level(place, there)
    with open_ledger(place) as ours, open_ledger(there, read_only=True) as theirs:
        assert ours.head == theirs.head


def test_nothing_is_booked_there_with_or_without_the_option(pair):
    _place, there = pair
    with open_ledger(there, read_only=True) as before:
        head = before.head
    opening = ("case", "open", CAUSE, "--shape", "whole-life", "--reason", "x", "--by", ADA)
    # A station goes on after a STOP, whatever the reason.
    for act, code in ((("rebuild",), 4), (opening, 4), (("line", "--station", LINE), 1)):
        plain = run(*act, ledger=there, scans="]C0P000001H\n")
        told = run("--read-only", *act, ledger=there, scans="]C0P000001H\n")
        assert plain.code == code, (act, plain)
        assert "may not be written here: nothing was booked" in plain.out + plain.err, (act, plain)
        assert told.code == 4, (act, told)
        assert "is opened to be read only (--read-only)" in told.err
    with open_ledger(there, read_only=True) as after:
        assert after.head == head

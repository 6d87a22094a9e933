"""Random logs booked with steady streams taken unjudged and with every scan judged come to the very same ledger.

`RUNOUT_CAMPAIGN=100` plays a hundred times as many logs.
"""

import random

import pytest
from support_campaign import tries
from support_merged_streams import give_pins, merged_day, random_hold
from support_streams import RandomDay, every_scan_judged, play, pressed, random_changes, record

SCANS = 160
MERGED_TOGETHER = 3
LOGS_TOGETHER = 4


def drawn(seed):
    """A log, changes of what was set up, and how many scans go into each transaction."""
    rng = random.Random(seed)
    log = RandomDay(rng).write(SCANS)
    chunks = [rng.choice((1, 2, 3, 17, 40, SCANS)) for _ in range(12)]
    return log, random_changes(rng, log), chunks


def played(log, changes, chunks):
    floor = pressed()
    record(floor, *changes)
    return play(floor, log, chunks)


@pytest.mark.parametrize("first", range(0, tries(2) * LOGS_TOGETHER, LOGS_TOGETHER))
def test_a_stream_taken_unjudged_leaves_the_same_ledger_and_tells_the_same(first, monkeypatch):
    unjudged = 0
    for seed in range(first, first + LOGS_TOGETHER):
        log, changes, chunks = drawn(seed)
        with every_scan_judged(monkeypatch):
            each = played(log, changes, chunks)
        stream = played(log, changes, chunks)
        assert stream.outcomes == each.outcomes, seed
        assert stream.rows == each.rows, seed
        assert set(stream.told) <= set(each.told), seed
        assert each.judged == len(log), seed
        unjudged += stream.unjudged
    assert unjudged > 0, "no stream was taken: nothing was compared"


def drawn_merged(seed):
    """Logs of several stations merged, changes before and between, how many scans go into each transaction, and PINs or not."""
    rng = random.Random(seed)
    pins = rng.random() < 0.25
    log = merged_day(rng, keyed=pins)
    chunks = [rng.choice((1, 17, 60, 60, 200, 1000)) for _ in range(8)]
    between = [
        rng.choice(([], [], [], random_changes(rng, log)[:2], random_hold(rng, 50 + at))) for at in range(4)
    ]
    before = random_changes(rng, log) if rng.random() < 0.5 else []
    return log, before, chunks, between, pins


def played_merged(log, before, chunks, between, pins):
    floor = pressed()
    if pins:
        give_pins(floor)
    record(floor, *before)
    return play(floor, log, chunks, between)


@pytest.mark.parametrize("first", range(0, tries(2) * MERGED_TOGETHER, MERGED_TOGETHER))
def test_streams_that_go_on_while_others_scan_leave_the_same_ledger(first, monkeypatch):
    unjudged = 0
    for seed in range(first, first + MERGED_TOGETHER):
        day = drawn_merged(seed)
        with every_scan_judged(monkeypatch):
            each = played_merged(*day)
        stream = played_merged(*day)
        assert stream.outcomes == each.outcomes, seed
        assert stream.rows == each.rows, seed
        assert set(stream.told) <= set(each.told), seed
        assert each.judged == len(day[0]), seed
        unjudged += stream.unjudged
    assert unjudged > 0, "no stream was taken: nothing was compared"

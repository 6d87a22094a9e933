"""Random logs booked with steady streams taken unjudged and with every scan judged come to the very same ledger.

`RUNOUT_CAMPAIGN=100` plays a hundred times as many logs.
"""

import random

import pytest
from support_campaign import tries
from support_streams import RandomDay, every_scan_judged, play, pressed, random_changes, record

SCANS = 160
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

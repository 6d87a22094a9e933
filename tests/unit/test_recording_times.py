"""Recording times run on; where they run back, or jump further than a plant is ever closed, the entry is named."""

import pytest

from tracelink.ledger.entry import FIRST_PREV, Entry, Stamp
from tracelink.ledger.recording_times import RecordingTimes


def steps(*times):
    """What recording times show, one entry after the other."""
    looked = RecordingTimes()
    entries = [
        Entry(seq, Stamp("2031-03-03T08:00:00+01:00", time), "signed-on", {}, FIRST_PREV)
        for seq, time in enumerate(times, 1)
    ]
    return [step for entry in entries for step in looked.entry(entry)]


@pytest.mark.parametrize(
    "times",
    [
        ("2031-03-03T08:00:00Z",) * 3,
        # Two machines of one plant, a minute apart.
        ("2031-03-03T08:01:00Z", "2031-03-03T08:00:00Z"),
        # A plant that was closed for a month.
        ("2031-03-03T08:00:00Z", "2031-04-02T08:00:00Z"),
    ],
)
def test_times_that_run_on_are_not_told(times):
    assert steps(*times) == []


def test_a_time_that_runs_back_is_told_once():
    [step] = steps(
        "2031-03-03T08:00:00Z", "2031-03-03T08:02:01Z", "2031-03-03T08:00:00Z", "2031-03-03T08:00:01Z"
    )
    assert step.sentence == (
        "entry 3 (signed-on) was recorded 2031-03-03T08:00:00Z, 2 minutes before the entry before it "
        "(2031-03-03T08:02:01Z): the clock was set back or had run ahead, machines disagree, or a time was made up"
    )


def test_a_time_that_jumps_is_told_and_so_is_the_way_back():
    ahead, back = steps("2031-03-03T08:00:00Z", "2032-03-03T08:00:00Z", "2031-03-03T08:00:30Z")
    assert (ahead.seq, ahead.short) == (2, "366 days after the entry before it")
    assert ahead.sentence.endswith("the clock jumped ahead, or nothing was recorded for so long")
    assert (back.seq, back.short) == (3, "365 days before the entry before it")

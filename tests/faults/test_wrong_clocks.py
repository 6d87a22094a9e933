"""Clocks that are set back, leap and are wrong by hours, at random: all that was scanned is booked, told and judged again alike.

`RUNOUT_CAMPAIGN=50` tries fifty times as many days. Prints with `-s` what was tried.
"""

import itertools
import json
import random
from collections import Counter
from datetime import UTC, datetime, timedelta, timezone

import pytest
from support_campaign import seeds
from support_judged import judged
from support_pins import PINS, WRONG, nothing_tells_a_pin, rebuilds, with_pins
from support_plant import LAB, LINE, PRESS, Floor, n, raw, stamper

from tracelink.ledger.recording_times import ClockLimits, RecordingTimes
from tracelink.ledger.times import utc_seconds
from tracelink.store.journal import journal
from tracelink.store.journal.verify import examine
from tracelink.store.records.entry_stamps import entry_times

SCANS = 60
BEGIN = datetime(2031, 3, 3, 8, tzinfo=timezone(timedelta(hours=1)))
MINUTE, MONTH = timedelta(minutes=1), timedelta(days=30)
"""The settings `clock_back_minutes` and `clock_ahead_days`, as delivered."""


class Clock:
    """A clock that goes on by seconds and now and then does something else."""

    def __init__(self, rng):
        self._rng = rng
        self.now = BEGIN
        self.odd = 0

    def tick(self):
        rng = self._rng
        self.now += timedelta(seconds=rng.choice((0, 1, 2, 20, 45)))
        how = rng.randrange(12)
        self.odd += how < 4
        if how == 0:
            self.now -= timedelta(minutes=rng.choice((1, 2, 50, 300, 60 * 24 * 40)))
        elif how == 1:
            self.now += timedelta(days=rng.choice((0.01, 1, 29, 31, 400)))
        elif how == 2:
            # The hands stay, and the zone is wrong.
            self.now = self.now.replace(tzinfo=timezone(timedelta(hours=rng.randint(-11, 13))))
        elif how == 3:
            self.now = self.now.astimezone(timezone(timedelta(hours=rng.randint(-11, 13))))
        return self.now


def last_recorded(floor):
    with floor.ledger.reading() as conn:
        *_, row = journal.rows(conn, journal.head(conn).seq - 1)
    return datetime.fromisoformat(json.loads(row.canonical)["recorded_at"])


def is_whole(floor):
    rebuilds(floor)
    assert judged(floor).unforced is None
    with floor.ledger.reading() as conn:
        assert examine(conn).faults == []


@pytest.mark.parametrize("seed", seeds([1]))
def test_every_scan_is_booked_and_every_step_of_its_clock_told_at_once(seed):
    """An independent look at the times says which scans must be told."""
    rng = random.Random(seed)
    floor = Floor.copy(sign_off_minutes=0, check_units=0)
    floor.press(1, strokes=2 * SCANS)
    floor.at = BEGIN.isoformat()
    floor.open_line(1, [11], 1)
    station, recording = Clock(rng), Clock(rng)
    before, told, packed = BEGIN, 0, 0
    for number in range(SCANS):
        at, recorded = station.tick(), recording.tick()
        floor.at, floor.ledger._now = (
            at.isoformat(),
            lambda recorded=recorded: utc_seconds(recorded.isoformat()),
        )
        newest = last_recorded(floor)
        is_back, is_ahead = at - before < -MINUTE, at - before > MONTH and at - newest > MONTH
        line = raw(("disc 1.1", "sleeve 1")[number % 2])
        verdict = floor.scan(LINE, line)
        assert ("The clock of this station says" in verdict.sentence) == (is_back or is_ahead), (
            number,
            verdict,
        )
        assert (verdict.finding in ("clock-back", "clock-ahead")) == (is_back or is_ahead), (number, verdict)
        told += is_back or is_ahead
        before, packed = at, packed + number % 2
        if packed and packed % 5 == 0 and number % 2:
            closed = floor.scan(LINE, "CLOSE", f"carton {packed // 5 + 1}")
            assert closed.finding is None, closed
    assert (
        floor.count("finding", finding="clock-back") + floor.count("finding", finding="clock-ahead") == told
    )
    assert sum(units for (units,) in floor.read("carton", "units")) == packed
    is_whole(floor)
    with floor.ledger.reading() as conn:
        times = [datetime.fromisoformat(each) for _seq, _kind, _event, each in entry_times(conn)]
        looked = RecordingTimes(ClockLimits())
        steps = [
            step for seq, kind, _event, each in entry_times(conn) for step in looked.recorded(seq, kind, each)
        ]
    apart = [later - one for one, later in itertools.pairwise(times)]
    assert len(steps) == sum(each < -MINUTE or each > MONTH for each in apart)
    print(
        f"seed {seed}: {SCANS} scans, {station.odd + recording.odd} odd clocks, {told} scans told, {len(steps)} steps of recording"
    )


@pytest.mark.parametrize("seed", seeds([1]))
def test_a_pin_is_looked_at_no_sooner_than_the_recording_clock_allows(seed):
    """Whatever the station's clock says; a recording clock that is set back makes nobody's wait shorter."""
    rng = random.Random(seed)
    floor = with_pins(Floor.copy(pin_most_attempts=0, sign_off_minutes=0))
    station, recording = Clock(rng), Clock(rng)
    failures, until, looked, early = 0, None, 0, 0
    for _ in range(SCANS):
        floor.at, now = station.tick().isoformat(), recording.tick().astimezone(UTC).replace(microsecond=0)
        floor.ledger._now = lambda now=now: utc_seconds(now.isoformat())
        floor.scan(LAB, "P1")
        is_right = rng.random() < 0.15
        floor.scan(LAB, f"#{PINS[1] if is_right else WRONG}")
        [(kept,)] = floor.read("person_pin", "failures", person=n("P1"))
        if until is not None and now < until:
            early += 1
            assert kept == failures
            continue
        looked += 1
        failures = 0 if is_right else failures + 1
        assert kept == failures
        wait = 0 if failures <= 3 else min(3600, 30 * 2 ** (failures - 4))
        until = now + timedelta(seconds=wait) if wait else None
    assert looked
    assert early
    is_whole(floor)
    nothing_tells_a_pin(floor)
    print(f"seed {seed}: {looked} PINs looked at, {early} too early")


REST, LATE = timedelta(minutes=60), timedelta(minutes=60)
"""The setting `rest_minutes` of these days, and `late_entry_minutes` as delivered."""
OFF = tuple(timedelta(minutes=each) for each in (0, 0, 0, 1, -1, 50, -50, 300, -300, 60 * 24, -60 * 24))
"""How far the clock of a station is ahead of the recording clock, or behind."""


@pytest.mark.parametrize("seed", seeds([1]))
def test_no_clock_of_a_station_rests_discs_sooner(seed):
    """The recording clock is right and what is scanned is booked at once: what was opened in silence had rested.

    But where press and line are both behind by more than counts as late: that looks like two logs that were taken in later.
    """
    rng = random.Random(seed)
    floor = Floor.copy(rest_minutes=REST // MINUTE, sign_off_minutes=0)
    floor.scan(PRESS, "P1", "SETUP", "L1", stamper("EX-101-A"), stamper("EX-101-B"), "C1", "E1", "E2")
    floor.scan(PRESS, "START", '"EX-101-A', '"EX-101-B')
    floor.scan(LINE, "P1", "CLEAR", "P2", "B1")
    now, off = BEGIN, {PRESS: timedelta(), LINE: timedelta()}
    stacked, came = {}, Counter()
    for number in range(1, SCANS + 1):
        now += timedelta(minutes=rng.choice((1, 5, 20, 50)))
        station = PRESS if not stacked or rng.random() < 0.4 else LINE
        if rng.random() < 0.3:
            off[station] = rng.choice(OFF)
        floor.at, recorded = (now + off[station]).isoformat(), utc_seconds(now.isoformat())
        floor.ledger._now = lambda recorded=recorded: recorded
        if station == PRESS:
            floor.scan(PRESS, "STACK", f"K{number}", f"#{number}")
            stacked[f"K{number}"] = now, off[PRESS]
            continue
        card = rng.choice(sorted(stacked))
        since, press_off = stacked[card]
        verdict = floor.scan(LINE, card)
        is_open = floor.kinds()[-1] == "spindle-opened"
        are_words = press_off < -LATE and off[LINE] < -LATE
        is_told = "recorded only later" in verdict.sentence
        came["opened" if is_open else "refused"] += 1
        came["told"] += is_told
        came["both behind"] += is_open and are_words
        assert not is_open or is_told or are_words or now - since >= REST, (number, card, verdict)
    assert floor.count("spindle") == len(stacked)
    is_whole(floor)
    print(f"seed {seed}: {len(stacked)} stacks, {dict(came)}")

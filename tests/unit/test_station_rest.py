"""Discs rest before they are sleeved: by the recording clock, whatever the clocks of press and line say."""

from dataclasses import replace
from datetime import datetime, timedelta, timezone

import pytest
from support_judged import judged, recorded, turns
from support_pins import rebuilds
from support_plant import LINE, Floor, carton_sscc, n, raw

from tracelink.identity.rawlines import raw_away
from tracelink.ledger.kinds.station import ScanRefused
from tracelink.ledger.proof.judged import ByEarlierRule, EarlierRule
from tracelink.ledger.times import utc_seconds
from tracelink.station.line import opening
from tracelink.station.line.resting import StationTimes, rest_of

EIGHT = datetime(2031, 3, 3, 8, tzinfo=timezone(timedelta(hours=1)))
REST = 60


class Clocks:
    """A floor whose every scan has a time of its station and one of recording, in minutes after eight."""

    def __init__(self):
        self.floor = Floor.copy(rest_minutes=REST, sign_off_minutes=0)

    def set(self, station, recording):
        self.floor.at = (EIGHT + timedelta(minutes=station)).isoformat()
        now = utc_seconds((EIGHT + timedelta(minutes=recording)).isoformat())
        self.floor.ledger._now = lambda: now

    def stack(self, press, recording):
        """Stack both halves of a lot."""
        self.set(press, recording)
        self.floor.press(1)

    def open(self, line, recording):
        """Open the spindle, on a line that is cleared, and say what is told."""
        self.set(line, recording)
        if not self.floor.count("journal", kind="line-cleared"):
            self.floor.scan(LINE, "P1", "CLEAR", "P2", "B1")
        verdict = self.floor.scan(LINE, "K11")
        return verdict.finding or verdict.word.value


@pytest.fixture
def clocks():
    return Clocks()


def holds(clocks):
    """The journal follows from its scans."""
    found = judged(clocks.floor)
    assert (found.unforced, found.by_earlier_rules, found.scans) == (None, [], turns(clocks.floor))


def test_discs_rest_before_they_are_sleeved(clocks):
    clocks.stack(0, 0)
    assert clocks.open(59, 59) == "not-rested"
    assert clocks.floor.verdicts[-1].sentence == (
        f"Spindle {n('K11')} was stacked 59 minutes ago; discs rest 60 minutes before sleeving. Wait."
    )
    assert clocks.open(60, 60) == "DONE"
    holds(clocks)
    rebuilds(clocks.floor)


@pytest.mark.parametrize("ahead", [5, 300, 60 * 24 * 20])
def test_a_line_whose_clock_is_ahead_opens_nothing_sooner(clocks, ahead):
    clocks.stack(0, 0)
    assert clocks.open(59 + ahead, 59) == "not-rested"
    assert clocks.open(60 + ahead, 60) == "DONE"
    holds(clocks)


def test_a_line_whose_clock_is_behind_is_named_and_not_counted_as_rest(clocks):
    """A rest of minus some minutes is a matter of clocks, and that is what the person must mend."""
    clocks.stack(0, 0)
    assert clocks.open(-1, 90) == "not-rested"
    assert clocks.floor.verdicts[-1].sentence.startswith(
        f"The system shows spindle {n('K11')} as stacked at 2031-03-03T08:00:00+01:00, and the clock here says "
        "2031-03-03T07:59:00+01:00, which is earlier, so nobody knows how long the discs rested. Have the clocks of press "
        "and line set, then scan again."
    )
    holds(clocks)


def test_a_line_whose_clock_leaps_ahead_opens_nothing_sooner(clocks):
    clocks.stack(0, 0)
    assert clocks.open(10, 10) == "not-rested"
    assert clocks.open(400, 11) == "not-rested"
    # Set right: that is told with the scan, and the spindle is open.
    assert clocks.open(61, 61) == "clock-back"
    assert clocks.floor.count("journal", kind="spindle-opened") == 1
    holds(clocks)


def test_a_press_whose_clock_is_ahead_makes_nobody_wait_longer(clocks):
    clocks.stack(300, 0)
    assert clocks.open(59, 59) == "not-rested"
    assert clocks.open(60, 60) == "DONE"
    holds(clocks)


def test_a_press_whose_clock_is_behind_rests_nothing_sooner(clocks):
    """As long as its entries are not late (setting `late_entry_minutes`, 60)."""
    clocks.stack(-60, 0)
    assert clocks.open(59, 59) == "not-rested"
    assert clocks.open(60, 60) == "DONE"
    holds(clocks)


def test_a_stack_that_was_recorded_late_is_the_press_s_word_and_whoever_opens_it_is_told(clocks):
    """A log of the press that was taken in later; or its clock is behind by hours, which looks the same."""
    clocks.stack(-300, 0)
    assert clocks.open(10, 10) == "rest-unproven"
    assert clocks.floor.verdicts[-1].sentence.endswith(
        "By the clock of the press it was stacked at 2031-03-03 03:00 +01:00, which was recorded only later: see on the stack that "
        "it has rested, and tell quality if it has not."
    )
    assert clocks.floor.scan(LINE, "K12").finding == "rest-unproven"
    clocks.set(60, 60)
    assert clocks.floor.scan(LINE, "K11").finding is None
    holds(clocks)


def test_a_stack_that_was_recorded_late_and_is_too_young_by_the_press_as_well_is_refused(clocks):
    clocks.stack(-61, 0)
    assert clocks.open(-2, 0) == "not-rested"
    holds(clocks)


def test_logs_of_press_and_line_that_are_taken_in_together_are_judged_by_their_own_times(clocks):
    days = 60 * 24 * 9
    clocks.stack(0, days)
    assert clocks.open(59, days + 1) == "not-rested"
    assert clocks.open(60, days + 1) == "DONE"
    holds(clocks)


def test_a_line_s_log_is_not_judged_by_when_it_was_taken_in(clocks):
    clocks.stack(0, 0)
    assert clocks.open(59, 60 * 24) == "not-rested"
    assert clocks.open(60, 60 * 24) == "DONE"
    holds(clocks)


def test_a_line_s_log_of_a_clock_that_was_ahead_counts_as_of_its_recording(clocks):
    clocks.stack(0, 0)
    assert clocks.open(300, 45) == "not-rested"
    holds(clocks)


def test_a_recording_clock_that_is_set_back_makes_no_rest_shorter(clocks):
    clocks.stack(0, 0)
    assert clocks.open(100, 20) == "not-rested"
    assert clocks.open(100, -30) == "not-rested"
    assert clocks.open(100, 60) == "DONE"
    holds(clocks)


@pytest.mark.parametrize(
    ("at", "shown", "told"), [(400, "DONE", "not-rested"), (61, "DONE", "DONE"), (59, "DONE", "not-rested")]
)
def test_a_scan_of_a_line_that_was_away_is_judged_by_the_same_rule_when_it_is_booked(clocks, at, shown, told):
    """By the line's clock it had rested; it counts as of its booking, and the open carton is held."""
    clocks.stack(0, 0)
    clocks.floor.scan(LINE, "P1", "CLEAR", "P2", "B1")
    clocks.open(60, 60)
    clocks.floor.scan(LINE, carton_sscc(1))
    clocks.set(at, 600 if at < 100 else 59)
    verdict = clocks.floor.ledger.scan(LINE, raw_away(raw("K12"), shown), clocks.floor.at)
    assert (verdict.finding or verdict.word.value) == told
    assert clocks.floor.count("hold") == (told != "DONE")
    holds(clocks)


def test_no_clock_of_a_station_rests_discs_sooner_while_scans_are_booked_as_they_are_made():
    """Every offset of both clocks from the recording clock, within the day; a press may be behind by what counts as late."""
    hours = (-23, -5, -1, 0, 1, 5, 23)
    seen = set()
    for press in (-60, *(60 * each for each in hours if each >= -1)):
        for line in (60 * each for each in hours):
            for truly in (0, 59, 60, 61, 300):
                stacked, opened = (
                    StationTimes(_at(press), _at(0, utc=True)),
                    StationTimes(_at(truly + line), _at(truly, utc=True)),
                )
                rest = rest_of(stacked, opened, 60)
                is_told = rest.minutes < REST or rest.proven < REST
                assert is_told or truly >= REST, (press, line, truly, rest)
                seen.add(is_told)
    assert seen == {True, False}


def _at(minutes, *, utc=False):
    text = (EIGHT + timedelta(minutes=minutes)).isoformat()
    return utc_seconds(text) if utc else text


@pytest.fixture
def by_stations(monkeypatch):
    """Rest as it was judged before: by the times of stations alone."""

    def only_stations(stacked, opened, late):
        return rest_of(StationTimes(stacked.at, stacked.at), StationTimes(opened.at, opened.at), late)

    def use(clocks, *times):
        with monkeypatch.context() as patched:
            patched.setattr(opening, "rest_of", only_stations)
            return clocks.open(*times)

    return use


@pytest.mark.parametrize(
    ("press", "opened", "then"),
    [(0, (65, 10), "DONE"), (30, (80, 75), "not-rested"), (0, (50, 10), "not-rested")],
)
def test_what_an_earlier_program_judged_by_stations_alone_is_told_and_judging_goes_on(
    clocks, by_stations, press, opened, then
):
    clocks.stack(press, 0)
    assert by_stations(clocks, *opened) == then
    seq = clocks.floor.ledger.head().seq
    clocks.open(*(each + 300 for each in opened))
    found = judged(clocks.floor)
    assert (found.unforced, found.scans) == (None, turns(clocks.floor))
    assert found.by_earlier_rules == [ByEarlierRule(EarlierRule.RESTED_BY_STATIONS, seq)]
    assert found.faults[0].startswith(
        f"entry {seq} judges the rest of a stack by the clocks of press and line alone"
    )


def test_another_refusal_in_its_place_is_no_earlier_rule(clocks, monkeypatch):
    clocks.stack(0, 0)
    real = opening.say.not_rested
    with monkeypatch.context() as patched:
        patched.setattr(opening.say, "not_rested", lambda *_: replace_finding(real(n("K11"), 7, 9)))
        clocks.open(10, 10)
    assert recorded(clocks.floor)[-1][0].kind == ScanRefused.kind
    assert judged(clocks.floor).unforced is not None


def replace_finding(refused):
    refused.finding = replace(refused.finding, found="a made-up rest")
    return refused

"""A steady stream at a packing line is taken unjudged as far as no rule would say anything else, and no scan further.

Every rule on the path of a disc and its sleeve that looks at a count or a time has its case here.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support_judged import judged
from support_pins import rebuilds
from support_plant import LAB, LINE, LINE_2, code, gtin, n
from support_streams import (
    CARTON_SIZE,
    DISCS_ON_STACK,
    LogWriter,
    every_scan_judged,
    play,
    pressed,
    record,
)

from tracelink.errors import UsageError
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.ledger.packs import RawScan
from tracelink.ledger.plant import change_entries as changes
from tracelink.ledger.times import utc_seconds
from tracelink.station.common.outcome import Spooled
from tracelink.station.line.scanned_pair import ScannedPair
from tracelink.station.line.state import LineState, MatchRun, Take
from tracelink.station.line.state_changes import evolve_spooled
from tracelink.station.steady_stream import after_pairs

SECOND = code("P", 2)


@pytest.fixture
def log():
    made = LogWriter()
    made.open_line()
    return made


@pytest.fixture
def played(monkeypatch):
    """Plays a log both ways, requires the same ledger, and returns what came of the stream and the ledger."""

    def both(log, *bodies, chunks=()):
        with every_scan_judged(monkeypatch):
            floor = pressed()
            record(floor, *bodies)
            each = play(floor, log.log, list(chunks))
        floor = pressed()
        record(floor, *bodies)
        stream = play(floor, log.log, list(chunks))
        assert stream.rows == each.rows
        assert stream.outcomes == each.outcomes
        assert set(stream.told) <= set(each.told)
        return stream, floor

    return both


def stops(stream):
    """The scans that were stopped: number and the first words of what was said."""
    return [(number, sentence) for _station, number, word, sentence in stream.told if word == "STOP"]


def setting(name, value, since):
    return changes.SettingChanged(name, value, since)


OPENING = 6
"""Scans that open a line."""


def disc(place):
    """The number of the scan of a disc, the first of which is 1."""
    return OPENING + 2 * place - 1


def test_all_but_the_first_pair_of_a_stream_is_taken_unjudged(log, played):
    log.pairs(CARTON_SIZE)
    log.scan(LINE, "CLOSE")
    stream, floor = played(log)
    assert stream.unjudged == 2 * (CARTON_SIZE - 1)
    assert stream.outcomes == {"done": 6, "next": CARTON_SIZE + 1, "match": CARTON_SIZE}
    rebuilds(floor)
    assert judged(floor).unforced is None


def test_a_stream_that_is_not_sealed_lies_in_the_spool_as_if_each_scan_was_judged(log, played):
    log.pairs(5)
    log.scan(LINE, "disc 1.1")
    stream, floor = played(log)
    assert stream.unjudged == 8
    assert floor.spooled_matches() == 5
    rebuilds(floor)


def test_it_stops_before_the_disc_for_which_the_carton_is_full(log, played):
    log.pairs(CARTON_SIZE + 1)
    stream, _floor = played(log)
    assert [number for number, _ in stops(stream)] == [disc(CARTON_SIZE + 1), disc(CARTON_SIZE + 1) + 1]
    assert "is full" in stops(stream)[0][1]


def test_it_stops_where_the_spindle_is_empty(log, played):
    log.pairs(CARTON_SIZE)
    log.scan(LINE, "CLOSE", "carton 2")
    log.pairs(4)
    stream, _floor = played(log)
    number, sentence = stops(stream)[0]
    assert number == disc(DISCS_ON_STACK + 1) + 2
    assert sentence.startswith(f"The system shows spindle {n('K100')} as empty.")


def test_it_stops_for_the_disc_that_seals_a_long_run(log, played):
    log.pairs(11)
    since = utc_seconds(log.log[0][1].at)
    stream, floor = played(log, setting("run_length", 4, since))
    assert floor.kinds().count("discs-sleeved") == 2
    # Of each run the first pair is judged, and the disc that seals it is of the next.
    assert stream.unjudged == 2 * (3 + 3 + 2)


def test_it_stops_where_nobody_scanned_for_so_long_that_they_are_signed_off(log, played):
    log.pairs(4)
    log.scan(LINE, "disc 1.1", after=301)
    stream, floor = played(log, setting("sign_off_minutes", 5, utc_seconds(log.log[0][1].at)))
    assert floor.kinds()[-3:] == ["discs-sleeved", "signed-off", "scan-refused"]
    assert stream.unjudged == 6


def test_a_pause_that_signs_nobody_off_ends_no_stream(log, played):
    log.pairs(4)
    log.pairs(2, after=300)
    stream, _floor = played(log, setting("sign_off_minutes", 5, utc_seconds(log.log[0][1].at)))
    assert stream.unjudged == 10


@pytest.mark.parametrize(("leap", "kind"), [(-3601, "clock-back"), (31 * 86400, "clock-ahead")])
@pytest.mark.parametrize("place", ["disc", "sleeve"])
def test_it_stops_where_the_clock_of_the_station_leaps(log, played, leap, kind, place):
    log.pairs(3)
    log.scan(LINE, "disc 1.1", after=leap if place == "disc" else 3)
    log.scan(LINE, "sleeve 1", after=leap if place == "sleeve" else 3)
    log.pairs(2)
    stream, floor = played(log, setting("sign_off_minutes", 0, utc_seconds(log.log[0][1].at)))
    assert [row[0] for row in floor.read("finding", "finding")] == [kind]
    assert disc(4) + (place == "sleeve") in [number for number, _ in stops(stream)]


def test_a_clock_set_back_by_less_than_is_told_ends_a_stream_and_tells_nothing(log, played):
    """What held before is not known of an earlier time: there it is judged."""
    log.pairs(3)
    log.pairs(1, after=-30)
    stream, _floor = played(log)
    assert stops(stream) == []
    assert stream.unjudged == 4


CHANGES = {
    "carton size": (lambda at: changes.ProductChanged(gtin(1), None, None, 4, at), "is full"),
    "title": (lambda at: changes.ProductChanged(gtin(1), "Paper Comet Sums", None, None, at), "Paper Comet Sums"),
    "run length": (lambda at: setting("run_length", 2, at), "sleeve"),
    "check": (lambda at: setting("check_units", 2, at), "sleeve"),
    "role": (lambda at: changes.RolesChanged(SECOND, ("lab",), at, code("P", 1)), "role"),
    "badge": (lambda at: changes.BadgeWithdrawn(SECOND, at, None, 0), "withdrawn"),
    "sleeves": (lambda at: changes.PrintSuperseded(n("B1"), at), n("B1")),
    "station": (lambda at: changes.StationClosed(LINE, at), "sleeve"),
    "signing off": (lambda at: setting("sign_off_minutes", 1, at), "sleeve"),
}  # fmt: skip
"""What can be another from a time on, and a word of what is said to a disc at that time."""


@pytest.mark.parametrize("place", ["disc", "sleeve"])
@pytest.mark.parametrize("changed", CHANGES)
def test_it_stops_where_something_set_up_is_another_from_a_time_on(log, played, changed, place):
    log.scan(LINE, "P2")
    log.pairs(9)
    make, word = CHANGES[changed]
    first = disc(6) + 1
    number = first + (place == "sleeve")
    at = next(scan.at for _station, scan in log.log if scan.number == number)
    stream, _floor = played(log, make(utc_seconds(at)))
    told = {number: sentence for _station, number, _word, sentence in stream.told}
    assert first - 1 not in told, "the pair before that time is of the stream"
    assert {first, number} <= told.keys()
    if place == "disc":
        assert word in told[number]


def test_the_match_after_which_a_check_is_due_ends_no_stream_since_a_check_stops_nobody(log, played):
    log.pairs(8)
    stream, _floor = played(log, setting("check_units", 3, utc_seconds(log.log[0][1].at)))
    assert stream.unjudged == 14
    assert stops(stream) == []


@pytest.mark.parametrize("held", ["K100", "B1", "L1", "carton 1"])
def test_what_another_station_puts_on_hold_between_stops_it(log, played, held):
    log.pairs(4)
    log.scan(LAB, "P1", "HOLD", held, '"looks wrong')
    log.pairs(2)
    stream, _floor = played(log)
    assert stops(stream), "the hold was passed over"
    assert stops(stream)[0][0] in (disc(5), disc(5) + 1)


def test_a_disc_that_the_lab_took_from_the_spindle_is_counted(log, played):
    log.pairs(4)
    log.scan(LAB, "P1", "SAMPLE", "L1", "S500", "#3", "K100")
    log.pairs(8)
    log.scan(LINE, "CLOSE", "carton 2")
    log.pairs(3)
    stream, _floor = played(log)
    number, sentence = stops(stream)[0]
    assert number == disc(DISCS_ON_STACK) + 2
    assert sentence.startswith(f"The system shows spindle {n('K100')} as empty.")


def test_a_scan_of_any_other_station_ends_it(log, played):
    log.open_line(spindle=110, carton=501, station=LINE_2)
    for _ in range(4):
        log.pairs(1)
        log.pairs(1, LINE_2)
    stream, _floor = played(log)
    assert stream.unjudged == 0


@pytest.mark.parametrize(
    ("opens", "unit"),
    [
        (["B2", "K200", "K300"], ["disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2"]),
        (["B3", "K400"], ["disc 3.1", "sleeve 3 no 7"]),
        ([], ["MANUAL", '"disc', '"label torn', '"EX-101-A', "P2", "sleeve 1"]),
        ([], ["shows disc 1.1", "sleeve 1"]),
        ([], ["NOREAD", "disc 1.1", "sleeve 1"]),
    ],
)
def test_other_units_are_judged_scan_by_scan(log, played, opens, unit):
    log.scan(LINE, "CLEAR", "P2", *(opens or ["B1", "K100"]), "carton 2")
    for _ in range(3):
        log.scan(LINE, *unit)
    stream, _floor = played(log)
    assert stream.unjudged == 0


def test_a_code_read_twice_ends_it(log, played):
    log.pairs(3)
    log.scan(LINE, "sleeve 1", "disc 1.1", "disc 1.1", "sleeve 1", after=1)
    log.pairs(3)
    stream, _floor = played(log, setting("double_read_seconds", 2, utc_seconds(log.log[0][1].at)))
    assert stops(stream) == []
    # The pair whose disc was read twice is followed by one that is judged.
    assert stream.unjudged == 4 + 4


def test_a_stream_ends_with_its_transaction_and_begins_again_in_the_next(log, played):
    log.pairs(CARTON_SIZE)
    stream, _floor = played(log, chunks=(OPENING + 7, 1, 2, 6))
    assert 0 < stream.unjudged < 2 * (CARTON_SIZE - 1)


class TestOneTransaction:
    """Going on, asked for by whoever books."""

    @pytest.fixture
    def booking(self, log):
        floor = pressed()
        play(floor, log.log, [])
        log.log.clear()
        log.pairs(4)
        with floor.ledger.writing() as made:
            for station, scan in log.log[:2]:
                made.book(station, scan)
            yield made

    def scans(self, log):
        return [scan for _station, scan in log.log[2:]]

    def test_it_takes_whole_pairs_and_says_how_many_scans(self, booking, log):
        assert booking.go_on(LINE, self.scans(log)[:5]) == 4
        assert booking.last_number(LINE) == OPENING + 6
        assert booking.go_on(LINE, self.scans(log)[4:]) == 2

    def test_it_takes_nothing_after_an_entry_of_a_command(self, booking, log):
        hold = HoldPlaced(code("H", 1), n("B1"), (HeldItem(n("B1"), None, None),))
        booking.record(hold, Stamp("2031-03-03T09:00:30+01:00", "2031-03-03T08:00:30Z"), "doubtful print")
        assert booking.go_on(LINE, self.scans(log)) == 0
        assert booking.book(LINE, self.scans(log)[0]).finding is None
        assert booking.book(LINE, self.scans(log)[1]).finding == "on-hold"

    def test_it_takes_nothing_with_a_number_missing_and_booking_says_so(self, booking, log):
        assert booking.go_on(LINE, self.scans(log)[2:]) == 0
        with pytest.raises(UsageError, match=f"expected scan {OPENING + 3}, found scan {OPENING + 5}"):
            booking.book(LINE, self.scans(log)[2])

    def test_it_takes_nothing_at_a_station_that_booked_no_pair(self, booking, log):
        assert booking.go_on(LINE_2, self.scans(log)) == 0


@given(
    first=st.integers(1, 5),
    pairs=st.integers(1, 9),
    others=st.integers(0, 2),
    again=st.integers(0, 1),
)
def test_the_state_after_pairs_is_the_one_that_folding_each_scan_gives(first, pairs, others, again):
    """Whatever the run holds of other spindles, and whatever was read twice before its first pair."""
    at = "2031-03-03T09:00:00+01:00"
    taken = Spooled({"disc": 1})
    match = Spooled(
        {"unit": True, "number": None, "spindle": "K", "lot": "L", "scans": 2},
        spindle="K",
        lot="L",
        carton="0" * 18,
    )
    state = LineState(
        cleared=True,
        again=again,
        run=MatchRun(at, at, others, tuple(Take(f"K{n}", "L", 1) for n in range(others)), (), (), 2 * others),
    )
    pair = ScannedPair(RawScan(1, at, "a"), taken, RawScan(2, at, "b"), match)
    later = "2031-03-03T09:30:00+01:00"
    for _ in range(first):
        state = evolve_spooled(evolve_spooled(state, taken.fact, at), match.fact, at)
    folded = state
    for _ in range(pairs):
        folded = evolve_spooled(evolve_spooled(folded, taken.fact, later), match.fact, later)
    assert after_pairs(state, pairs, pair, later) == folded

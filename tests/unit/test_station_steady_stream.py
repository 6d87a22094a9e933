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
from tracelink.station.common.outcome import Spooled, Word
from tracelink.station.line.scanned_unit import ScannedUnit
from tracelink.station.line.state import LineState, MatchRun, Take
from tracelink.station.line.state_changes import evolve_spooled
from tracelink.station.steady_stream import after_units

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
    # The last disc is of the stream too: its sleeve has not come.
    assert stream.unjudged == 9
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
    assert number - 1 not in told, "the scan before that time is of the stream"
    assert number in told
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


SET = ["disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2"]


@pytest.fixture
def set_log():
    """A line that packs sets of two discs."""
    made = LogWriter()
    made.scan(LINE, "P1", "CLEAR", "P2", "B2", "K200", "K300", "carton 1")
    return made


def test_all_but_the_first_unit_of_a_stream_of_sets_is_taken_unjudged(set_log, played):
    set_log.scan(LINE, *SET * 4, "CLOSE")
    stream, floor = played(set_log)
    assert stream.unjudged == 4 * 3
    assert stops(stream) == []
    rebuilds(floor)
    assert judged(floor).unforced is None


@pytest.mark.parametrize(("length", "unjudged"), [(4, 4 * 3), (5, 4 * 2)])
def test_a_stream_of_sets_ends_before_a_set_in_which_its_run_is_sealed(set_log, played, length, unjudged):
    """Whether the run is as long as it may be before the first disc of a set or between two of its discs."""
    set_log.scan(LINE, *SET * 6)
    stream, floor = played(set_log, setting("run_length", length, utc_seconds(set_log.log[0][1].at)))
    assert floor.kinds().count("discs-sleeved") == 2
    assert stream.unjudged == unjudged


def test_a_stream_of_sets_stops_for_another_disc_in_the_middle_of_a_set(set_log, played):
    set_log.scan(LINE, *SET * 2, *SET[:2], "disc 2.1")
    stream, _floor = played(set_log)
    assert stops(stream)[0][1].startswith("You scanned a second copy of disc 1.")
    assert stream.unjudged == 4 + 2


def test_a_set_whose_disc_came_from_another_spindle_begins_no_stream(set_log, played):
    """The set was finished, but the next one is of other discs than it."""
    set_log.scan(LINE, *SET[:2], "K201", *SET[2:], *SET, "CLOSE")
    stream, _floor = played(set_log)
    assert stream.unjudged == 0


@pytest.mark.parametrize(
    "unit",
    [
        ["disc 3.1", "sleeve 3 no {}"],
        ["NOREAD", "NOREAD", "MANUAL", '"EX-101-A', '"EX-101-B', "P2", "sleeve 1"],
        ["shows disc 1.1", "sleeve 1"],
        ["NOREAD", "disc 1.1", "sleeve 1"],
    ],
)
def test_other_units_are_judged_scan_by_scan(log, played, unit):
    if unit[0] == "disc 3.1":
        log = LogWriter()
        log.scan(LINE, "P1", "CLEAR", "P2", "B3", "K400", "carton 1")
    for number in range(1, 4):
        log.scan(LINE, *(line.format(number) for line in unit))
    stream, _floor = played(log)
    assert stream.outcomes["match"] == 3
    assert stream.unjudged == 0


def test_the_same_number_twice_is_no_stream_though_its_lines_are_the_same(played):
    log = LogWriter()
    log.scan(LINE, "P1", "CLEAR", "P2", "B3", "K400", "carton 1")
    log.scan(LINE, *["disc 3.1", "sleeve 3 no 7"] * 2)
    stream, _floor = played(log)
    assert stream.outcomes["stop: duplicate-number"] == 1
    assert stream.unjudged == 0


def test_a_sleeve_after_a_keyed_disc_is_no_stream_of_sleeves(log, played):
    log.scan(LINE, "NOREAD", "NOREAD", "MANUAL", '"EX-101-A', '"EX-101-B', "P2", *["sleeve 1"] * 3)
    stream, _floor = played(log)
    assert stream.outcomes["match"] == 1
    assert stream.outcomes["stop: no-disc"] == 2
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
            made.begin_stream(LINE, log.log[2][1].raw)
            yield made

    def scans(self, log):
        return [scan for _station, scan in log.log[2:]]

    def test_it_takes_scan_after_scan_and_says_what_each_comes_to(self, booking, log):
        taken = [booking.go_on(LINE, scan) for scan in self.scans(log)[:5]]
        assert taken == [Word.NEXT, Word.MATCH, Word.NEXT, Word.MATCH, Word.NEXT]
        assert booking.last_number(LINE) == OPENING + 7
        assert booking.panel(LINE).left.startswith(f"{DISCS_ON_STACK - 3} ")
        # Who looks at the station ends the stream; what was taken stays taken, and the sleeve is judged.
        assert booking.go_on(LINE, self.scans(log)[5]) is None
        assert booking.book(LINE, self.scans(log)[5]).word is Word.MATCH

    def test_it_takes_nothing_after_an_entry_of_a_command(self, booking, log):
        hold = HoldPlaced(code("H", 1), n("B1"), (HeldItem(n("B1"), None, None),))
        booking.record(hold, Stamp("2031-03-03T09:00:30+01:00", "2031-03-03T08:00:30Z"), "doubtful print")
        assert booking.go_on(LINE, self.scans(log)[0]) is None
        assert booking.book(LINE, self.scans(log)[0]).finding is None
        assert booking.book(LINE, self.scans(log)[1]).finding == "on-hold"

    def test_none_begins_after_an_entry_of_a_command(self, booking, log):
        booking.book(LINE, self.scans(log)[0])
        booking.book(LINE, self.scans(log)[1])
        hold = HoldPlaced(code("H", 1), n("B1"), (HeldItem(n("B1"), None, None),))
        booking.record(hold, Stamp("2031-03-03T09:00:30+01:00", "2031-03-03T08:00:30Z"), "doubtful print")
        booking.begin_stream(LINE, self.scans(log)[2].raw)
        assert booking.go_on(LINE, self.scans(log)[2]) is None

    def test_it_takes_nothing_after_something_that_was_tried_and_taken_back(self, booking, log):
        with pytest.raises(UsageError), booking.attempt():
            raise UsageError
        assert booking.go_on(LINE, self.scans(log)[0]) is None

    def test_it_takes_nothing_with_a_number_missing_and_booking_says_so(self, booking, log):
        assert booking.go_on(LINE, self.scans(log)[2]) is None
        with pytest.raises(UsageError, match=f"expected scan {OPENING + 3}, found scan {OPENING + 5}"):
            booking.book(LINE, self.scans(log)[2])

    def test_it_takes_nothing_at_a_station_that_booked_no_unit(self, booking, log):
        booking.begin_stream(LINE_2, self.scans(log)[0].raw)
        assert booking.go_on(LINE_2, self.scans(log)[0]) is None


@given(
    first=st.integers(1, 5),
    units=st.integers(1, 9),
    others=st.integers(0, 2),
    again=st.integers(0, 1),
    discs=st.integers(1, 3),
    items=st.integers(0, 2),
)
def test_the_state_after_units_is_the_one_that_folding_each_scan_gives(  # noqa: PLR0917 - what a run may hold
    first, units, others, again, discs, items
):
    """Whatever the run holds of other spindles, and whatever was read twice before its first unit."""
    at = "2031-03-03T09:00:00+01:00"
    came_to = []
    for piece in range(1, discs + 1):
        spindle, lot = f"S{piece}", f"L{piece}"
        is_last = not items and piece == discs
        match = {"unit": is_last, "number": None, "spindle": spindle, "lot": lot, "scans": 2}
        came_to += [Spooled({"disc": piece}), Spooled(match, spindle, lot, "0" * 18)]
    for item in range(1, items + 1):
        came_to.append(Spooled({"item": f"I{item}", "unit": item == items, "number": None, "scans": 1}))
    takes = tuple(Take(f"K{n}", "L", 1) for n in range(others))
    state = LineState(cleared=True, again=again, run=MatchRun(at, at, others, takes, (), (), 2 * others))
    scans = tuple(RawScan(place + 1, at, str(place)) for place in range(len(came_to)))
    unit = ScannedUnit(scans, tuple(came_to))
    later = "2031-03-03T09:30:00+01:00"
    for _ in range(first):
        for spooled in came_to:
            state = evolve_spooled(state, spooled.fact, at)
    folded = state
    for _ in range(units):
        for spooled in came_to:
            folded = evolve_spooled(folded, spooled.fact, later)
    assert after_units(state, units, unit, later) == folded

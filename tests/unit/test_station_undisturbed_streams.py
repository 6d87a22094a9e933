"""Steady streams stand while other stations scan and book between, until something may make their next unit another.

Every kind of disturbance has its case here: what ends a stream in time, and what must not end it.
"""

import re

import pytest
from support_pins import rebuilds
from support_plant import DOCK, LAB, LINE, LINE_2, MATRICES, PRESS_2, n, place_of, stamper
from support_streams import CARTON_SIZE, LogWriter, every_scan_judged, play, pressed

from tracelink.ledger.changes import Increase, Insert, Update
from tracelink.station import undisturbed_streams
from tracelink.store.database.tables import TABLES
from tracelink.store.statements import kept_rows


@pytest.fixture
def log():
    """Two lines with the same product on spindles of the same lot."""
    made = LogWriter()
    made.open_line()
    made.open_line(spindle=110, carton=501, station=LINE_2)
    return made


@pytest.fixture
def played(monkeypatch):
    """Plays a log both ways, requires the same ledger, and returns what came of the stream and the ledger."""

    def both(log, chunks=()):
        with every_scan_judged(monkeypatch):
            each = play(pressed(), log.log, list(chunks))
        floor = pressed()
        stream = play(floor, log.log, list(chunks))
        assert stream.rows == each.rows
        assert stream.outcomes == each.outcomes
        assert set(stream.told) <= set(each.told)
        return stream, floor

    return both


def by_turns(log, units, lines=(LINE, LINE_2)):
    """Scan units at lines, one scan of each in turn."""
    for _ in range(units):
        for line in ("disc 1.1", "sleeve 1"):
            for station in lines:
                log.scan(station, line, after=1)


def judged_at(stream, station):
    """The numbers of the scans of a station that were judged."""
    return [number for at, number, _word, _sentence in stream.told if at == station]


def stops(stream, station=LINE):
    return [(number, told) for at, number, word, told in stream.told if (at, word) == (station, "STOP")]


OPENING = 6
"""Scans that open a line."""
SET = ("disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2")


def test_streams_of_two_lines_stand_while_their_scans_come_in_turn(log, played):
    by_turns(log, 8)
    stream, floor = played(log)
    assert stream.unjudged == 2 * 2 * 7
    rebuilds(floor)


def test_a_disc_taken_before_another_line_books_is_followed_by_its_sleeve(log, played):
    by_turns(log, 2)
    log.scan(LINE, "disc 1.1")
    log.scan(LINE_2, "CLOSE", "carton 502")
    log.scan(LINE, "sleeve 1")
    stream, _floor = played(log)
    assert len(judged_at(stream, LINE)) == OPENING + 2


ALONE = {
    "another line's carton": [(LINE_2, ["CLOSE", "carton 502"])],
    "another line's spindle": [(LINE_2, ["K111"])],
    "another line's wrong sleeve": [(LINE_2, ["disc 1.1", "sleeve 2", "STOP"])],
    "another line's no-read": [(LINE_2, ["NOREAD"])],
    "another line's check": [(LINE_2, ["CHECK", "P2"])],
    "another line's reject": [(LINE_2, ["disc 1.1", "REJECT"])],
    "another line's undo": [(LINE_2, ["UNDO"])],
    "somebody signs on": [(LAB, ["P1"])],
    "a sample of another stack": [(LAB, ["P1", "SAMPLE", "L1", "S501", "#30", "K102"])],
    "another lot on a press": [
        (
            PRESS_2,
            [
                *("P1", "SETUP", "L8", *(stamper(MATRICES[2 * place_of(8) + side]) for side in (0, 1))),
                *("C1", f"E{2 * place_of(8) + 1}", f"E{2 * place_of(8) + 2}"),
            ],
        )
    ],
    "a pallet": [(LINE_2, ["CLOSE", "carton 502"]), (DOCK, ["P1", "PALLET", "pallet 1", "carton 501", "CLOSE"])],
}  # fmt: skip
"""What happens elsewhere and cannot change what a line's next unit comes to."""


@pytest.mark.parametrize("what", ALONE)
def test_a_stream_stands_while_elsewhere(log, played, what):
    by_turns(log, 2)
    for station, lines in ALONE[what]:
        log.scan(station, *lines)
    log.pairs(3)
    stream, _floor = played(log)
    assert not any(told.endswith("is not in the system.") for _number, told in stops(stream, LAB))
    assert judged_at(stream, LINE) == [*range(1, OPENING + 3)], "the stream was ended"


@pytest.mark.parametrize("place", ["disc", "sleeve"])
@pytest.mark.parametrize("held", ["K100", "B1", "L1", "carton 1", "C1"])
def test_a_hold_placed_elsewhere_ends_it(log, played, held, place):
    by_turns(log, 3)
    if place == "sleeve":
        log.scan(LINE, "disc 1.1")
    log.scan(LAB, "P1", "HOLD", held, '"looks wrong')
    log.scan(LINE, *(["sleeve 1"] if place == "sleeve" else []))
    log.pairs(2)
    stream, _floor = played(log)
    assert OPENING + 7 + (place == "sleeve") in judged_at(stream, LINE)
    # A compound on hold stops what is pressed with it from then on, not what was.
    assert bool(stops(stream)) == (held != "C1")


def test_a_lot_that_is_rejected_elsewhere_ends_it(log, played):
    by_turns(log, 2)
    log.scan(LAB, "P1", "REJECT", "L1", '"clicks')
    log.pairs(2)
    stream, _floor = played(log)
    assert stops(stream)[0] == (OPENING + 5, stops(stream)[0][1])
    assert "is on hold: clicks" in stops(stream)[0][1]


def test_a_disc_that_the_lab_takes_from_its_spindle_ends_it(log, played):
    by_turns(log, 2)
    log.scan(LAB, "P1", "SAMPLE", "L1", "S500", "#3", "K100")
    log.pairs(CARTON_SIZE - 2)
    log.scan(LINE, "CLOSE", "carton 2")
    log.pairs(3)
    stream, _floor = played(log)
    assert OPENING + 5 in judged_at(stream, LINE)
    assert stops(stream)[0][1].startswith(f"The system shows spindle {n('K100')} as empty.")


def test_two_lines_that_take_discs_from_one_spindle_count_them_together(log, played):
    """A line that has nothing open yet may open the spindle of another whose carton is closed and checked."""
    log = LogWriter()
    log.open_line()
    log.pairs(2)
    log.scan(LINE, "CLOSE", "CHECK", "P2")
    log.open_line(carton=501, station=LINE_2)
    log.scan(LINE, "carton 2")
    by_turns(log, 9)
    stream, _floor = played(log)
    told = [told for _number, told in (*stops(stream), *stops(stream, LINE_2))]
    assert any(each.startswith(f"The system shows spindle {n('K100')} as empty.") for each in told), told


def test_two_lines_that_share_the_first_spindle_of_their_sets_count_its_discs_together(played):
    """The stream of one begins with a disc of the other spindle, by which that of the other line is not ended."""
    log = LogWriter()
    log.scan(LINE, "P1", "CLEAR", "P2", "B2", "K200", "K300", "carton 1", *SET, "CLOSE", "CHECK", "P2")
    log.scan(LINE_2, "P1", "CLEAR", "P2", "B2", "K200", "K301", "carton 501")
    log.scan(LINE, "carton 2")
    first, second = SET[:2], SET[2:]
    log.scan(LINE, *first)
    log.scan(LINE_2, *SET)
    for _ in range(7):
        log.scan(LINE, *second, *first)
        log.scan(LINE_2, *SET)
    stream, _floor = played(log)
    told = [told for _number, told in (*stops(stream), *stops(stream, LINE_2))]
    assert any(each.startswith(f"The system shows spindle {n('K200')} as empty.") for each in told), told


def test_streams_end_with_their_transaction(log, played):
    by_turns(log, 9)
    whole, _floor = played(log)
    cut, _floor = played(log, chunks=(2 * OPENING + 7, 5, 9))
    assert 0 < cut.unjudged < whole.unjudged


class TestWhatAnEntryChanges:
    """A stream that discs of two spindles and one lot go into, asked of changes of tables."""

    @pytest.fixture
    def stream(self):
        made = undisturbed_streams.UndisturbedStreams()
        made._of["W"] = self.Standing()
        return made

    class Standing:
        things = frozenset(("K1", "K2", "L1"))
        stands = True

    @pytest.mark.parametrize(
        ("change", "stands"),
        [
            (Insert("carton", {"sscc": "K1"}), True),
            (Insert("nesting", {"child": "K1"}), True),
            (Increase("stock", {"place": "K3", "lot": "L1"}, "quantity", -1), True),
            (Increase("stock", {"place": "K2", "lot": "L1"}, "quantity", -1), False),
            (Insert("movement", {"source": "K1", "target": "carton"}), True),
            (Insert("movement", {"source": "carton", "target": "K1"}), False),
            (Insert("movement", {"source": "carton", "target": None}), False),
            (Update("lot", {"code": "L2"}, {"decision": "rejected"}), True),
            (Update("lot", {"code": "L1"}, {"counter": 7}), False),
            (Insert("spindle", {"code": "K3", "lot": "L1"}), True),
            (Update("spindle", {"code": "K1"}, {"at": "rest"}), False),
            (Insert("run_segment", {"lot": "L1", "first": 7}), False),
            (Insert("hold", {"code": "H1"}), False),
            (Insert("setting", {"name": "run_length"}), False),
            (Insert("a table of tomorrow", {"code": "K9"}), False),
        ],
    )
    def test_it_ends_a_stream_unless_no_question_about_a_unit_reads_that_row(self, stream, change, stands):
        stream.entry_written(lambda: [Insert("carton", {"sscc": "1"}), change])
        assert stream._of["W"].stands is stands

    def test_nobody_is_asked_what_it_changes_while_no_stream_stands(self, stream):
        stream.end()
        stream.entry_written(lambda: pytest.fail("it was asked"))


@pytest.mark.parametrize(
    ("opens", "unit"),
    [
        (("B1", "K100"), ("disc 1.1", "sleeve 1")),
        (("B2", "K200", "K300"), ("disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2")),
    ],
)
def test_no_question_about_a_unit_asks_a_table_that_is_said_to_be_unasked(opens, unit):
    """By what SQLite itself is asked while units are judged and nothing is known before."""
    asked = set()

    def noted(sql):
        if sql.startswith(("SELECT", "WITH")):
            asked.update(set(re.findall(r"[a-z_]+", sql)) & set(TABLES))

    log = LogWriter()
    log.scan(LINE, "P1", "CLEAR", "P2", *opens, "carton 1")
    floor = pressed()
    play(floor, log.log, [])
    opening = len(log.log)
    log.scan(LINE, *unit, *unit)
    with floor.ledger.writing() as booking:
        driver = booking.connection.connection.driver_connection
        for station, scan in log.log[opening:]:
            booking.last_number(station)
            booking.queries.entry_written()
            booking.queries._known.clear()
            kept_rows.of(booking.connection).drop()
            driver.set_trace_callback(noted)
            booking.book(station, scan)
            driver.set_trace_callback(None)
    assert {"hold_item", "kit_piece", "lot", "movement", "run_segment", "spindle", "spool", "stock"} <= asked
    assert asked & undisturbed_streams.UNASKED == set()

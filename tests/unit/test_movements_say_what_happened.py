"""What is scanned at the stations, and where it puts every disc: small cases in which each disc can be followed by hand."""

import pytest
from support_asking import contain
from support_plant import DOCK, DOCK_2, LAB, LINE, LINE_2, START, Floor, gtin, n

from tracelink.genealogy.containment.holdings import lot_holdings
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced, SampleDrawn
from tracelink.ledger.kinds.press import Reading
from tracelink.ledger.kinds.returned_numbers import NumberCameBackUnplaced
from tracelink.ledger.kinds.returns import CartonRestocked, CartonReturned
from tracelink.ledger.kinds.warehouse import Nested
from tracelink.services.tracing import trace
from tracelink.store.compact.stored_rows import said
from tracelink.store.journal import rebuild
from tracelink.store.records.sql_records import SqlRecords

LOT = n("L1")


def bounds(floor, suspects, *places, lot=LOT):
    """Least and most suspects in each place, and whether both are called exact."""
    with floor.ledger.reading() as conn:
        held = lot_holdings(SqlRecords(conn), lot, StrokeSet.from_strokes(suspects), StrokeSet())
    assert held.conflicts == ()
    found = [held.bound([n(place) if place[0] != "r" else place]) for place in places]
    return [(one.pieces, one.least, one.most, one.tight) for one in found]


@pytest.fixture
def four():
    """Strokes 1 to 4 on K11, 5 to 8 on K12; the lot is released."""
    floor = Floor.copy()
    floor.press(1, strokes=8, stacks=2)
    floor.scan(LAB, "P1", "RELEASE", "L1", '"good')
    return floor


def sent(floor, *cartons, dock=DOCK, at=None):
    """Load cartons and let the vehicle leave; by a log of that time if one is given."""
    before, floor.at = floor.at, at or floor.at
    picks = [scan for carton in cartons for scan in ("PICK", f"carton {carton}", f"carton {carton}")]
    floor.scan(dock, "P1", "SHIP", "O1", *picks, "DEPART")
    floor.at = before


class TestSamples:
    def test_of_four_discs_two_are_packed_and_one_of_those_is_sampled(self, four):
        four.open_line(1, [11], 1)
        four.match(1, 2)
        four.scan(LINE, "CLOSE")
        four.scan(LAB, "SAMPLE", "L1", "S1", "#3", "carton 1")
        assert four.discs_by_place() == {"counter": 0, n("K11"): 2, n("K12"): 4, n("carton 1"): 1, n("S1"): 1}
        # Disc 3 is the sample. Of 1, 2 and 4 two are on the spindle.
        assert bounds(four, {1, 2, 4}, "K11", "carton 1", "S1") == [
            (2, 2, 2, True),
            (1, 1, 1, True),
            (1, 0, 0, True),
        ]
        assert bounds(four, {1, 3}, "K11", "carton 1") == [(2, 0, 1, True), (1, 0, 1, True)]

    def test_a_disc_of_unknown_stroke_is_one_of_those_in_its_place(self, four):
        four.open_line(1, [11], 1)
        four.match(1, 3)
        four.scan(LINE, "CLOSE")
        four.scan(LAB, "SAMPLE", "L1", "S1", '"unknown', "carton 1", "BAD", "S1", '"click')
        assert bounds(four, {1, 2, 3}, "S1", "carton 1", "K11") == [
            (1, 0, 1, True), (2, 1, 2, True), (1, 0, 1, True),
        ]  # fmt: skip
        with four.ledger.reading() as conn:
            scope = contain(SqlRecords(conn), n("T4"), Shape.WHOLE_LIFE)
            found = trace(conn, LOT, page_at=START)
        [judged] = found.to_dict()["judgements"]
        assert (judged["sample"], judged["stroke"], judged["defect"]) == (n("S1"), None, "click")
        assert found.page is not None
        assert ">BAD<" in found.page
        [gap] = scope.gaps
        assert gap == (
            f"Sample {n('S1')} of lot {LOT} was judged bad, and nobody knows its stroke: it narrows nothing. It is one of "
            f"the discs that were in {n('carton 1')}; look at what else was there."
        )

    def test_a_returned_disc_is_sampled_out_of_its_return(self, four):
        four.open_line(1, [11], 1)
        four.match(1, 4)
        four.scan(LINE, "CLOSE")
        sent(four, 1)
        four.scan(DOCK, "RETURN", "carton 1", '"wrong')
        four.play(LAB, 'SAMPLE | L1 | S1 | "unknown | carton 1 -> DONE')
        four.play(DOCK, 'RESTOCK | carton 1 | "looks new -> DONE')
        assert four.discs_by_place()[n("carton 1")] == 3
        assert four.read("carton", "units", sscc=n("carton 1")) == [(3,)]
        assert bounds(four, {1}, "S1", "carton 1") == [(1, 0, 1, True), (3, 0, 1, True)]

    def test_loose_discs_are_sampled_out_of_theirs(self, four):
        four.open_line(1, [11], 1)
        four.match(1, 4)
        four.scan(LINE, "CLOSE")
        sent(four, 1)
        four.scan(DOCK, "RETURNNOMARK", '"EX-101-A', "#2", "RETURN", "carton 1", '"wrong')
        four.play(
            LAB,
            f"""
            SAMPLE | L1 | S1 | "unknown -> NEXT
            #2 -> STOP wrong-thing; Return 2 is carton {n("carton 1")}. Scan its label.
            #1 -> DONE; Sample {n("S1")} is a disc of lot {LOT}, stroke unknown, from return 1. The system shows 1 disc of the lot there now.
            """,
        )
        four.play(DOCK, 'RESTOCKLOOSE | #1 | K77 | "fine -> DONE; 1 disc of return 1 is inspected and on spindle '
                        f"{n('K77')}, to be packed again.")  # fmt: skip
        four.play(
            LAB,
            """
            SAMPLE | L1 | S2 | "unknown -> NEXT
            #1 -> STOP not-in-quarantine; The discs of return 1 are restocked already. Scan where the disc was taken from.
            K77 -> DONE
            """,
        )

    def test_a_carton_with_customers_gives_no_sample(self, four):
        four.open_line(1, [11], 1)
        four.match(1, 4)
        four.scan(LINE, "CLOSE")
        sent(four, 1)
        four.play(
            LAB,
            f"""
            SAMPLE | L1 | S1 | #2 -> NEXT
            carton 1 -> STOP shipment-left; The system shows that carton {n("carton 1")} has left the plant. If it is back, scan RETURN at the dock first.
            """,
        )


class TestReturns:
    @pytest.fixture
    def back(self, four):
        """Carton 1 holds strokes 1 to 4, carton 2 strokes 5 to 8; both were sent and came back."""
        for card, carton in ((11, 1), (12, 2)):
            four.open_line(1, [card], carton)
            four.match(1, 4)
            four.scan(LINE, "CLOSE")
        sent(four, 1, 2)
        four.scan(DOCK, "RETURN", "carton 1", '"wrong', "RETURN", "carton 2", '"wrong')
        return four

    def test_each_is_a_place_of_its_own(self, back):
        assert bounds(back, {1, 2}, "return 1", "return 2") == [(4, 2, 2, True), (4, 0, 0, True)]
        back.play(DOCK, 'RESTOCK | carton 2 | "looks new -> DONE')
        assert bounds(back, {1, 2}, "return 1", "carton 2") == [(4, 2, 2, True), (4, 0, 0, True)]

    def test_a_return_on_hold_is_not_restocked(self, back):
        with back.ledger.reading() as conn:
            scope = contain(SqlRecords(conn), n("T4"), Shape.WHOLE_LIFE)
        assert ("return 1", "quarantine") in {(held.code, held.kind) for held in scope.containers}
        assert [line.pieces for line in scope.places if line.place == "quarantine"] == [8]
        with back.ledger.writing() as booking:
            stamp = Stamp(back.at, "2031-03-03T07:30:00Z", person=n("P1"))
            held = HoldPlaced(n("H1"), n("T4"), (HeldItem("return 1", None, None),))
            booking.record(held, stamp, "scratch")
        back.play(
            DOCK,
            f"""
            RESTOCK -> NEXT
            carton 1 -> STOP on-hold; Return 1 is on hold: scratch (hold {n("H1")} on return 1). Put it aside.
            carton 2 | "looks new -> DONE
            """,
        )

    def test_entries_of_older_programs_name_one_quarantine_and_are_read_by_their_number(self, four):
        four.open_line(1, [11], 1)
        four.match(1, 4)
        four.scan(LINE, "CLOSE")
        sent(four, 1)
        carton, stamp = n("carton 1"), Stamp(four.at, "2031-03-03T07:30:00Z", person=n("P1"))
        [(parent, opened)] = four.read("nesting", "parent", "opened_seq", child=carton)
        in_and_out = (
            Moved(LOT, 4, carton, "returned", None, None),
            Moved(LOT, 4, "returned", "quarantine", None, None),
        )
        with four.ledger.writing() as booking:
            booking.record(
                CartonReturned(1, Nested(carton, parent, opened), in_and_out), stamp, "wrong title"
            )
            again = (Moved(LOT, 4, "quarantine", carton, None, None),)
            booking.record(CartonRestocked(1, carton, again), stamp, "looks new")
        assert four.read("movement", "source", "target", lot=LOT, order="seq")[-3:] == [
            (carton, "returned"), ("returned", "return 1"), ("return 1", carton),
        ]  # fmt: skip


class TestUndo:
    def test_the_last_match_is_taken_back_and_no_other_disc(self, four):
        four.open_line(1, [11], 1)
        four.match(1, 2)
        four.scan(LINE, "K12")
        four.match(1, 1)
        four.play(
            LINE,
            f"UNDO -> DONE; The last match is taken back: put disc 1 back on spindle {n('K12')}.",
        )
        assert bounds(four, {1, 2, 3, 4}, "carton 1", "K12") == [(2, 2, 2, True), (4, 0, 0, True)]

    def test_a_reject_is_taken_back(self, four):
        four.open_line(1, [11], 1)
        four.scan(LINE, "disc 1.1", "REJECT", "K12", "disc 1.1", "REJECT", "UNDO")
        assert bounds(four, {1, 2, 3, 4}, "K12", "scrap") == [(4, 0, 0, True), (1, 1, 1, True)]

    def test_two_lines_reject_of_one_spindle_and_one_takes_it_back(self, four):
        four.open_line(1, [11], 1)
        four.open_line(1, [11], 2, LINE_2)
        four.scan(LINE, "disc 1.1", "REJECT")
        four.scan(LINE_2, "disc 1.1", "REJECT")
        four.scan(LINE, "UNDO")
        assert bounds(four, {1}, "K11", "scrap") == [(3, 0, 1, True), (1, 0, 1, True)]

    def test_a_set_that_is_taken_apart_gives_its_discs_back(self):
        floor = Floor.copy()
        floor.press(2, strokes=8, stacks=2)
        floor.press(3, strokes=4, stacks=1)
        floor.open_line(2, [21, 31], 21)
        floor.scan(
            LINE, "disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2", "K22", "disc 2.1", "sleeve 2", "STOP"
        )
        assert bounds(floor, {1, 2, 3, 4}, "carton 21", "K22", lot=n("L2")) == [
            (1, 1, 1, True),
            (4, 0, 0, True),
        ]


class TestLoose:
    @pytest.fixture
    def two(self, four):
        """Carton 1 holds strokes 1 to 4, carton 2 strokes 5 to 8; carton 1 left at 9:00."""
        for card, carton in ((11, 1), (12, 2)):
            four.open_line(1, [card], carton)
            four.match(1, 4)
            four.scan(LINE, "CLOSE")
        sent(four, 1, at="2031-03-03T09:00:00+01:00")
        return four

    def back_at(self, floor, time, mark=None, count=1):
        floor.at = f"2031-03-03T{time}:00+01:00"
        act = ["RETURNNOMARK", '"EX-101-A'] if mark is None else ["RETURNLOOSE", '"EX-101-A', f'"{n(mark)}']
        floor.scan(DOCK, *act, f"#{count}")

    def test_a_departure_that_another_dock_booked_late_was_before_it(self, two):
        self.back_at(two, "12:00")
        sent(two, 2, dock=DOCK_2, at="2031-03-03T10:00:00+01:00")
        assert bounds(two, {1, 2, 3, 4}, "return 1", "carton 1") == [(1, 0, 1, True), (4, 3, 4, True)]

    def test_what_left_after_it_cannot_have_given_it_up(self, two):
        self.back_at(two, "12:00")
        sent(two, 2, dock=DOCK_2, at="2031-03-03T13:00:00+01:00")
        assert bounds(two, {1, 2, 3, 4}, "return 1", "carton 2") == [(1, 1, 1, True), (4, 0, 0, True)]

    def test_clocks_of_other_offsets_are_compared_as_instants(self, two):
        self.back_at(two, "12:00")
        sent(two, 2, dock=DOCK_2, at="2031-03-03T12:30:00+02:00")
        assert bounds(two, {1, 2, 3, 4}, "return 1") == [(1, 0, 1, True)]

    def test_a_carton_that_was_back_by_then_cannot_either(self, two):
        sent(two, 2, dock=DOCK_2, at="2031-03-03T10:00:00+01:00")
        two.at = "2031-03-03T11:00:00+01:00"
        two.scan(DOCK, "RETURN", "carton 2", '"wrong', "RESTOCK", "carton 2", '"fine')
        self.back_at(two, "12:00")
        assert bounds(two, {5, 6, 7, 8}, "return 2", "carton 1") == [(1, 0, 0, True), (4, 0, 0, True)]

    def test_the_mark_of_a_stamper_narrows_it(self, two):
        sent(two, 2)
        self.back_at(two, "12:00", "T4")
        self.back_at(two, "12:10", "T5")
        # Every disc is of T4; nothing was pressed with T5, so that return is of no lot of the plant.
        assert two.read("return_line", "lot", "mark", order="number") == [(LOT, n("T4")), (None, n("T5"))]

    def test_the_number_of_a_sleeve_says_in_which_carton_it_left(self):
        floor = Floor.copy()
        floor.press(4, strokes=4, stacks=2)
        floor.scan(LAB, "P1", "RELEASE", "L4", '"good')
        for card, carton, first in ((41, 11, 1), (42, 12, 3)):
            floor.open_line(3, [card], carton)
            for number in (first, first + 1):
                floor.scan(LINE, "disc 3.1", f"sleeve 3 no {number}")
            floor.scan(LINE, "CLOSE")
        picks = [scan for carton in (11, 12) for scan in ("PICK", f"carton {carton}", f"carton {carton}")]
        floor.scan(DOCK, "P1", "SHIP", "O3", *picks, "DEPART")
        floor.scan(DOCK, "RETURNNOMARK", '"EX-103-A', "#1")
        lot = n("L4")
        assert bounds(floor, {1, 2}, "return 1", lot=lot) == [(1, 0, 1, True)]
        floor.scan(DOCK, "sleeve 3 no 3")
        assert floor.read("number_fate", "carton") == [(n("carton 12"),)]
        assert bounds(floor, {1, 2}, "return 1", "carton 11", lot=lot) == [(1, 0, 0, True), (2, 2, 2, True)]
        # An older program did not keep the carton, so its entry narrows nothing.
        with floor.ledger.writing() as booking:
            stamp = Stamp(START, "2031-03-03T07:30:00Z", person=n("P1"))
            booking.record(NumberCameBackUnplaced(1, gtin(3), "4"), stamp)
        with floor.ledger.reading() as conn:
            kept = said(
                conn.exec_driver_sql("SELECT stored FROM journal ORDER BY seq DESC LIMIT 1").scalar_one()
            )
        assert sorted(kept["body"]) == ["gtin", "number", "serial"]


class TestOlderSamples:
    """An older program booked every sample off the spindle of its stroke: the entry does not say where it was."""

    def old_sample(self, floor, stroke=3):
        moved = Moved(LOT, 1, n("K11"), n("S1"), stroke, stroke)
        reading = Reading(LOT, 1, 8, 8)
        with floor.ledger.writing() as booking:
            stamp = Stamp(START, "2031-03-03T07:30:00Z", person=n("P1"))
            booking.record(SampleDrawn(n("S1"), stroke, reading, moved), stamp)

    def test_it_may_be_from_any_place_behind(self, four):
        four.open_line(1, [11], 1)
        four.match(1, 2)
        four.scan(LINE, "CLOSE")
        self.old_sample(four)
        # K11 is said to hold one disc and may hold two; the carton is said to hold two and may hold one.
        assert bounds(four, {1, 2, 4}, "K11", "carton 1", "K12") == [
            (1, 1, 2, False), (2, 1, 2, False), (4, 0, 0, False),
        ]  # fmt: skip

    def test_nothing_had_left_its_spindle_so_it_was_there(self, four):
        self.old_sample(four)
        four.open_line(1, [11], 1)
        four.match(1, 3)
        assert bounds(four, {1, 2, 4}, "K11", "carton 1") == [(0, 0, 0, True), (3, 3, 3, True)]

    def test_tables_are_made_anew_the_same(self, four):
        four.open_line(1, [11], 1)
        four.match(1, 2)
        four.scan(LINE, "CLOSE")
        self.old_sample(four)
        before = four.read("movement", "seq", "line", "source", "target", "sense", order="seq")
        with four.ledger.transaction() as conn:
            rebuild.rebuild(conn)
        assert four.read("movement", "seq", "line", "source", "target", "sense", order="seq") == before
        assert before[-1][-1] == "assumed"

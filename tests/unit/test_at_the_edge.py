"""Cases one short of, at, and one past the place where a rule begins to hold; each was once left out by all tests."""

from fractions import Fraction
from math import ceil

import pytest
from support_asking import contain
from support_each import each
from support_plant import (
    DOCK,
    LAB,
    LINE,
    PRESS,
    START,
    Floor,
    carton_sscc,
    code,
    gtin,
    n,
    stamper,
)

from tracelink.errors import InvalidLength, UsageError
from tracelink.genealogy.model.shapes import Shape
from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.identity.gs1.gtin import Gtin
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced, LotDecided
from tracelink.ledger.kinds.label_stock import LabelsCounted, SsccReturned
from tracelink.ledger.kinds.orders import OrderTaken
from tracelink.quality.zero_failure import zero_failure_n
from tracelink.store.office.label_watch import LAST_FATE, watch_labels
from tracelink.store.records.free_to_ship import in_plant
from tracelink.store.records.label_facts import label_records
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations import holds

STAMP = Stamp(START, "2031-03-03T07:30:00Z", person=code("P", 1))


def hold(floor, subject, first=None, last=None):
    with floor.ledger.writing() as booking:
        hold_code = booking.queries.next_code("H")
        booking.record(HoldPlaced(hold_code, subject, (HeldItem(subject, first, last),)), STAMP, "scratch")
    return hold_code


class TestHolds:
    @pytest.mark.parametrize(("last", "is_held"), [(9, False), (10, True), (11, True)])
    def test_a_stack_is_held_from_its_last_disc_on(self, last, is_held):
        """Strokes 10 to 20 were held before the stack was taken."""
        floor = Floor.copy()
        a, b = "EX-101-A", "EX-101-B"
        floor.scan(
            PRESS, "P1", "SETUP", "L1", stamper(a), stamper(b), "C1", "E1", "E2", "START", f'"{a}', f'"{b}'
        )
        placed = hold(floor, n("L1"), 10, 20)
        floor.scan(PRESS, "STACK", "K11", f"#{last}")
        with floor.ledger.reading() as conn:
            found = holds.on_spindle(conn, n("K11"), holds.stack(conn, n("K11")))
        assert (None if found is None else found.hold) == (placed if is_held else None)

    def test_discs_at_the_press_are_free_until_every_lot_they_are_of_is_held(self):
        floor = Floor.copy()
        floor.press(1, stacks=0)
        floor.press(5, stacks=0)

        def at_the_press():
            with floor.ledger.reading() as conn:
                rows = in_plant(conn, contain(SqlRecords(conn), stamper("EX-101-A"), Shape.WHOLE_LIFE))
            [row] = [row for row in rows if row.code == "counter"]
            return row.lot, row.most, row.hold

        assert at_the_press() == (f"{n('L1')}, {n('L5')}", 40, None)
        first = hold(floor, n("L1"))
        assert at_the_press()[2] is None
        hold(floor, n("L5"))
        assert at_the_press()[2] == first

    def test_a_lot_on_hold_holds_a_carton_whose_discs_lie_in_the_spool(self):
        floor = Floor.copy()
        floor.press(1)
        floor.open_line(1, [11], 1)
        floor.match(1, 2)
        assert floor.spooled_matches() == 2
        placed = hold(floor, n("L1"))
        assert floor.spooled_matches() == 2
        with floor.ledger.reading() as conn:
            assert holds.on_carton(conn, carton_sscc(1)).hold == placed


def with_a_closed_carton(**settings):
    floor = Floor.copy(**settings)
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 5)
    floor.scan(LINE, "CLOSE")
    floor.play(LAB, 'P1 | RELEASE | L1 | "good -> DONE')
    return floor


class TestDeparture:
    def test_a_lot_rejected_after_its_carton_was_picked_does_not_leave(self):
        floor = with_a_closed_carton()
        floor.play(DOCK, "P1 | SHIP | O1 | PICK | carton 1 | carton 1 -> DONE")
        with floor.ledger.writing() as booking:
            booking.record(LotDecided(n("L1"), "rejected", None), STAMP, "clicks")
        assert floor.scan(DOCK, "DEPART").finding == "lot-not-released"
        assert floor.read("shipment", "status") == [("loading",)]

    @pytest.mark.parametrize(
        ("ordered", "setting", "percent", "leaves"),
        [
            (10, "ship_short_percent", 50, True),
            (10, "ship_short_percent", 49, False),
            (4, "ship_over_percent", 25, True),
            (4, "ship_over_percent", 24, False),
        ],
    )
    def test_a_load_exactly_as_far_off_as_the_plant_allows_leaves(self, ordered, setting, percent, leaves):
        floor = with_a_closed_carton(**{setting: percent})
        with floor.ledger.writing() as booking:
            booking.record(OrderTaken(code("O", 9), "Shop 9", "DE", gtin(1), ordered), STAMP)
        floor.play(DOCK, "P1 | SHIP | O9 | PICK | carton 1 | carton 1 -> DONE")
        assert (floor.scan(DOCK, "DEPART").finding is None) == leaves


class TestLabels:
    @pytest.mark.parametrize(("serial", "is_known"), [(1, True), (1000, True), (1001, False)])
    def test_the_last_label_of_a_range_is_of_it(self, serial, is_known):
        floor = Floor.copy()
        floor.press(1)
        assert (floor.open_line(1, [11], serial).finding is None) == is_known

    def test_the_last_label_of_a_range_has_the_balance_of_its_range(self):
        with Floor.copy().ledger.reading() as conn:
            for serial in (1, 1000):
                assert label_records(conn, carton_sscc(serial)).issued == 1000
            with pytest.raises(UsageError, match="was never issued here"):
                label_records(conn, carton_sscc(1001))

    @pytest.mark.parametrize(("serial", "is_void"), [(10, False), (11, True), (13, True), (14, False)])
    def test_labels_that_came_back_are_void_from_the_first_to_the_last(self, serial, is_void):
        floor = Floor.copy()
        floor.press(1)
        with floor.ledger.writing() as booking:
            booking.record(SsccReturned("0", 11, 13), STAMP)
        with floor.ledger.reading() as conn:
            assert label_records(conn, carton_sscc(1)).fates["returned"] == 3
        assert (floor.open_line(1, [11], serial).finding == "void-label") == is_void

    @pytest.mark.parametrize(
        ("counted", "fate", "off"),
        [
            (100, "spoiled", None),
            (101, "spoiled", -1),
            (99, "spoiled", None),
            (100, LAST_FATE, None),
            (101, LAST_FATE, -1),
            (99, LAST_FATE, 1),
        ],
    )
    def test_a_count_over_or_under_what_was_issued_is_looked_into(self, counted, fate, off):
        """Batch B1 has 100 sleeves; what is missing is judged when the rest comes back, what is too much always."""
        floor = Floor.copy(label_limit_permille=1)
        with floor.ledger.writing() as booking:
            booking.record(LabelsCounted(n("B1"), fate, counted), STAMP)
            told = watch_labels(booking, STAMP, n("B1"), fate)
        assert floor.read("investigation", "difference") == ([] if off is None else [(off,)])
        assert bool(told) == (off is not None)


@each("length", [7, 9, 10, 11, 15])
def test_a_number_of_another_length_is_no_gtin_although_its_check_digit_fits(length):
    body = "9520000123456789"[: length - 1]
    with pytest.raises(InvalidLength, match=f"must have 8, 12, 13 or 14 digits, found {length}"):
        Gtin.parse(body + gs1_check_digit(body))


def none_wrong(population, wrong, opened):
    """The chance that so many opened cartons are all right, carton by carton."""
    chance = Fraction(1)
    for place in range(opened):
        chance *= Fraction(max(0, population - wrong - place), population - place)
    return chance


@each("confidence", [50, 90, 95, 99])
@each("permille", [1, 50, 100, 150, 333, 500, 999])
@each("population", [*range(1, 25), 60])
def test_so_many_cartons_are_opened_that_fewer_would_not_do(population, permille, confidence):
    """Against trying every number; a part of a carton is a wrong one, and all that are right may have to be opened."""
    wrong = ceil(Fraction(population * permille, 1000))
    allowed = 1 - Fraction(confidence, 100)
    least = next(
        opened for opened in range(1, population + 1) if none_wrong(population, wrong, opened) <= allowed
    )
    assert zero_failure_n(permille, confidence, population) == least

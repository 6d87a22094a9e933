"""A carton counted short: barred from going on, and what two people counted becomes its content everywhere."""

import pytest
from support_asking import contain
from support_counted import close, stock, units
from support_judged import judged
from support_pins import rebuilds
from support_plant import DOCK, LAB, LINE, LINE_2, Floor, n

from tracelink.balance.lot import lot_balance
from tracelink.genealogy.model.shapes import Shape
from tracelink.ledger.entry import Stamp
from tracelink.store.ledger import utc_now
from tracelink.store.office import order_book
from tracelink.store.records.balance_facts import lot_records
from tracelink.store.records.sql_records import SqlRecords


@pytest.fixture
def floor():
    """Cartons 1 and 2 with 5 discs of lot 1 each, released; Ada is at the dock, Ben at the second line."""
    made = Floor.copy()
    made.press(1)
    made.scan(LAB, "P1", "RELEASE", "L1", '"good')
    made.open_line(1, [11], 1)
    made.match(1, 5)
    made.scan(LINE, "carton 2", "K12")
    made.match(1, 5)
    made.scan(LINE, "CLOSE")
    made.scan(DOCK, "P1")
    made.scan(LINE_2, "P2")
    return made


@pytest.fixture
def short(floor):
    """Ada found 4 in carton 1."""
    floor.play(
        DOCK,
        f"""
        COUNT | carton 1 | #4 -> STOP count-differs; Carton {n("carton 1")} holds 4 units; the system shows 5: 1 missing. Count again; tell quality. Lot {n("L1")} is under investigation. A second person counts it too: what both count is its content.
        """,
    )
    return floor


def number_of(floor):
    return floor.read("investigation", "seq", order="seq")[-1][0]


class TestBarred:
    """Nothing of a carton that was counted short goes on."""

    TOLD = "A count of carton {carton 1} differs from the system. A second person counts it with COUNT first."

    def test_it_is_not_stacked_picked_reopened_or_merged(self, short):
        short.play(
            DOCK,
            f"""
            PALLET | pallet 1 -> DONE
            carton 1 -> STOP count-not-confirmed; {self.TOLD}
            carton 2 | CLOSE | SHIP | O1 | PICK -> NEXT
            carton 1 -> STOP count-not-confirmed; {self.TOLD}
            CANCEL -> DONE
            """,
        )
        short.play(LINE, "REOPEN -> NEXT\ncarton 1 -> STOP count-not-confirmed\nCANCEL -> DONE")
        short.play(LINE, "carton 3 | MERGE -> NEXT\ncarton 1 -> STOP count-not-confirmed")

    def test_a_pallet_with_it_is_not_closed_accepted_loaded_or_sent(self, floor):
        """The count comes at each of these steps."""
        floor.play(
            DOCK,
            """
            PALLET | pallet 1 | carton 1 | carton 2 -> DONE
            COUNT | carton 1 | #4 -> STOP count-differs
            CLOSE -> STOP count-not-confirmed
            COUNT | carton 1 | #5 -> DONE
            CLOSE -> STOP under-investigation
            """,
        )
        close(floor)
        floor.play(
            DOCK,
            """
            CLOSE -> DONE
            COUNT | carton 1 | #4 -> STOP count-differs
            ACCEPT -> NEXT
            pallet 1 -> STOP count-not-confirmed
            CANCEL | COUNT | carton 1 | #5 -> DONE
            """,
        )
        close(floor)
        floor.play(
            DOCK,
            """
            ACCEPT | pallet 1 -> DONE
            COUNT | carton 1 | #4 -> STOP count-differs
            SHIP | O1 -> DONE
            pallet 1 -> STOP count-not-confirmed
            PICK -> NEXT
            pallet 1 -> STOP count-not-confirmed
            CANCEL | COUNT | carton 1 | #5 -> DONE
            """,
        )
        close(floor)
        floor.play(
            DOCK,
            """
            pallet 1 -> DONE
            COUNT | carton 1 | #4 -> STOP count-differs
            DEPART -> STOP count-not-confirmed
            UNLOAD | pallet 1 | "short -> DONE
            """,
        )

    def test_a_loose_carton_on_the_vehicle_keeps_it_here(self, floor):
        floor.play(
            DOCK,
            """
            SHIP | O1 | PICK | carton 1 | carton 1 -> DONE
            COUNT | carton 1 | #4 -> STOP count-differs
            DEPART -> STOP count-not-confirmed
            """,
        )

    def test_the_open_investigation_bars_it_also_when_the_count_is_cleared(self, short):
        short.play(DOCK, "COUNT | carton 1 | #5 -> DONE")
        short.play(
            DOCK,
            f"""
            PALLET | pallet 1 -> DONE
            carton 1 -> STOP under-investigation; A count of carton {n("carton 1")} differed from the system: investigation {number_of(short)} of lot {n("L1")} is open. Leave the carton where it is until quality has closed the investigation.
            carton 2 -> DONE
            """,
        )
        close(short)
        short.play(DOCK, "carton 1 -> DONE")

    def test_closing_the_investigation_does_not_clear_the_count(self, short):
        close(short)
        short.play(DOCK, "PALLET | pallet 1 -> DONE\ncarton 1 -> STOP count-not-confirmed")

    def test_an_investigation_that_was_opened_later_is_not_of_this_carton(self, short):
        short.play(DOCK, "COUNT | carton 1 | #5 -> DONE")
        close(short)
        short.play(DOCK, "COUNT | K12 | #3 -> STOP count-differs\nPALLET | pallet 1 | carton 1 -> DONE")

    def test_a_carton_counted_while_one_was_open_belongs_to_it(self, floor):
        floor.play(DOCK, "COUNT | K12 | #3 -> STOP count-differs")
        floor.play(DOCK, "COUNT | carton 1 | #4 -> STOP count-differs\nCOUNT | carton 1 | #5 -> DONE")
        floor.play(DOCK, "PALLET | pallet 1 -> DONE\ncarton 1 -> STOP under-investigation")

    def test_it_may_be_put_away_broken_and_opened(self, short):
        short.play(
            DOCK,
            """
            PUT | carton 1 | Y1 -> DONE
            OPENCHECK | carton 1 | #4 -> STOP count-differs
            BREAK | carton 1 | "looked into -> DONE
            """,
        )


class TestConfirmed:
    """What two people counted is the content of the carton, on every document."""

    @pytest.fixture
    def confirmed(self, short):
        short.play(
            LINE_2,
            f"""
            COUNT | carton 1 | #4 -> DONE; Carton {n("carton 1")} holds 4 units: two people counted the same, and the system shows 4 from now on. 1 unit is lost. Lot {n("L1")} is under investigation.
            """,
        )
        return short

    def test_a_second_person_makes_it_the_content(self, confirmed):
        assert units(confirmed) == 4
        assert stock(confirmed) == {n("K12"): 5, n("K11"): 5, n("carton 1"): 4, n("carton 2"): 5, "lost": 1}
        assert confirmed.read("carton_sleeve", "units", carton=n("carton 1")) == [(4,)]
        assert confirmed.kinds()[-2:] == ["count-confirmed", "stock-counted"]
        rebuilds(confirmed)
        assert judged(confirmed).unforced is None

    def test_limits_of_the_carton_are_what_was_confirmed(self, confirmed):
        with confirmed.ledger.reading() as conn:
            scope = contain(SqlRecords(conn), n("L1"), Shape.WHOLE_LIFE)
        most = {each.code: each.most for each in scope.containers}
        assert (most[n("carton 1")], most[n("carton 2")]) == (4, 5)

    def test_the_balance_has_the_missing_disc_as_lost_and_nothing_twice(self, confirmed):
        with confirmed.ledger.reading() as conn:
            found = lot_balance(lot_records(conn, n("L1")))
        assert {line.name: line.difference for line in found.lines if line.difference} == {}
        [lost] = [line for line in found.lines if line.name == "lost"]
        assert [(term.name, term.quantity) for term in lost.went] == [("lost", 1)]
        [cartons] = [line for line in found.lines if line.name == "in cartons"]
        assert sum(term.quantity for term in cartons.went) == 9

    def test_it_is_barred_until_quality_has_closed_the_investigation_and_leaves_as_four(self, confirmed):
        confirmed.play(DOCK, "SHIP | O1 | PICK -> NEXT\ncarton 1 -> STOP under-investigation")
        close(confirmed)
        confirmed.play(
            DOCK,
            f"""
            carton 1 | carton 1 | DEPART -> DONE; Shipment {n("D1")} left for Shop 1 with 1 loose carton. Order {n("O1")} is for 50 and has 4 (-46).
            """,
        )

    @pytest.mark.parametrize("again", ["#4", "#3"])
    def test_the_same_person_confirms_nothing(self, short, again):
        short.play(DOCK, f"COUNT | carton 1 | {again} -> STOP count-differs")
        assert units(short) == 5

    @pytest.mark.parametrize("other", ["#3", "#6"])
    def test_another_number_confirms_nothing(self, short, other):
        short.play(LINE_2, f"COUNT | carton 1 | {other} -> STOP count-differs")
        assert units(short) == 5

    def test_too_many_are_never_taken_over(self, floor):
        floor.play(DOCK, "COUNT | carton 1 | #6 -> STOP count-differs")
        floor.play(LINE_2, "COUNT | carton 1 | #6 -> STOP count-differs")
        assert units(floor) == 5

    def test_it_can_be_filled_up_afterwards(self, confirmed):
        close(confirmed)
        confirmed.play(
            LINE, 'REOPEN | carton 1 | "one short | disc 1.1 | sleeve 1 -> MATCH [5 of 5 in carton]'
        )
        confirmed.play(LINE, "CLOSE -> DONE")
        confirmed.play(DOCK, "PALLET | pallet 1 | carton 1 -> DONE")

    def test_what_was_opened_for_a_check_is_confirmed_by_a_count(self, floor):
        floor.play(DOCK, "OPENCHECK | carton 1 | #4 -> STOP count-differs")
        floor.play(LINE_2, "COUNT | carton 1 | #4 -> DONE")
        assert units(floor) == 4

    def test_a_broken_carton_that_is_counted_again_is_settled(self, short):
        short.play(DOCK, 'BREAK | carton 1 | "torn | REPACK | carton 1 | #4 | "counted -> DONE')
        close(short)
        short.play(DOCK, "PALLET | pallet 1 | carton 1 -> DONE")
        with short.ledger.reading() as conn:
            found = lot_balance(lot_records(conn, n("L1")))
        assert found.difference == 0


class TestUnclear:
    """Where nobody can tell what is missing, the content stays and the carton stays barred."""

    def test_which_number_is_missing(self):
        floor = Floor.copy()
        floor.press(4)
        floor.open_line(3, [41], 1)
        floor.scan(LINE, "disc 3.1", "sleeve 3 no 1", "disc 3.1", "sleeve 3 no 2", "CLOSE")
        floor.scan(DOCK, "P1")
        floor.scan(LINE_2, "P2")
        floor.play(DOCK, "COUNT | carton 1 | #1 -> STOP count-differs")
        told = floor.scan(LINE_2, "COUNT", "carton 1", "#1")
        assert told.finding == "count-differs"
        assert told.sentence.endswith(
            "Its content stays as it is: nobody can tell which numbers are missing. At the dock somebody else scans NUMBERS "
            "and each sleeve that is there."
        )
        assert units(floor) == 2

    def test_two_lots_are_told_apart_by_the_second_count(self):
        floor = Floor.copy()
        floor.press(1)
        floor.press(5, strokes=4, stacks=1)
        floor.open_line(1, [11], 1)
        floor.match(1, 2)
        floor.scan(LINE, "K51")
        floor.match(1, 3)
        floor.scan(LINE, "CLOSE")
        floor.scan(DOCK, "P1")
        floor.scan(LINE_2, "P2")
        floor.play(DOCK, "COUNT | carton 1 | #4 -> STOP count-differs")
        floor.play(LINE_2, f'COUNT | carton 1 | "{n("L1")}=2 {n("L5")}=2 -> DONE')
        assert (units(floor), stock(floor, "L5")["lost"]) == (4, 1)

    def test_a_set_is_short_by_whole_units(self):
        floor = Floor.copy()
        for lot in (2, 3):
            floor.press(lot, strokes=4, stacks=1)
        floor.open_line(2, [21, 31], 2)
        unit = ("disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2")
        floor.scan(LINE, *unit, *unit, "CLOSE")
        floor.scan(DOCK, "P1")
        floor.scan(LINE_2, "P2")
        floor.play(DOCK, "COUNT | carton 2 | #1 -> STOP count-differs")
        floor.play(LINE_2, "COUNT | carton 2 | #1 -> DONE")
        assert units(floor, "carton 2") == 1
        assert (stock(floor, "L2")["lost"], stock(floor, "L3")["lost"]) == (1, 1)


class TestKeptForAnOrder:
    """An order that stays short is told what is there and barred, and why."""

    def allocated(self, floor):
        with floor.ledger.writing() as booking:
            return order_book.allocate(booking, n("O1"), Stamp(floor.at, utc_now(), person=n("P1")))

    def test_what_may_not_go_is_named(self, floor):
        floor.press(5, stacks=1)
        floor.scan(LINE, "CLEAR", "P2", "B1", "K51", "carton 3")
        floor.match(1, 2)
        floor.scan(LINE, "CLOSE")
        floor.play(DOCK, "COUNT | carton 1 | #4 -> STOP count-differs")
        floor.scan(LAB, "HOLD", "carton 2", '"doubtful')
        kept, short, barred = self.allocated(floor)
        assert (kept, list(short.values())) == ([], [50])
        assert [(one.code, one.what, one.units, one.why) for one in barred] == [
            (
                n("carton 1"),
                "carton",
                5,
                f"the count of carton {n('carton 1')} differs or is under investigation",
            ),
            (n("carton 2"), "carton", 5, f"on hold: doubtful (hold {n('H1')})"),
            (n("carton 3"), "carton", 2, f"not released: {n('L5')} (pending)"),
        ]

    def test_a_pallet_is_barred_by_one_carton(self, floor):
        floor.play(DOCK, "PALLET | pallet 1 | carton 1 | carton 2 | CLOSE | ACCEPT | pallet 1 -> DONE")
        floor.play(DOCK, "COUNT | carton 2 | #4 -> STOP count-differs")
        kept, _short, barred = self.allocated(floor)
        assert (kept, [(one.code, one.units) for one in barred]) == ([], [(n("pallet 1"), 10)])

    def test_what_is_fine_is_kept_and_nothing_is_named(self, floor):
        kept, _short, barred = self.allocated(floor)
        assert ([one.code for one in kept], barred) == ([n("carton 1"), n("carton 2")], [])

"""What another desk did meanwhile: what was right to scan a moment ago is refused, and says who has the thing now."""

import pytest
from support_dock import plant, stocked
from support_plant import DOCK, LAB, LINE, LINE_2, START, Floor, gtin, n

from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.balance import InvestigationOpened
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.ledger.kinds.orders import Allocated, AllocationMade, OrderTaken

STAMP = Stamp(START, "2031-03-03T07:30:00Z", person=n("P1"))


@pytest.fixture
def floor():
    """Cartons 1 and 2 of product 1 are closed; carton 4 of product 3 was closed last at the second line."""
    return stocked(plant())


def keep(floor, order, *things):
    """Keep pallets and cartons for an order, as the office does."""
    with floor.ledger.writing() as booking:
        booking.record(
            AllocationMade(n(order), tuple(Allocated(n(thing), 2, None) for thing in things)), STAMP
        )


def hold(floor, thing):
    with floor.ledger.writing() as booking:
        booking.record(
            HoldPlaced(n("H1"), n(thing), (HeldItem(n(thing), None, None),)), STAMP, "scratched labels"
        )


class TestUndoOfClose:
    def test_a_carton_closed_by_mistake_is_open_again(self, floor):
        floor.play(
            LINE_2, f"UNDO -> DONE; Carton {n('carton 4')} is open again with 1 unit. [1 of 4 in carton]"
        )
        assert floor.read("carton", "status", sscc=n("carton 4")) == [("open",)]
        floor.play(LINE_2, "disc 3.1 | sleeve 3 no 2 | CLOSE -> DONE")
        assert floor.read("carton", "units", sscc=n("carton 4")) == [(2,)]

    def test_it_is_on_a_pallet(self, floor):
        floor.play(DOCK, "PALLET | pallet 1 | carton 4 -> DONE")
        floor.play(
            LINE_2,
            f"UNDO -> STOP has-a-parent; Carton {n('carton 4')} is on pallet {n('pallet 1')}...",
        )

    def test_it_is_on_a_vehicle_or_gone_with_it_or_back(self, floor):
        floor.play(DOCK, "SHIP | O3 | PICK | carton 4 | carton 4 -> DONE")
        floor.play(
            LINE_2,
            f"UNDO -> STOP has-a-parent; Carton {n('carton 4')} is in shipment {n('D1')} for Shop 3, dock 5, which is being loaded. The dock unloads it first.",
        )
        floor.play(DOCK, "DEPART -> DONE")
        floor.play(
            LINE_2,
            f"UNDO -> STOP has-a-parent; Carton {n('carton 4')} is in shipment {n('D1')} for Shop 3, dock 5, which has left. What comes back is booked by the dock.",
        )
        floor.play(DOCK, 'RETURN | carton 4 | "wet -> DONE')
        floor.play(
            LINE_2,
            f"UNDO -> STOP carton-not-closed; Carton {n('carton 4')} is returned now: its CLOSE cannot be taken back.",
        )

    def test_it_is_kept_for_an_order(self, floor):
        keep(floor, "O3", "carton 4")
        floor.play(
            LINE_2,
            f"UNDO -> STOP kept-for-an-order; Carton {n('carton 4')} is kept for order {n('O3')} as it is. Have that released first.",
        )

    def test_it_is_on_hold(self, floor):
        hold(floor, "carton 4")
        floor.play(LINE_2, "UNDO -> STOP on-hold")
        assert floor.read("carton", "status", sscc=n("carton 4")) == [("closed",)]


class TestKept:
    """Nothing that is kept for an order is built into something else, opened, or sent to somebody else."""

    def test_a_loose_carton_goes_on_no_pallet(self, floor):
        keep(floor, "O1", "carton 1")
        floor.play(
            DOCK,
            f"""
            PALLET | pallet 1 -> DONE
            carton 1 -> STOP kept-for-an-order; Carton {n("carton 1")} is kept for order {n("O1")} as a loose carton. Leave it where it is.
            carton 2 -> DONE
            """,
        )

    def test_a_pallet_stays_closed(self, floor):
        floor.play(DOCK, "PALLET | pallet 1 | carton 1 | CLOSE -> DONE")
        keep(floor, "O1", "pallet 1")
        floor.play(
            DOCK,
            f"""
            REOPEN -> NEXT
            pallet 1 -> STOP kept-for-an-order; Pallet {n("pallet 1")} is kept for order {n("O1")}. Have that released before you open it.
            """,
        )

    def test_what_is_kept_for_one_order_is_not_sent_to_another(self, floor):
        with floor.ledger.writing() as booking:
            booking.record(OrderTaken(n("O9"), "Shop 9", "DE", gtin(1), 2), STAMP)
        keep(floor, "O1", "carton 1")
        floor.play(
            DOCK,
            f"""
            SHIP | O9 | PICK -> NEXT
            carton 1 -> STOP kept-for-another; Carton {n("carton 1")} is kept for order {n("O1")}; this shipment is for order {n("O9")}. Leave it where it is.
            carton 2 | carton 2 -> DONE
            """,
        )


class TestGone:
    def test_a_carton_on_a_loaded_pallet_is_not_broken(self, floor):
        floor.play(
            DOCK, "PALLET | pallet 1 | carton 1 | CLOSE | ACCEPT | pallet 1 | SHIP | O1 | pallet 1 -> DONE"
        )
        floor.play(
            DOCK,
            f"""
            BREAK -> NEXT
            carton 1 -> STOP has-a-parent; Carton {n("carton 1")} is on pallet {n("pallet 1")}, which is loaded. Scan UNLOAD or RETURN first.
            CANCEL | DEPART | BREAK -> NEXT
            carton 1 -> STOP has-a-parent; Carton {n("carton 1")} is on pallet {n("pallet 1")}, which is shipped. Scan UNLOAD or RETURN first.
            """,
        )

    def test_a_destroyed_carton_gives_no_sample(self, floor):
        floor.play(DOCK, 'BREAK | carton 1 | "crushed | DESTROY | carton 1 | "crushed | P2 -> DONE')
        floor.play(
            LAB,
            f"""
            SAMPLE | L1 | S1 | "unknown -> NEXT
            carton 1 -> STOP carton-destroyed; The system shows carton {n("carton 1")} as destroyed. Put it aside and tell quality.
            """,
        )

    def test_nothing_is_counted_in_a_carton_whose_discs_are_in_quarantine(self, floor):
        floor.play(DOCK, 'SHIP | O1 | PICK | carton 1 | carton 1 | DEPART | RETURN | carton 1 | "wet -> DONE')
        floor.play(
            DOCK,
            f"""
            COUNT -> NEXT
            carton 1 -> STOP carton-empty; The system shows carton {n("carton 1")} as empty.
            """,
        )

    def test_a_part_carton_that_lost_one_disc_of_a_set_is_not_merged(self):
        floor = Floor.copy()
        for lot in (2, 3):
            floor.press(lot, strokes=4, stacks=1)
        floor.open_line(2, [21, 31], 21)
        for carton in ("carton 22", None):
            for _ in range(2 if carton else 1):
                floor.scan(LINE, "disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2")
            if carton:
                floor.scan(LINE, "CLOSE", carton)
        floor.play(LAB, 'P1 | SAMPLE | L2 | S1 | "unknown | carton 21 -> DONE')
        floor.play(
            LINE,
            f"""
            MERGE -> NEXT
            carton 21 -> STOP not-in-records; The system shows 1 unit in carton {n("carton 21")}, but 3 discs and 1 sleeve. Leave it and tell quality.
            """,
        )


class TestAtTheLine:
    def test_a_disc_in_hand_comes_before_anything_else(self, floor):
        floor.play(LINE, "disc 1.1 -> NEXT")
        for act in ("CHECK", "HANDOVER", "TAKEOUT", "COUNT"):
            floor.play(
                LINE,
                f"{act} -> STOP disc-in-hand; A disc is waiting for its sleeve. Scan the sleeve, or STOP, before {act}.",
            )
        floor.play(LINE, "sleeve 1 -> MATCH")

    def test_without_sleeves_there_is_nothing_to_check(self):
        floor = Floor.copy()
        floor.play(LINE, "P1 -> DONE\nCHECK -> STOP not-ready")

    def test_a_badge_is_no_reason(self):
        floor = Floor.copy(line_reasons=1)
        floor.press(1)
        floor.open_line(1, [11], 1)
        floor.match(1, 1)
        floor.play(LINE, 'CLOSE -> NEXT\nP2 -> STOP wrong-thing\n"end of the lot -> DONE')

    def test_whoever_takes_over_is_told_what_is_not_finished(self):
        floor = Floor.copy()
        for lot in (2, 3):
            floor.press(lot, strokes=4, stacks=1)
        floor.open_line(2, [21, 31], 21)
        floor.scan(LINE, "disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2", "disc 2.1", "sleeve 2")
        verdict = floor.scan(LINE, "HANDOVER")
        assert verdict.sentence.endswith(
            ", 1 unit since the last good check, one unit not finished. Scan the badge of whoever takes over."
        )


class TestWrongThings:
    def test_each_slot_of_the_dock_says_what_it_takes(self, floor):
        floor.play(
            DOCK,
            f"""
            DESTROY -> NEXT
            L1 -> STOP wrong-thing; You scanned lot card {n("L1")}. Scan a carton label or the number of a return.
            CANCEL | PUT -> NEXT
            L1 -> STOP wrong-thing; You scanned lot card {n("L1")}. Scan a carton or a pallet label.
            """,
        )


class TestOnlyThat:
    """What bars one thing bars no other, though it lies beside it."""

    @pytest.fixture
    def packed(self):
        """Lot 1 in sleeves B1, lot 4 in sleeves B3, neither decided."""
        floor = Floor.copy()
        floor.press(1)
        floor.press(4)
        floor.open_line(1, [11], 1)
        floor.match(1, 1)
        floor.scan(LINE, "CLOSE")
        floor.open_line(3, [41], 4, LINE_2)
        floor.scan(LINE_2, "disc 3.1", "sleeve 3 no 1", "CLOSE")
        return floor

    @pytest.mark.parametrize("subject", ["L1", "B1", "E1", "E2"])
    def test_an_investigation_bars_the_lot_it_is_about_and_no_other(self, packed, subject):
        """About the lot, its sleeves, its label of side A or of side B."""
        with packed.ledger.writing() as booking:
            booking.record(InvestigationOpened(n(subject), -1), STAMP, "labels counted")
        packed.play(LAB, 'P1 | RELEASE | L4 | "good -> DONE')
        verdict = [packed.scan(LAB, one) for one in ("RELEASE", "L1", '"good')][-1]
        assert verdict.finding is not None
        assert n(subject) in " ".join(each.sentence for each in packed.verdicts[-2:])
        assert packed.read("lot", "decision", order="code", status="pressed") == [("pending",), ("released",)]

    def test_a_number_is_not_destroyed_because_others_of_its_edition_are(self, packed):
        packed.play(LINE_2, "carton 5 | disc 3.1 | sleeve 3 no 2 | CLOSE -> DONE")
        packed.play(DOCK, 'P1 | BREAK | carton 4 | "wet | DESTROY | carton 4 | "wet | P2 -> DONE')
        packed.play(
            DOCK,
            """
            sleeve 3 no 2 -> STOP wrong-carton
            sleeve 3 no 1 -> STOP destroyed-number
            """,
        )

    @pytest.mark.parametrize(
        ("unknown", "known"),
        [
            ("T99", "T4"),
            ("L99", "L1"),
            ("K99", "K11"),
            ("B99", "B1"),
            ("C99", "C1"),
            ("E99", "E1"),
            ("S99", "S1"),
            ("carton 9", "carton 1"),
            ("pallet 9", "pallet 1"),
        ],
    )
    def test_only_what_is_there_is_put_on_hold(self, packed, unknown, known):
        packed.play(LAB, "P1 | SAMPLE | L1 | S1 | #3 | K11 -> DONE")
        packed.play(DOCK, "P1 | PALLET | pallet 1 | carton 1 -> DONE")
        packed.play(LAB, f'HOLD -> NEXT\n{unknown} -> STOP unknown-code\n{known} | "odd -> DONE')

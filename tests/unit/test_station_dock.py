"""The dock's rules, each with what it accepts and what it refuses."""

import pytest
from support_plant import DOCK, DOCK_2, LAB, LINE, LINE_2, Floor, carton_sscc, code, gtin, n, pallet_sscc, raw

from tracelink.identity.rawlines import raw_carton


@pytest.fixture
def floor():
    """Cartons 1 and 2 of product 1 are closed, carton 3 is open, carton 4 is of product 3, carton 9 closed empty."""
    made = Floor.copy()
    made.press(1)
    made.press(4)
    made.open_line(1, [11], 1)
    made.match(1, 2)
    made.scan(LINE, "CLOSE", "carton 2")
    made.match(1, 2)
    made.scan(LINE, "CLOSE", "carton 9", "CLOSE", "carton 3")
    made.open_line(3, [41], 4, LINE_2)
    made.scan(LINE_2, "disc 3.1", "sleeve 3 no 1", "CLOSE")
    assert [verdict for verdict in made.verdicts if verdict.finding] == []
    for dock in (DOCK, DOCK_2):
        made.play(dock, "P1 -> DONE")
    made.play(LAB, "P1 -> DONE")
    return made


@pytest.fixture
def accepted(floor):
    """Pallet 1 with cartons 1 and 2, accepted."""
    floor.play(LAB, 'RELEASE | L1 | "good | RELEASE | L4 | "good -> DONE')
    floor.play(DOCK, "PALLET | pallet 1 | carton 1 | carton 2 | CLOSE | ACCEPT | pallet 1 -> DONE")
    return floor


def hold(floor, subject):
    floor.play(LAB, f'HOLD | {subject} | "doubtful -> DONE')


class TestBuilding:
    def test_a_pallet_is_built_of_closed_cartons(self, floor):
        floor.play(
            DOCK,
            f"""
            carton 1 -> DONE; Carton {n("carton 1")} is closed, 2 of "Paper Comet Arithmetic" EX 101, in no location.
            CLOSE    -> STOP no-pallet; No pallet is open here. Scan PALLET first.
            PALLET   -> NEXT; Scan a new pallet label.
            carton 1 -> STOP wrong-thing; You scanned carton label {n("carton 1")}. Scan a pallet label.
            pallet 1 -> DONE; Pallet {n("pallet 1")} is open. Scan its cartons.
            CLOSE    -> STOP pallet-empty; Pallet {n("pallet 1")} is empty; scan its cartons first.
            carton 1 -> DONE; Carton {n("carton 1")} is on pallet {n("pallet 1")}.
            PALLET   -> STOP pallet-open; Pallet {n("pallet 1")} is still open here. Scan CLOSE first.
            carton 1 -> STOP has-a-parent; Carton {n("carton 1")} is on this pallet already: 1 carton on pallet. Scan the next carton.
            carton 3 -> STOP carton-open; Carton {n("carton 3")} is still open at its line.
            carton 9 -> STOP carton-empty; Carton {n("carton 9")} was closed empty. Leave it off the pallet.
            carton 8 -> STOP unknown-code; Carton {n("carton 8")} has not been packed.
            carton 2 -> DONE
            CLOSE    -> DONE; Pallet {n("pallet 1")} is closed with 2 cartons.
            """,
        )
        floor.play(
            DOCK_2,
            f"""
            PALLET   -> NEXT
            pallet 1 -> STOP label-in-use; Pallet label {n("pallet 1")} is in use already. Take a new label.
            L1       -> STOP wrong-thing; You scanned lot card {n("L1")}. Scan a new pallet label.
            pallet 2 -> DONE
            carton 2 -> STOP has-a-parent; The system shows carton {n("carton 2")} on pallet {n("pallet 1")}. Check where it is before you go on.
            """,
        )

    def test_a_label_never_issued_is_refused(self, floor):
        floor.play(
            DOCK,
            f"""
            PALLET -> NEXT
            {raw(pallet_sscc(101))} -> STOP unknown-code; Label {pallet_sscc(101)} was never issued here.
            """,
        )

    @pytest.mark.parametrize(
        ("held", "shown"), [("carton 1", ""), ("L1", f" on {n('L1')}"), ("B1", f" on {n('B1')}")]
    )
    def test_nothing_on_hold_goes_on_a_pallet(self, floor, held, shown):
        hold(floor, held)
        floor.play(
            DOCK,
            f"""
            PALLET | pallet 1 -> DONE
            carton 1 -> STOP on-hold; Carton {n("carton 1")} is on hold: doubtful (hold {n("H1")}{shown}). Put it aside.
            carton 4 -> DONE
            """,
        )

    def test_a_carton_with_a_held_number_goes_on_no_pallet(self, floor):
        hold(floor, "sleeve 3 no 1")
        floor.play(DOCK, "PALLET | pallet 1 | carton 1 -> DONE\ncarton 4 -> STOP on-hold")


class TestAccepting:
    def test_every_lot_on_it_must_be_released(self, floor):
        floor.play(
            DOCK,
            f"""
            PALLET | pallet 1 | carton 1 | carton 4 -> DONE
            ACCEPT -> NEXT; Scan the pallet.
            pallet 1 -> STOP pallet-not-closed; Pallet {n("pallet 1")} is open. Only a closed pallet can be accepted.
            pallet 2 -> STOP unknown-code; Pallet {n("pallet 2")} has not been built.
            carton 1 -> STOP wrong-thing
            CANCEL | CLOSE | ACCEPT -> NEXT
            pallet 1 -> STOP lot-not-released; Pallet {n("pallet 1")} holds discs of lots that are not released: {n("L1")} (pending), {n("L4")} (pending). Leave it where it is.
            """,
        )
        floor.play(LAB, 'RELEASE | L1 | "good | REJECT | L4 | "clicks -> DONE')
        floor.play(DOCK, "pallet 1 -> STOP on-hold")
        floor.play(LAB, 'LIFT | H1 | "heard again | P2 -> DONE')
        floor.play(DOCK, "pallet 1 -> STOP lot-not-released")
        floor.play(LAB, 'OVERRULE | L4 | "heard again | P2 -> DONE')
        floor.play(DOCK, f"pallet 1 -> DONE; Pallet {n('pallet 1')} is accepted.")
        floor.play(DOCK, "ACCEPT -> NEXT\npallet 1 -> STOP pallet-not-closed")

    @pytest.mark.parametrize("held", ["pallet 1", "carton 2", "L1", "B1"])
    def test_nothing_on_hold_is_accepted(self, floor, held):
        floor.play(LAB, 'RELEASE | L1 | "good -> DONE')
        floor.play(DOCK, "PALLET | pallet 1 | carton 1 | carton 2 | CLOSE -> DONE")
        hold(floor, held)
        floor.play(DOCK, "ACCEPT -> NEXT\npallet 1 -> STOP on-hold\nCANCEL -> DONE")
        floor.play(LAB, 'LIFT | H1 | "fine | P2 -> DONE')
        floor.play(DOCK, "ACCEPT | pallet 1 -> DONE")


class TestMistakes:
    def test_an_empty_pallet_does_not_bar_the_next_one(self, floor):
        floor.play(
            DOCK,
            f"""
            P1 | PALLET | pallet 1 -> DONE
            PALLET | pallet 2 -> DONE; Pallet {n("pallet 2")} is open. Scan its cartons. Pallet {n("pallet 1")} was empty and is closed.
            ACCEPT | pallet 1 -> STOP pallet-empty
            """,
        )

    @pytest.mark.parametrize(
        ("content", "count", "lot", "sentence"),
        [
            (gtin(2), 2, None, f"product {gtin(2)} (the system shows {gtin(1)})"),
            (gtin(1), 99, None, "99 units (the system shows 2)"),
            (gtin(1), 2, code("L", 2), f"lot {code('L', 2)} (the system shows no disc of it there)"),
        ],
    )
    def test_a_label_that_contradicts_the_ledger_is_refused(self, floor, content, count, lot, sentence):
        floor.play(DOCK, "P1 | PALLET | pallet 1 -> DONE")
        label = raw_carton(carton_sscc(1), content, count, lot)
        told = floor.scan(DOCK, label)
        assert (told.finding, told.sentence) == (
            "label-contradicts",
            f"The label of carton {carton_sscc(1)} says {sentence}. Put it aside and tell quality.",
        )
        assert floor.scan(DOCK, raw_carton(carton_sscc(1), gtin(1), 2, code("L", 1))).word.value == "DONE"

    def test_both_scans_of_a_pick_are_compared(self, floor):
        floor.play(LAB, 'RELEASE | L1 | "good -> DONE')
        floor.play(
            DOCK,
            """
            SHIP | O1 | PICK -> NEXT
            carton 1 saying 5 of 1 -> STOP label-contradicts
            carton 1 saying 2 of 1 -> NEXT
            carton 1 saying 3 of 1 -> STOP label-contradicts
            carton 1 saying 2 of 1 -> DONE
            """,
        )

    def test_a_carton_that_is_not_in_order_is_taken_by_the_acts_for_it(self, floor):
        floor.play(DOCK, "COUNT | carton 1 saying 5 of 1 | #2 -> DONE")
        floor.play(DOCK, 'BREAK | carton 1 saying 5 of 1 | "torn -> DONE')


class TestShipping:
    def test_an_accepted_pallet_of_the_right_title_is_shipped(self, accepted):
        accepted.play(
            DOCK,
            f"""
            pallet 1 -> DONE; Pallet {n("pallet 1")} is accepted, 2 cartons, in no location.
            DEPART   -> STOP no-shipment
            SHIP     -> NEXT; Scan the order.
            O9       -> STOP unknown-code; Order {n("O9")} is not in the system.
            L1       -> STOP wrong-thing; You scanned lot card {n("L1")}. Scan an order.
            O2       -> DONE; Shipment {n("D1")} for Shop 2 is open. Scan its pallets.
            DEPART   -> STOP shipment-empty; Shipment {n("D1")} is empty; scan its pallets first.
            SHIP     -> NEXT
            O1       -> DONE; Shipment {n("D1")} is now for Shop 1. Scan its pallets.
            pallet 2 -> STOP unknown-code
            pallet 1 -> DONE; Pallet {n("pallet 1")} is loaded for Shop 1.
            SHIP     -> STOP shipment-open; Shipment {n("D1")} is still being loaded here. Scan DEPART first.
            pallet 1 -> STOP has-a-parent; Pallet {n("pallet 1")} is in shipment {n("D1")} already, for Shop 1, dock 5.
            D1       -> DONE; Shipment {n("D1")} holds 1 pallet.
            D9       -> STOP unknown-code; Shipment {n("D9")} is not in the system.
            carton 1 -> DONE; Carton {n("carton 1")} is closed, 2 of "Paper Comet Arithmetic" EX 101, on pallet {n("pallet 1")}.
            DEPART   -> DONE; Shipment {n("D1")} left for Shop 1 with 1 pallet. Order {n("O1")} is for 50 and has 4 (-46).
            DEPART   -> STOP no-shipment
            """,
        )
        [(status, departed)] = accepted.read("shipment", "status", "departed_at")
        assert (status, departed is not None) == ("shipped", True)
        assert accepted.read("pallet", "status") == [("shipped",)]

    def test_another_title_is_not_loaded(self, accepted):
        accepted.play(
            DOCK,
            f"""
            SHIP | O3 -> DONE
            pallet 1 -> STOP wrong-title; Pallet {n("pallet 1")} holds "Paper Comet Arithmetic" EX 101; order {n("O3")} is for "Nine Pale Windmills" EX 103.
            """,
        )

    def test_a_pallet_not_accepted_is_not_loaded(self, floor):
        floor.play(
            DOCK,
            f"""
            PALLET | pallet 1 | carton 1 | SHIP | O1 -> DONE
            pallet 1 -> STOP pallet-not-accepted; Pallet {n("pallet 1")} is open. Only an accepted pallet can be shipped.
            CLOSE -> DONE
            pallet 1 -> STOP pallet-not-accepted
            """,
        )

    @pytest.mark.parametrize("held", ["pallet 1", "carton 2", "L1", "B1"])
    def test_a_hold_stops_loading_and_departure(self, accepted, held):
        accepted.play(DOCK, "SHIP | O1 -> DONE")
        hold(accepted, held)
        accepted.play(DOCK, "pallet 1 -> STOP on-hold")
        accepted.play(LAB, 'LIFT | H1 | "fine | P2 -> DONE')
        accepted.play(DOCK, "pallet 1 -> DONE")
        hold(accepted, held)
        accepted.play(DOCK, "DEPART -> STOP on-hold")
        accepted.play(LAB, 'LIFT | H2 | "fine | P2 -> DONE')
        accepted.play(DOCK, "DEPART -> DONE")

    def test_a_lot_rejected_after_acceptance_stops_loading_and_departure(self, accepted):
        accepted.play(DOCK, "SHIP | O1 -> DONE")
        accepted.play(LAB, 'REJECT | L1 | "clicks -> DONE')
        accepted.play(DOCK, "pallet 1 -> STOP on-hold")
        accepted.play(LAB, 'LIFT | H1 | "not ours | P2 -> DONE')
        accepted.play(DOCK, "pallet 1 -> STOP lot-not-released")
        accepted.play(LAB, 'OVERRULE | L1 | "not ours | P2 -> DONE')
        accepted.play(DOCK, "pallet 1 -> DONE")
        accepted.play(LAB, 'REJECT | L1 | "ours after all -> DONE')
        accepted.play(DOCK, "DEPART -> STOP on-hold")
        accepted.play(LAB, 'LIFT | L1 | "put aside by hand | P2 -> DONE')
        accepted.play(DOCK, "DEPART -> STOP lot-not-released")


def test_a_bare_scan_asks_for_what_belongs_here(floor):
    floor.play(
        DOCK,
        f"""
        K11 -> STOP wrong-thing; You scanned spindle card {n("K11")}. Scan an action card, a carton label or a pallet label.
        ]C1020{n("sleeve 1")}3705 -> STOP wrong-thing
        """,
    )

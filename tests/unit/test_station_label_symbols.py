"""A plant may want both symbols of a carton label read: the station asks for the other one and compares both with the records."""

import pytest
from support_judged import judged
from support_pins import rebuilds
from support_plant import DOCK, LINE, Floor, n


@pytest.fixture
def floor():
    """A line with sleeves and a spindle open, in a plant that wants both symbols."""
    made = Floor.copy(label_symbols=2)
    made.press(1)
    made.scan(LINE, "P1", "CLEAR", "P2", "B1", "K11")
    return made


@pytest.fixture
def packed(floor):
    """Carton 1 holds 2 units and is closed; pallet 1 is open at the dock."""
    floor.scan(LINE, "carton 1", "content 5 of 1")
    floor.match(1, 2)
    floor.scan(LINE, "CLOSE")
    floor.scan(DOCK, "P1", "PALLET", "pallet 1")
    return floor


ASKED = "Scan the other symbol of this label, with product and count."


class TestAtALine:
    def test_the_carton_opens_with_the_second_symbol(self, floor):
        floor.play(
            LINE,
            f"""
            carton 1 -> NEXT; {ASKED}
            = rows of carton -> 0
            ? -> NEXT; {ASKED} LABEL is not finished.
            content 5 of 1 -> DONE; Carton {n("carton 1")} is open. Scan disc 1. [0 of 5 in carton]
            disc 1.1 | sleeve 1 -> MATCH [1 of 5 in carton]
            """,
        )
        rebuilds(floor)
        assert judged(floor).unforced is None

    def test_a_label_that_says_all_in_one_symbol_is_asked_for_no_other(self, floor):
        floor.play(LINE, "carton 1 saying 5 of 1 -> DONE\ndisc 1.1 -> NEXT")

    def test_a_picture_of_both_symbols_is_one_label(self, floor):
        floor.play(LINE, "shows carton 1 + content 5 of 1 -> DONE")

    def test_the_next_label_closes_a_full_carton_only_with_its_second_symbol(self, floor):
        floor.scan(LINE, "carton 1", "content 5 of 1")
        floor.match(1, 5)
        floor.play(
            LINE,
            f"""
            carton 2 -> NEXT
            = status of carton where sscc {n("carton 1")} -> open
            content 5 of 1 -> DONE
            = status of carton where sscc {n("carton 1")} -> closed
            """,
        )

    def test_another_product_or_count_is_refused_and_says_how_to_get_out(self, floor):
        floor.play(
            LINE,
            f"""
            carton 1 -> NEXT
            content 5 of 2 -> STOP label-contradicts; Carton label {n("carton 1")} says product {n("sleeve 2")}, "Moth Parliament"; here it must say {n("sleeve 1")}, "Paper Comet Arithmetic". Put it aside and take another label. Scan STOP first.
            content 4 of 1 -> STOP label-contradicts
            STOP -> DONE; LABEL cancelled: it was not finished.
            = rows of carton -> 0
            carton 2 -> NEXT
            content 5 of 1 -> DONE
            """,
        )

    def test_nothing_else_is_taken_between_the_two(self, floor):
        floor.play(
            LINE,
            f"""
            carton 1 -> NEXT
            carton 2 -> STOP wrong-thing; You scanned a carton or pallet label {n("carton 2")}. Scan the other symbol of carton label {n("carton 1")}, with product and count.
            carton 2 saying 5 of 1 -> STOP wrong-thing
            disc 1.1 -> STOP wrong-thing
            UNDO -> STOP act-not-finished; LABEL is not finished. {ASKED} Or scan STOP.
            P2 -> STOP wrong-thing
            content 5 of 1 -> DONE
            """,
        )

    def test_a_label_that_may_not_be_used_is_refused_before_anything_is_asked(self, floor):
        floor.play(LINE, "pallet 1 -> STOP wrong-thing\ncarton 1 -> NEXT")


class TestAtADock:
    def test_a_carton_goes_onto_the_pallet_with_the_second_symbol(self, packed):
        packed.play(
            DOCK,
            f"""
            carton 1 -> NEXT; {ASKED}
            ? -> NEXT; {ASKED} LABEL is not finished.
            content 5 of 1 -> STOP label-contradicts; The label of carton {n("carton 1")} says 5 units (the system shows 2). Put it aside and tell quality. Scan CANCEL first.
            content 2 of 1 -> DONE
            = rows of nesting where parent {n("pallet 1")} -> 1
            """,
        )
        rebuilds(packed)
        assert judged(packed).unforced is None

    def test_cancel_leaves_the_pallet_as_it_was(self, packed):
        packed.play(DOCK, "carton 1 -> NEXT\nCANCEL -> DONE\nCLOSE -> STOP pallet-empty")

    def test_looking_a_carton_up_asks_for_nothing(self, packed):
        packed.play(DOCK, "carton 1 | content 2 of 1 | CLOSE -> DONE\ncarton 1 -> DONE")

    def test_no_card_begins_it(self, packed):
        packed.play(DOCK, "LABEL -> STOP act-not-here")
        packed.play(LINE, "LABEL -> STOP act-not-here")


def test_without_the_setting_one_symbol_is_enough():
    floor = Floor.copy()
    floor.press(1)
    floor.play(LINE, "P1 | CLEAR | P2 | B1 | K11 | carton 1 -> DONE")

"""Whole stretches of a day at line and dock in the small notation: each rule with what it takes and what it refuses."""

import pytest
from support_dock import plant, stocked
from support_plant import Floor, code, n

from tracelink.ledger.entry import Stamp
from tracelink.store.office import order_book


def stamp(at="2031-03-03T12:00:00+01:00"):
    return Stamp(at, "2031-03-03T11:00:00Z", person=code("P", 1))


@pytest.fixture
def floor() -> Floor:
    """Cartons 1 and 2 closed, carton 3 open at the first line, lots released."""
    return stocked(plant())


def test_a_closed_carton_is_reopened_at_the_line_only_while_it_is_the_lines(floor):
    with floor.ledger.writing() as booking:
        order_book.allocate(booking, n("O1"), stamp())
    floor.day(
        """
        12:00 LINE
          CLOSE -> DONE
          REOPEN -> NEXT
          carton 1 -> STOP kept-for-an-order; Carton {carton 1} is kept for order {O1} as it is. Have that released first.
          STOP -> DONE
        """
    )
    with floor.ledger.writing() as booking:
        order_book.release(booking, n("O1"), stamp(), "changed")
    floor.day(
        """
        12:10 DOCK
          PUT | carton 2 | Y1 -> DONE
          PALLET | pallet 1 | carton 1 -> DONE
        12:12 LINE
          REOPEN -> NEXT
          carton 1 -> STOP has-a-parent; Carton {carton 1} is on pallet {pallet 1}, which is open. The dock takes it off first.
        12:13 DOCK
          CLOSE | ACCEPT | pallet 1 -> DONE
        12:14 LINE
          carton 1 -> STOP has-a-parent; Carton {carton 1} is on pallet {pallet 1}, which is accepted. The dock reopens the pallet and takes it off first.
        12:15 DOCK
          SHIP | O1 | pallet 1 | DEPART -> DONE
        12:16 LINE
          carton 1 -> STOP has-a-parent; Carton {carton 1} is on pallet {pallet 1}, which is shipped. What comes back is booked by the dock.
          carton 2 | "one too few -> DONE; Carton {carton 2} is open again with 2 units. [2 of 5 in carton]
          = rows of nesting where child {carton 2}, closed_seq none -> 0
          CLOSE -> DONE
        12:20 DOCK
          SHIP | O1 | PICK | carton 2 | carton 2 -> DONE
        12:21 LINE
          REOPEN -> NEXT
          carton 2 -> STOP has-a-parent; Carton {carton 2} is in shipment {D2} for Shop 1, dock 5, which is being loaded. The dock unloads it first.
        12:22 DOCK
          DEPART -> DONE
        12:23 LINE
          carton 2 -> STOP has-a-parent; Carton {carton 2} is in shipment {D2} for Shop 1, dock 5, which has left. What comes back is booked by the dock.
        """
    )


def test_a_reject_is_taken_back_while_it_is_the_last_act(floor):
    floor.day(
        """
        12:00 LINE
          disc 1.1 -> NEXT
          REJECT -> DONE; One disc of spindle {K11} goes to scrap.
          UNDO -> DONE; The reject is taken back: put the disc back on spindle {K11}.
          = quantity of stock where place {K11} -> 6
          = quantity of stock where place scrap, lot {L1} -> 0
          disc 1.1 | sleeve 1 -> MATCH [1 of 5 in carton]
          disc 1.1 | REJECT -> DONE
          disc 1.1 | sleeve 1 -> MATCH [2 of 5 in carton]
          (The match after it is taken back first; the reject stands.)
          UNDO -> DONE; The last match is taken back: put disc 1 back on spindle {K11}.
          UNDO -> STOP nothing-to-undo
          = quantity of stock where place scrap, lot {L1} -> 1
          disc 1.1 | REJECT | P2 -> DONE; Ben is signed on. Scan disc 1.
          UNDO -> STOP nothing-to-undo
        """
    )


def test_a_close_is_taken_back_unless_somebody_else_has_the_carton(floor):
    floor.day(
        """
        12:00 LINE
          disc 1.1 | sleeve 1 | CLOSE -> DONE
          UNDO -> DONE; Carton {carton 3} is open again with 1 unit. [1 of 5 in carton]
          disc 1.1 | sleeve 1 -> MATCH [2 of 5 in carton]
          CLOSE -> DONE
        12:05 DOCK
          PALLET | pallet 1 | carton 3 -> DONE
        12:06 LINE
          UNDO -> STOP has-a-parent; Carton {carton 3} is on pallet {pallet 1}, which is open. The dock takes it off first.
        12:07 DOCK
          UNSTACK | carton 3 | "back -> DONE
        12:08 LAB
          HOLD | carton 3 | "doubtful -> DONE
        12:09 LINE
          UNDO -> STOP on-hold
        12:10 LAB
          LIFT | H1 | "fine | P2 -> DONE
        12:11 DOCK
          BREAK | carton 3 | "torn -> DONE
        12:12 LINE
          UNDO -> STOP carton-not-closed; Carton {carton 3} is broken now: its CLOSE cannot be taken back.
          carton 3 -> STOP label-in-use
          carton 5 -> DONE
          UNDO -> DONE; Carton label {carton 5} is free again.
          UNDO -> STOP nothing-to-undo
        """
    )


def test_the_label_of_the_next_carton_closes_a_full_one_and_no_other(floor):
    floor.day(
        """
        12:00 LINE
          disc 1.1 | sleeve 1 -> MATCH [1 of 5 in carton]
          carton 5 -> STOP carton-open; Carton {carton 3} is still open. Scan CLOSE first.
          disc 1.1 | sleeve 1 x 4 -> MATCH; Carton is full: scan CLOSE, or the next carton label. [5 of 5 in carton]
          carton 1 -> STOP label-in-use
          carton 5 -> DONE; Carton {carton 3} is closed with 5 units. Carton {carton 5} is open. Scan disc 1. [0 of 5 in carton]
          = status of carton where sscc {carton 3} -> closed
          UNDO -> DONE; Carton label {carton 5} is free again.
          UNDO -> STOP nothing-to-undo
        """
    )


def test_an_evening_of_returns(floor):
    """What came back, with a carton and without, sleeve by sleeve, until it is stock again or gone."""
    floor.day(
        """
        15:00 DOCK
          SHIP | O3 | PICK | carton 4 | carton 4 | DEPART -> DONE
          SHIP | O1 | PICK | carton 1 | carton 1 | DEPART -> DONE
        17:00 DOCK
          sleeve 3 no 1 -> STOP wrong-carton
          RETURN | carton 4 | "dented -> DONE; Return 1: carton {carton 4} is back from Shop 3 and in quarantine. It is a numbered edition: scan each sleeve now.
          sleeve 3 no 1 -> DONE; Return 1: number 1 of "Nine Pale Windmills" is back. [1 of 1 numbers]
          sleeve 3 no 1 -> STOP duplicate-number
          RETURNNOMARK | "EX-101-A | #1 -> DONE; Return 2: 1 disc EX-101-A of lot {L1}, in quarantine.
          RETURNNOMARK | "EX-101-A | #2 -> STOP more-than-shipped
          RESTOCKLOOSE | #2 | K77 | "new -> DONE; 1 disc of return 2 is inspected and on spindle {K77}, to be packed again.
          RESTOCKLOOSE | #3 -> STOP lot-unknown
          CANCEL -> DONE
          DESTROY | carton 4 | "wet | P2 -> DONE; Carton {carton 4} with 1 disc destroyed before a witness. 1 number destroyed with it.
          sleeve 3 no 1 -> STOP destroyed-number
          = fate of number_fate by seq -> returned; destroyed
          = status of return_line by number -> destroyed; restocked; quarantine
        17:30 LINE
          K77 -> DONE
          disc 1.1 | sleeve 1 -> MATCH
        """
    )


def test_counts_by_hand_and_what_they_bring(floor):
    floor.day(
        """
        16:00 LAB
          COUNT | K11 | #6 -> DONE
          COUNT | K11 | #5 -> STOP count-differs
          = subject, difference of investigation -> {L1} 1
        16:05 DOCK
          COUNT | carton 1 -> NEXT
          "nonsense -> STOP wrong-count
          CANCEL | COUNT | carton 1 | #2 -> DONE
          OPENCHECK | carton 2 | #1 -> STOP count-differs
          = rows of investigation -> 1
        """
    )

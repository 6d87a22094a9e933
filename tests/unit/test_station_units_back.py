"""Units that come back from a customer under their serial labels, are tested again and are sent again."""

import pytest
from support_assembly import BENCH, UNIT, built_floor, play
from support_plant import DOCK, LAB, carton_sscc, n
from support_schema import empty_ledger

from tracelink.store.journal import journal
from tracelink.store.journal.rebuild import differences, replay
from tracelink.store.stations.judge_again import judge_again

SENT = f"""
BUILD | N2 | "{UNIT} | U201 | #5 | #1 | JOIN | U201 | U101 | F4 | JOIN | U202 | U116 | F4 | JOIN | U203 | U103 | F4 -> DONE
PASS | U201 | "final 2.1 | PASS | U202 | "final 2.1 | PASS | U203 | "final 2.1 -> DONE
PACK | carton 1 | U201 | U202 | carton 1 | PACK | carton 2 | U203 | carton 2 -> DONE
12:00 DOCK
P1 | PALLET | pallet 1 | carton 1 | CLOSE | ACCEPT | pallet 1 -> DONE
SHIP | O9 | PICK | pallet 1 | pallet 1 | DRIVER | "Dee | DEPART -> DONE
"""


@pytest.fixture
def floor():
    """Two units of carton 1 with a customer, one in carton 2 in the plant."""
    made = built_floor()
    play(made, SENT, BENCH)
    return made


def all_forced(floor):
    with floor.ledger.reading() as conn:
        judged = judge_again(conn)
    return (judged.unforced, judged.not_judged, judged.left) == (None, 0, 0)


def test_a_unit_comes_back_and_goes_out_through_a_test_only(floor):
    play(
        floor,
        f"""
        UNITBACK -> NEXT; Scan the serial label of the piece.
        U203 -> STOP not-shipped; The system shows that {n("U203")} is in carton {carton_sscc(2)}, and that has not left. Check the \
label before you book it in.
        U116 -> STOP used-already; {n("U116")} is in {n("U202")}. Scan the serial label of {n("U202")}.
        U204 -> STOP not-shipped; The system shows that {n("U204")} is in no carton. Check the label before you book it in.
        U202 -> NEXT
        "arm loose -> DONE; {n("U202")}, turntable, is back from Example Shop 9 and in quarantine. It comes out through a test \
only: PASS or FAIL, or DRAWUNIT at the lab.
        UNITBACK | U202 -> STOP not-shipped
        CANCEL -> DONE
        14:00 BENCH
        PACK | carton 3 | U202 -> STOP not-tested
        CANCEL | U202 -> DONE; {n("U202")}, {UNIT}, turntable, piece 2 of build order {n("N2")}: returned, 5 parts in it.
        FAIL | U202 | "final 2.1 | "arm loose | "- -> STOP test-failed
        OUT | U202 | U116 | "scrap | "burnt -> DONE
        JOIN | U202 | U104 -> DONE
        PASS | U202 | "final 2.1 -> DONE; {n("U202")} passed final 2.1, back from rework.
        PACK | carton 3 | U202 | carton 3 -> DONE
        """,
        DOCK,
    )
    assert floor.read("unit_return", "piece", "carton") == [(n("U202"), carton_sscc(1))]
    assert floor.read("carton", "sscc", "units", order="sscc") == [
        (carton_sscc(1), 1),
        (carton_sscc(2), 1),
        (carton_sscc(3), 1),
    ]
    assert floor.read("nesting", "parent", child=n("U202"), closed_seq=None) == [(carton_sscc(3),)]
    assert all_forced(floor)


def test_a_unit_that_is_with_a_customer_is_not_tested(floor):
    told = (
        f"The system shows that {n('U201')} has left the plant in carton {carton_sscc(1)}. If it is back, scan UNITBACK at the \
dock first."
    )
    play(
        floor, f"FAIL | U201 -> STOP shipment-left; {told}\nCANCEL | PASS | U201 -> STOP shipment-left", BENCH
    )
    assert all_forced(floor)


def test_a_unit_that_came_back_is_drawn_by_the_lab(floor):
    play(floor, 'UNITBACK | U201 | "hums -> DONE', DOCK)
    play(floor, f"P1 -> DONE\nDRAWUNIT | U201 -> DONE; {n('U201')}, {UNIT}, turntable, piece 1 ...", LAB)
    assert floor.read("nesting", "parent", child=n("U201"), closed_seq=None) == []
    assert all_forced(floor)


def test_a_carton_of_units_says_how_they_come_back(floor):
    play(
        floor,
        f"""
        RETURN | carton 1 -> STOP carton-empty; The system shows no disc in carton {carton_sscc(1)}. Units come back one by one: \
scan CANCEL, then UNITBACK and the serial label of each.
        """,
        DOCK,
    )


def test_what_came_back_replays_into_the_same_tables(floor):
    play(floor, 'UNITBACK | U201 | "hums | UNITBACK | U202 | "hums -> DONE', DOCK)
    floor.ledger.verify()
    with floor.ledger.reading() as live, empty_ledger().begin() as fresh:
        replay(fresh, journal.rows(live), [])
        assert differences(live, fresh) == []

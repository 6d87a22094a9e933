"""CORRECTLOAD: a shipment that has left is put right by two people, either way, and the order's balance is told."""

import pytest
from support_asking import contain
from support_dock import statuses, stocked
from support_judged import judged
from support_pins import rebuilds
from support_plant import DOCK, DOCK_2, LAB, START, Floor, n

from tracelink.genealogy.containment.holdings import lot_holdings
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.services.desks import warehouse
from tracelink.store.records.sql_records import SqlRecords


@pytest.fixture
def floor():
    """Pallet 1 with carton 1 and pallet 2 with carton 2 are accepted, in rack 1; pallet 1 has left for Shop 1."""
    made = stocked(Floor.copy())
    for number in (1, 2):
        made.play(
            DOCK,
            f"PALLET | pallet {number} | carton {number} | CLOSE | ACCEPT | pallet {number} | PUT | pallet {number} | Y1 -> DONE",
        )
    made.play(DOCK, "SHIP | O1 | pallet 1 | DEPART -> DONE")
    return made


def packed(floor):
    """The cartons of the shipment, and what its order has, by the packing list."""
    with floor.ledger.reading() as conn:
        found = warehouse.packing_list(conn, n("D1"))
    return sorted(one.sscc for one in found.cartons), [line.difference for line in found.lines]


def test_what_is_in_the_shipment_stayed_here(floor):
    floor.play(
        DOCK,
        f"""
        CORRECTLOAD -> NEXT; Scan the shipment that left.
        D1 -> NEXT; Scan the pallet or the carton.
        pallet 1 -> NEXT; The system shows pallet {n("pallet 1")} in shipment {n("D1")}: it will be booked as still here. Type " and then the reason.
        "found in rack 2 -> NEXT; Scan the badge of a second person with the role quality.
        P1 -> STOP same-person
        P2 -> DONE; Pallet {n("pallet 1")} stayed here and is not in shipment {n("D1")} for Shop 1. Order {n("O1")} is for 50 and has 0 (-50).
        """,
    )
    assert statuses(floor, "pallet")[n("pallet 1")] == "accepted"
    assert packed(floor) == ([], [-50])
    floor.play(DOCK, "PUT | pallet 1 | Y1 | SHIP | O1 | pallet 1 | DEPART -> DONE")
    rebuilds(floor)
    assert judged(floor).unforced is None


def test_what_is_here_went_with_it(floor):
    floor.play(
        DOCK,
        f"""
        CORRECTLOAD | D1 | pallet 2 -> NEXT; The system does not show pallet {n("pallet 2")} in shipment {n("D1")}: it will be booked as gone with that shipment. Type " and then the reason.
        "the driver took it | P2 -> DONE; Pallet {n("pallet 2")} went with shipment {n("D1")} for Shop 1. Order {n("O1")} is for 50 and has 4 (-46).
        """,
    )
    assert statuses(floor, "pallet")[n("pallet 2")] == "shipped"
    assert packed(floor) == ([n("carton 1"), n("carton 2")], [-46])
    floor.play(DOCK, f"Y1 -> DONE; Location {n('Y1')} (rack 1) is empty.")
    floor.play(DOCK, 'RETURN | pallet 2 | "wrong pallet -> DONE')
    rebuilds(floor)
    assert judged(floor).unforced is None


def test_the_wrong_pallet_is_put_right_in_two_steps(floor):
    """Pallet 2 went instead of pallet 1."""
    floor.play(DOCK, 'CORRECTLOAD | D1 | pallet 1 | "still here | P2 -> DONE')
    floor.play(DOCK, 'CORRECTLOAD | D1 | pallet 2 | "went instead | P2 -> DONE')
    assert packed(floor) == ([n("carton 2")], [-48])


def test_a_carton_off_a_pallet_that_left_stayed_here(floor):
    floor.play(
        DOCK,
        f"""
        CORRECTLOAD | D1 | carton 1 | "fell off | P2 -> DONE; Carton {n("carton 1")} stayed here and is not in shipment {n("D1")} for Shop 1. Order {n("O1")} is for 50 and has 0 (-50).
        carton 1 -> DONE; Carton {n("carton 1")} is closed, 2 of "Paper Comet Arithmetic" EX 101, in no location.
        """,
    )


def test_a_loose_carton_went_along(floor):
    floor.play(
        DOCK,
        f"""
        CORRECTLOAD | D1 | carton 3 -> STOP carton-open
        CANCEL | CORRECTLOAD | D1 -> NEXT
        carton 2 -> STOP has-a-parent; The system shows carton {n("carton 2")} on pallet {n("pallet 2")}. Check where it is before you go on.
        """,
    )


@pytest.mark.parametrize(
    ("scans", "refused"),
    [
        ("D9", "unknown-code"),
        ("L1", "wrong-thing"),
        ("D1 | pallet 9", "unknown-code"),
        ("D1 | carton 9", "unknown-code"),
    ],
)
def test_what_cannot_be_is_refused(floor, scans, refused):
    *before, last = scans.split(" | ")
    floor.play(DOCK, " | ".join(["CORRECTLOAD", *before]) + " -> NEXT\n" + f"{last} -> STOP {refused}")


def test_a_shipment_that_is_still_here_is_loaded_and_unloaded(floor):
    floor.play(DOCK, "SHIP | O1 | pallet 2 -> DONE")
    floor.play(
        DOCK_2,
        f"""
        CORRECTLOAD -> NEXT
        D2 -> STOP shipment-open; Shipment {n("D2")} has not left. Load what is missing, or scan UNLOAD for what is wrong.
        D1 -> NEXT
        pallet 2 -> STOP has-a-parent
        """,
    )


def test_what_was_booked_here_since_cannot_have_gone(floor):
    floor.play(DOCK, "MOVE | pallet 2 | Y2 | CORRECTLOAD | D1 -> NEXT")
    told = floor.scan(DOCK, "pallet 2")
    assert told.finding == "has-a-parent"
    assert told.sentence.endswith(f"after shipment {n('D1')} left. Look for it again.")


def test_a_pallet_that_was_built_since_cannot_have_gone(floor):
    floor.play(
        DOCK,
        f"""
        PALLET | pallet 3 | carton 4 | CORRECTLOAD | D1 -> NEXT
        pallet 3 -> STOP pallet-open; The system shows pallet {n("pallet 3")} as still open here: it cannot have left. Check the label.
        CANCEL | CLOSE | CORRECTLOAD | D1 -> NEXT
        pallet 3 -> STOP has-a-parent
        """,
    )


def test_what_is_in_another_shipment_is_told_where_it_is(floor):
    floor.play(
        DOCK,
        f"""
        SHIP | O1 | pallet 2 | DEPART -> DONE
        CORRECTLOAD | D1 -> NEXT
        pallet 2 -> STOP has-a-parent; The system shows pallet {n("pallet 2")} in shipment {n("D2")} for Shop 1, dock 5. Check where it is before you go on.
        """,
    )


def test_what_is_gone_is_booked_although_it_was_on_hold_and_is_told_at_once(floor):
    floor.play(LAB, 'HOLD | carton 2 | "scratched -> DONE')
    floor.play(
        DOCK,
        f"""
        CORRECTLOAD | D1 | pallet 2 | "it is gone | P2 -> STOP on-hold; Pallet {n("pallet 2")} went with shipment {n("D1")} for Shop 1. Order {n("O1")} is for 50 and has 4 (-46). It is on hold: scratched (hold {n("H1")} on {n("carton 2")}). Tell quality at once.
        """,
    )
    assert packed(floor)[0] == [n("carton 1"), n("carton 2")]


def test_what_was_not_ordered_is_told(floor):
    floor.play(DOCK, 'CORRECTLOAD | D1 | carton 4 | "it is gone | P2 -> STOP wrong-title')


def test_the_second_person_has_the_role_quality(floor):
    floor.play(DOCK, 'CORRECTLOAD | D1 | pallet 1 | "still here -> NEXT\nP3 -> STOP wrong-role')


class TestScope:
    """A scope and its limits see what really left, as of the departure."""

    def shipped(self, floor, *places):
        with floor.ledger.reading() as conn:
            scope = contain(SqlRecords(conn), n("L1"), Shape.WHOLE_LIFE)
        asked = {n(place) for place in places}
        return {held.code: bool(held.shipped) for held in scope.containers if held.code in asked}

    def test_what_went_is_with_the_consignee_and_what_stayed_is_not(self, floor):
        before = self.shipped(floor, "carton 1", "carton 2")
        floor.play(
            DOCK,
            'CORRECTLOAD | D1 | pallet 1 | "here | P2 | CORRECTLOAD | D1 | pallet 2 | "gone | P2 -> DONE',
        )
        assert before == {n("carton 1"): True, n("carton 2"): False}
        assert self.shipped(floor, "carton 1", "carton 2") == {n("carton 1"): False, n("carton 2"): True}

    def test_loose_discs_that_came_back_in_between_can_be_of_what_went_only(self, floor):
        """Booked before the correction, of discs that left before it."""
        floor.at = START.replace("08:00", "09:00")
        floor.play(DOCK, 'RETURNNOMARK | "EX-101-A | #1 -> DONE')
        floor.play(
            DOCK,
            'CORRECTLOAD | D1 | pallet 1 | "here | P2 | CORRECTLOAD | D1 | pallet 2 | "gone | P2 -> DONE',
        )
        # Strokes 1 to 10 are those of spindle K11, from which both cartons were packed.
        with floor.ledger.reading() as conn:
            records = SqlRecords(conn)
            held = lot_holdings(records, n("L1"), StrokeSet.between(1, 10), StrokeSet())
            senders = [places for _move, places in _senders(records)]
        assert held.conflicts == ()
        assert senders == [(n("carton 2"),)]


def _senders(records):
    from tracelink.genealogy.flow.sent import senders_of  # noqa: PLC0415  one question

    return list(senders_of(records, records.movements_of(n("L1"))))

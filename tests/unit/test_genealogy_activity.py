"""What a station or a person did, laid out as lives: end to end, from the first disc on, and what stood in what then."""

import pytest
from support_genealogy_plant import move
from support_memory import MemoryRecords

from tracelink.genealogy.flow.conflict import Conflict, conflicts_of
from tracelink.genealogy.flow.network import NetworkStep
from tracelink.genealogy.flow.sent import senders_of
from tracelink.genealogy.model.facts import (
    ActFact,
    LotFact,
    NestFact,
    ReadingFact,
    SegmentFact,
    ShipmentFact,
)
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.suspects.activity import PERSON, STATION, Period, doings_of
from tracelink.genealogy.suspects.closure import closure_of

EVER = Period(None, None)


def at(hour):
    return f"2031-03-04T{hour:02d}:00:00+01:00"


def lot(code, pressed):
    return LotFact(code, "9520000012342", 1, "Moth Parliament", "W1", pressed, "pressed")


def read(seq, code, before, counter, person="P7"):
    return ActFact(seq, "stack-taken", "W1", person, at(seq), at(seq), ReadingFact(code, before, counter))


def laid(axis):
    """Lot, strokes and positions of each stretch."""
    return [(one.lot, str(one.strokes), one.positions.first, one.positions.last) for one in axis.stretches]


@pytest.fixture
def pressed():
    """A press reads lot 1 at 20 and 50, then lot 2 at 30; nothing was stacked, so no movement says a stroke."""
    return MemoryRecords(
        lots=[lot("L1", 50), lot("L2", 30)],
        stations={"W1": "press"},
        people={"P7": "Ada", "P8": "Ben"},
        acts=[read(1, "L1", 0, 20), read(2, "L1", 20, 50, "P8"), read(3, "L2", 0, 30)],
    )


def test_the_discs_of_a_press_lie_end_to_end_from_the_first_one_on(pressed):
    assert laid(doings_of(pressed, "W1", STATION, EVER).pressed) == [
        ("L1", "1-20", 1, 20), ("L1", "21-50", 21, 50), ("L2", "1-30", 51, 80),
    ]  # fmt: skip


def test_a_person_pressed_what_that_person_read(pressed):
    assert laid(doings_of(pressed, "P7", PERSON, EVER).pressed) == [
        ("L1", "1-20", 1, 20),
        ("L2", "1-30", 21, 50),
    ]
    assert laid(doings_of(pressed, "P8", PERSON, EVER).pressed) == [("L1", "21-50", 1, 30)]


def test_what_was_put_somewhere_on_its_pallet_is_what_stood_on_it_then():
    """At entry 60 pallet Q is put away: A and D stand on it, B came off before, C came on later, F came off at that very entry."""
    records = MemoryRecords(
        stations={"W6": "dock"},
        acts=[ActFact(60, "put-away", "W6", "P7", at(9), at(9))],
        nests=[
            NestFact("Q", "Y1", 60, None),
            NestFact("A", "Q", 50, None),
            NestFact("B", "Q", 50, 55),
            NestFact("C", "Q", 61, None),
            NestFact("D", "Q", 50, 65),
            NestFact("F", "Q", 50, 60),
        ],
    )
    assert sorted(doings_of(records, "W6", STATION, EVER).stood) == [
        (60, "A"),
        (60, "D"),
        (60, "Q"),
    ]


def test_what_was_left_in_a_hopper_lies_right_behind_what_was_made_with_the_lot():
    def segment(code, first, last, compound, seq):
        return SegmentFact(code, first, last, "W1", "T1", "T2", 0, 0, compound, "E1", "E2", seq)

    records = MemoryRecords(
        lots=[lot("L1", 300), lot("L2", 100)],
        segments=[
            segment("L1", 1, 100, "C1", 1),
            segment("L1", 101, 300, "C2", 2),
            segment("L2", 1, 100, "C2", 3),
        ],
        settings={"hopper_g": 25000, "disc_g": 160, "carry_over_permille": 10, "hopper_tanks": 1},
    )
    [axis] = closure_of(records, "C1").axes
    assert laid(axis) == [("L1", "1-100", 1, 100), ("L1", "101-300", 101, 300), ("L2", "1-100", 301, 400)]


def test_a_carton_put_on_a_pallet_after_it_left_gave_nothing_up():
    """Pallet Q with carton A left at 10; B stands on a pallet of the same label since entry 20."""
    records = MemoryRecords(
        nests=[NestFact("A", "Q", 5, None), NestFact("Q", "D1", 6, None), NestFact("B", "Q", 20, None)],
        shipments=[ShipmentFact("D1", "O1", "Shop 1", "DE", "2031-03-03T10:00:00+01:00", 10)],
    )
    moves = [
        move(2, "L1", 4, "K1", "A"), move(3, "L1", 4, "K1", "B"), move(30, "L1", 1, "customers", "returned"),
    ]  # fmt: skip
    [(brought, places)] = senders_of(records, moves)
    assert (brought.seq, places) == (30, ("A",))


def test_a_movement_that_contradicts_what_was_pressed_is_a_conflict_by_itself():
    steps = [NetworkStep.of(move(1, "L1", 9, "counter", "K1"))]
    assert conflicts_of(StrokeSet.between(1, 4), steps) == [Conflict((0,), irreducible=True)]

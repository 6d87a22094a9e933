"""Suspect discs in the plant: what stops each, asked as the stations ask."""

import pytest
from support_asking import contain
from support_plant import LAB, PRESS, Floor, n, stamper

from tracelink.genealogy.containment.in_plant import free_to_ship, stopped_by_kind, stopped_together
from tracelink.genealogy.containment.scope import bounds_of
from tracelink.genealogy.model.shapes import Shape
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced, LotDecided
from tracelink.store.records.free_to_ship import in_plant
from tracelink.store.records.sql_records import SqlRecords


@pytest.fixture
def floor():
    """Two spindles of ten; stroke 3 good, stroke 15 bad; three discs in an open carton."""
    floor = Floor.copy()
    floor.press(1)
    floor.scan(LAB, "P1", "SAMPLE", "L1", "S1", "#3", "K11", "GOOD", "S1", "SAMPLE", "L1", "S2", "#15", "K12")
    floor.scan(LAB, "BAD", "S2", '"scratch')
    floor.open_line(1, [11], 1)
    floor.match(1, 3)
    return floor


def asked(floor):
    with floor.ledger.reading() as conn:
        scope = contain(SqlRecords(conn), stamper("EX-101-A"), Shape.FROM_ONSET)
        return {row.code: row for row in in_plant(conn, scope)}


def test_without_a_hold_everything_but_samples_is_free_or_waits_for_a_release(floor):
    rows = asked(floor)
    assert {row.code for row in free_to_ship(rows.values())} == {n("K11"), n("K12")}
    assert rows[n("S2")].bar == "a sample of the lab; no line packs it"
    assert rows[n("carton 1")].bar == f"lot {n('L1')} is not released; the dock takes only released lots"
    assert (rows[n("K11")].least, rows[n("K11")].most) == (0, 6)
    assert next(iter(rows.values())).is_free, "what is free comes first"


def test_a_released_lot_frees_its_cartons(floor):
    with floor.ledger.writing() as booking:
        stamp = Stamp(floor.at, "2031-03-03T07:00:01Z", person=n("P1"))
        booking.record(LotDecided(n("L1"), "released", n("P2")), stamp, "within limits")
    assert asked(floor)[n("carton 1")].is_free


def test_what_is_free_is_bounded_together_and_not_added_up(floor):
    """Strokes 4 to 10 of K11 may be bad; three of its ten discs are in a carton, and nobody knows which."""
    with floor.ledger.writing() as booking:
        stamp = Stamp(floor.at, "2031-03-03T07:00:01Z", person=n("P1"))
        booking.record(LotDecided(n("L1"), "released", n("P2")), stamp, "within limits")
    with floor.ledger.reading() as conn:
        scope = contain(SqlRecords(conn), stamper("EX-101-A"), Shape.FROM_ONSET)
        rows = in_plant(conn, scope)
    free = [row for row in rows if row.is_free and row.code != n("K12")]
    assert sorted((row.code, row.most) for row in free) == sorted([(n("K11"), 6), (n("carton 1"), 3)])
    found = {each.stopped_by: each for each in stopped_together(rows, scope.holdings)}
    codes = [row.code for row in rows if row.is_free]
    assert found[""].bound.most == bounds_of(scope, codes).most < sum(row.most for row in rows if row.is_free)
    assert found[""].items == len(codes)
    kinds = {(each.kind, each.stopped_by): each.items for each in stopped_by_kind(rows, scope.holdings)}
    assert kinds == {("sample", "a sample of the lab; no line packs it"): 1}


@pytest.mark.parametrize("held", ["K11", "L1"])
def test_a_hold_stops_what_it_names_and_what_the_lot_is_in(floor, held):
    floor.scan(LAB, "HOLD", held, '"looks warped')
    rows = asked(floor)
    assert rows[n("K11")].hold is not None
    assert not rows[n("K11")].is_free
    assert rows[n("K12")].is_free == (held == "K11")
    assert (rows[n("carton 1")].hold is not None) == (held == "L1")


def test_a_rejected_lot_is_barred(floor):
    floor.play(LAB, 'REJECT | L1 | "scratch -> DONE')
    rows = asked(floor)
    assert {row.bar for row in rows.values() if row.kind == "spindle"} == {f"lot {n('L1')} is rejected"}
    # Wherever its discs are, at the press too, the hold of the rejection names them.
    assert {row.hold for row in rows.values() if row.kind != "sample"} == {n("H1")}


def test_discs_at_the_press_are_free_until_every_suspect_stroke_is_held():
    floor = Floor.copy()
    matrices = ("EX-101-A", "EX-101-B")
    floor.scan(PRESS, "P1", "SETUP", "L1", *map(stamper, matrices), "C1", "E1", "E2")
    floor.scan(PRESS, "START", *(f'"{text}' for text in matrices), "STACK", "K11", "#10", "STOP", "#20")
    floor.scan(LAB, "P1")
    at_press = asked(floor)[DiscPlace.COUNTER]
    assert (at_press.lot, at_press.pieces, at_press.least, at_press.most) == (n("L1"), 10, 0, 10)
    assert at_press.is_free
    with floor.ledger.writing() as booking:
        stamp = Stamp(floor.at, "2031-03-03T07:00:01Z", person=n("P1"))
        booking.record(HoldPlaced(n("H1"), n("L1"), (HeldItem(n("L1"), 1, 19),)), stamp, "scratch")
    assert asked(floor)[DiscPlace.COUNTER].is_free, "stroke 20 is not held"
    with floor.ledger.writing() as booking:
        booking.record(HoldPlaced(n("H2"), n("L1"), (HeldItem(n("L1"), 20, 20),)), stamp, "scratch")
    assert asked(floor)[DiscPlace.COUNTER].hold == n("H1")

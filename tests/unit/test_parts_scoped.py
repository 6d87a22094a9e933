"""A bad reel is traced and contained from the part lot to the pallet, held, and its parts add up, through real stations."""

import re

import pytest
from support_assembly import BENCH, OVEN, UNIT, built_floor, play
from support_plant import START, carton_sscc, code, n, pallet_sscc

from tracelink.errors import UsageError
from tracelink.genealogy.containment.contain import contain
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.wanted_holds import HoldItem, holds_for
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.ledger.entry import Stamp
from tracelink.report.pages.drill_document import drill_text
from tracelink.services.balancing import balance
from tracelink.services.drill import hold_drill
from tracelink.store.journal.verify import examine
from tracelink.store.office.board import board
from tracelink.store.records.drill_rows import held_drills
from tracelink.store.records.sql_records import SqlRecords


@pytest.fixture(scope="module")
def floor():
    """Two units with boards 1 and 16, tested, packed and on a pallet."""
    made = built_floor()
    play(
        made,
        f"""
        BUILD | N2 | "{UNIT} | U201 | #4 | #1 | JOIN | U201 | U101 | F4 | JOIN | U202 | U116 | F4 -> DONE
        PASS | U201 | "final 2.1 | PASS | U202 | "final 2.1 | PACK | carton 1 | U201 | U202 | carton 1 -> DONE
        12:00 DOCK
        P1 | PALLET | pallet 1 | carton 1 -> DONE
        """,
        BENCH,
    )
    return made


def scope_of(floor, code):
    with floor.ledger.reading() as conn:
        return contain(SqlRecords(conn), ContainmentQuery(n(code), Shape.INTERMITTENT))


def bounds(scope):
    return {one.code: (one.least, one.most) for one in (*scope.containers, *scope.groups) if one.most}


def test_a_part_lot_at_the_end_of_a_reel_is_in_the_boards_that_took_those_positions(floor):
    scope = scope_of(floor, "M4")
    assert [(tier.lot, str(tier.strokes)) for tier in scope.tiers] == [(n("F1"), "31-40")]
    assert bounds(scope) == {
        f"{n('N1')} 11-20": (0, 8),
        n("U116"): (0, 2),
        n("U202"): (0, 2),
        carton_sscc(1): (0, 2),
        pallet_sscc(1): (0, 2),
    }
    assert scope.gaps == ()
    assert scope.reasons[-1].endswith("Some are for certain in 0 labelled pieces, and may be in 1.")


def test_a_part_lot_on_two_reels_is_followed_over_both(floor):
    scope = scope_of(floor, "M1")
    assert [(tier.lot, str(tier.strokes)) for tier in scope.tiers] == [(n("F1"), "1-30"), (n("F3"), "1-50")]
    assert bounds(scope)[carton_sscc(1)] == (0, 2)
    assert n("U116") not in bounds(scope)


def test_a_board_is_where_its_unit_is(floor):
    scope = scope_of(floor, "U116")
    assert bounds(scope) == {
        n("U116"): (0, 1),
        n("U202"): (0, 1),
        carton_sscc(1): (0, 1),
        pallet_sscc(1): (0, 1),
    }


def test_what_a_scope_holds_names_pieces_by_number_and_positions_of_the_reel(floor):
    items = holds_for(scope_of(floor, "M4"))
    assert HoldItem(n("N1"), 11, 20) in items
    assert HoldItem(n("F1"), 31, 40) in items
    assert HoldItem(n("U116"), None, None) in items


def test_a_unit_is_traced_back_to_part_lots_and_a_part_lot_forward_to_the_pallet(floor):
    with floor.ledger.reading() as conn:
        records = SqlRecords(conn)
        back = {(edge.parent, edge.relation, edge.child) for edge in trace_back(records, n("U202")).edges}
        ahead = [(edge.parent, edge.relation, edge.child) for edge in trace_forward(records, n("M4")).edges]
        order = {node.code for node in trace_back(records, n("N1")).nodes}
    assert {
        (n("U202"), "in", n("U116")),
        (n("U116"), "is in from", f"{n('N1')} 11-20"),
        (f"{n('N1')} 11-20", "off the reel", n("F1")),
        (n("F1"), "made of", n("M4")),
        (n("U202"), "off the reel", n("F4")),
        (n("F4"), "made of", n("M3")),
        (n("U116"), "built by", n("N1")),
    } <= back
    assert (n("F1"), "made of", n("M1")) not in back
    assert ahead == [
        (n("M4"), "is on", n("F1")),
        (n("F1"), "placed on", f"{n('N1')} 11-20"),
        (f"{n('N1')} 11-20", "is in", n("U116")),
        (n("U116"), "in", n("U202")),
        (n("U202"), "in", carton_sscc(1)),
        (carton_sscc(1), "in", pallet_sscc(1)),
    ]
    assert {n("F1"), n("F2"), n("F3"), n("M1"), n("M2"), n("M4")} <= order


def added_up(floor, code):
    with floor.ledger.reading() as conn:
        made = balance(conn, n(code))
    return made, {(row["line"], row["term"]): row.get("went") or row.get("came") for row in made.rows}


@pytest.fixture
def own_floor():
    return built_floor()


def test_the_pieces_a_wrong_reel_may_have_placed_are_in_the_scope_of_that_reel(own_floor):
    play(own_floor, "PLACED | #36 | CHECK | J1 | F4 -> STOP wrong-reel")
    tiers = [(tier.lot, str(tier.strokes)) for tier in scope_of(own_floor, "F4").tiers]
    # The slot was loaded with both scans when nothing was placed, and not looked at since.
    assert tiers == [(n("F4"), "1-400"), (n("N1"), "1-36")]
    with own_floor.ledger.reading() as conn:
        edges = trace_forward(SqlRecords(conn), n("F4")).edges
    assert ("may have been placed on", n("N1"), "1-36") in [
        (edge.relation, edge.child, str(edge.strokes)) for edge in edges
    ]


def test_parts_add_up_and_a_count_that_differs_has_its_sign(own_floor):
    play(
        own_floor,
        f"""
        DROP | F3 | #3 | PLACED | #34 | ENDRUN | LEFT | F3 | #18 -> STOP count-differs
        FAIL | U121 | "board 1.4 | "dead | "R1 -> STOP test-failed
        OUT | U121 | "EX-1001 | "scrap | "cracked | TAPE | F7 | M1 | #4 | JOIN | U121 | F7 -> DONE
        F3 -> DONE; Reel {n("F3")}, EX-1001 revision 1 of part lot {n("M1")}: 19 of 50 parts left.
        """,
    )
    reel, rows = added_up(own_floor, "F3")
    assert (reel.difference, reel.off) == (1, True)
    assert {key[1] for key in rows} >= {
        "placed",
        "thrown away",
        "left on it",
        "taken out to scrap",
        "in pieces now",
    }
    lot, _ = added_up(own_floor, "M1")
    assert (lot.difference, lot.off) == (0, False)


def test_positions_on_hold_stop_a_reel_until_they_have_left_it(own_floor):
    play(
        own_floor,
        """
        ENDRUN | SETUP | N1 -> DONE
        12:00 LAB
        P1 | HOLD | M2 | "legs bent -> DONE
        12:05 MACHINE
        LOAD | J2 | F2 -> STOP on-hold
        F3 -> STOP wrong-part
        CANCEL | LOAD | J1 | F3 -> DONE
        """,
    )


def test_boards_of_a_solder_window_are_contained_with_the_units_they_are_in(own_floor):
    play(
        own_floor,
        f"""
        BUILD | N2 | "{UNIT} | U201 | #4 | #1 | JOIN | U201 | U101 | F4 | JOIN | U202 | U116 | F4 -> DONE
        12:00 OVEN
        BEGIN | X1 | V51 | TAKE | X1 -> NEXT; Scan what goes in: a build order card.
        N9 -> STOP unknown-code; Build order {n("N9")} is not in the system.
        N1 | #15 | #41 -> STOP no-such-stroke; Build order {n("N1")} has pieces 1 to 40; you keyed 15 to 41. Look at the serial \
labels.
        #20 -> DONE; Pieces 15 to 20 of build order {n("N1")} are in step {n("X1")}, soldering.
        END | X1 -> DONE
        """,
        BENCH,
    )
    for what in ("X1", "V51"):
        scope = scope_of(own_floor, what)
        assert [(tier.lot, str(tier.strokes)) for tier in scope.tiers] == [(n("N1"), "15-20")]
        assert bounds(scope) == {n("U116"): (0, 1), n("U202"): (0, 1)}
    with own_floor.ledger.reading() as conn:
        ahead = {node.code for node in trace_forward(SqlRecords(conn), n("X1")).nodes}
        back = {node.code for node in trace_back(SqlRecords(conn), n("U116")).nodes}
    assert {n("N1"), n("U116"), n("U202")} <= ahead
    assert n("U101") not in ahead
    assert {n("X1"), n("V51")} <= back


def test_all_of_the_hall_stands_the_examination_of_an_auditor(floor):
    with floor.ledger.reading() as conn:
        assert examine(conn).faults == []


def test_a_bad_reel_is_followed_to_the_customer(own_floor):
    play(
        own_floor,
        f"""
        BUILD | N2 | "{UNIT} | U201 | #4 | #1 | JOIN | U201 | U101 | F4 | JOIN | U202 | U116 | F4 -> DONE
        PASS | U201 | "final 2.1 | PASS | U202 | "final 2.1 | PACK | carton 1 | U201 | U202 | carton 1 -> DONE
        12:00 DOCK
        P1 | PALLET | pallet 1 | carton 1 | CLOSE | ACCEPT | pallet 1 -> DONE
        SHIP | O9 | PICK | pallet 1 | pallet 1 | DRIVER | "Dee | DEPART -> DONE
        """,
        BENCH,
    )
    scope = scope_of(own_floor, "M4")
    assert {
        (group.kind, group.code, group.least, group.most)
        for group in scope.groups
        if group.kind in ("consignee", "shipment")
    } == {("consignee", "Example Shop 9", 0, 2), ("shipment", n("D1"), 0, 2)}
    assert [(one.code, one.most) for one in scope.containers if one.shipped and one.most] == [(n("U116"), 2)]


def test_the_board_counts_tests_of_the_day_and_pieces_in_rework(floor):
    with floor.ledger.reading() as conn:
        counts = board(conn, "assembly", "2031-03-03").counts
    assert [(one.what, one.quantity) for one in counts] == [
        ("pieces that passed a test", 2),
        ("pieces that failed a test", 0),
        ("pieces in rework (any day)", 0),
    ]


def test_a_build_order_adds_up_part_by_part_and_a_counted_difference_has_its_sign(own_floor):
    play(
        own_floor,
        f"""
        DROP | F3 | #3 | PLACED | #34 | ENDRUN | LEFT | F3 | #18 -> STOP count-differs
        12:00 BENCH
        FAIL | U121 | "board 1.4 | "dead | "R1 -> STOP test-failed
        OUT | U121 | "EX-1001 | "supplier | "cracked | TAPE | F7 | M1 | #4 | JOIN | U121 | F7 -> DONE
        BUILD | N2 | "{UNIT} | U201 | #4 | #1 | JOIN | U201 | U101 | F4 | JOIN | U202 | U116 | F4 -> DONE
        FAIL | U202 | "final 2.1 | "no sound | "C12 -> STOP test-failed
        OUT | U202 | U116 | "scrap | "cracked -> DONE
        """,
    )
    boards, _ = added_up(own_floor, "N1")
    told = {(row["line"], row["term"]): (row["came"], row["went"]) for row in boards.rows}
    assert {term: went for (line, term), (_, went) in told.items() if line == "EX-1001 1" and went} == {
        # 34 boards of two resistors, one of which was taken out and another put in.
        "in pieces now": 68,
        "taken out to supplier": 1,
        "thrown away": 3,
        f"left on {n('F3')}": 18,
        f"left on {n('F7')}": 3,
        "sum": 93,
    }
    assert told["EX-1001 1", f"issued on {n('F1')}"][0] == 40
    assert told["EX-1001 1", f"issued on {n('F3')}"][0] == 50
    assert told["EX-1001 1", f"issued on {n('F7')}"][0] == 4
    assert (boards.difference, boards.off) == (1, True)
    assert told["pieces", "built"][1] == 34
    units, _ = added_up(own_floor, "N2")
    assert (units.difference, units.off) == (0, False)
    joined = {row["term"]: row["went"] for row in units.rows if row["line"] == "EX-3000: joined"}
    assert (joined["taken out to scrap"], joined["in units now"]) == (1, 1)


def test_what_is_left_on_a_tray_that_two_orders_share_is_as_the_later_one_found_it(own_floor):
    play(
        own_floor,
        f"""
        BUILD | N2 | "{UNIT} | U201 | #2 | #1 | JOIN | U201 | U101 | F4 -> DONE
        BUILD | N3 | "{UNIT} | U211 | #2 | #1 | JOIN | U211 | U102 | F4 -> DONE
        """,
        BENCH,
    )
    for order, issued, elsewhere in (("N2", 400, 4), ("N3", 396, None)):
        made, _ = added_up(own_floor, order)
        told = {row["term"]: (row["came"], row["went"]) for row in made.rows if row["line"] == "EX-1003 1"}
        assert told[f"issued on {n('F4')}"][0] == issued
        assert told.get("taken by other orders", (None, None))[1] == elsewhere
        assert told[f"left on {n('F4')}"][1] == 392
        assert made.off is False


@pytest.mark.parametrize(
    ("what", "drawn", "contained"),
    [("reel", "F", "reel"), ("part-lot", "M", "part lot"), ("bath", "X", "bath")],
)
def test_a_drill_begins_at_anything_that_can_be_bad(own_floor, what, drawn, contained):
    play(own_floor, "BEGIN | X1 | V51 | TAKE | X1 | N1 | #15 | #20 | END | X1 -> DONE", OVEN)
    with own_floor.ledger.reading() as conn:
        held = hold_drill(conn, what, 7, lambda: 0.0)
        assert held == hold_drill(conn, what, 7, lambda: 0.0)
    assert held.subject[:1] == drawn
    assert held.cause == held.subject
    assert held.lots
    text = drill_text(held)
    assert f"Contained as if at fault: {contained} {held.subject}" in text
    assert re.findall(r"\b(?:discs?|pressed|stampers?)\b", text) == []
    with own_floor.ledger.writing() as booking:
        booking.record(held.entry(), Stamp(START, "2031-03-03T07:00:00Z", person=code("P", 2)))
    with own_floor.ledger.reading() as conn:
        assert [(one.what, one.subject) for one in held_drills(conn)] == [(what, held.subject)]


def test_a_drill_of_a_carton_of_units_contains_a_reel(own_floor):
    play(
        own_floor,
        f"""
        BUILD | N2 | "{UNIT} | U201 | #4 | #1 | JOIN | U201 | U101 | F4 | PASS | U201 | "final 2.1 -> DONE
        PACK | carton 1 | U201 | carton 1 -> DONE
        12:00 DOCK
        P1 | PALLET | pallet 1 | carton 1 | CLOSE | ACCEPT | pallet 1 -> DONE
        SHIP | O9 | PICK | pallet 1 | pallet 1 | DRIVER | "Dee | DEPART -> DONE
        """,
        BENCH,
    )
    with own_floor.ledger.reading() as conn:
        held = hold_drill(conn, "carton", 7, lambda: 0.0)
        with pytest.raises(UsageError, match="no step has made material yet"):
            hold_drill(conn, "blend", 7, lambda: 0.0)
    assert held.cause[:1] == "F"
    assert "Contained as if at fault: reel" in drill_text(held)

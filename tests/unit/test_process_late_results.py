"""A slow test that goes bad weeks later, of a disc that was pressed from a blend and washed: back to both, and on to the rest."""

import pytest
from support_lab import add_to
from support_plant import LAB, PRESS, n, stamper
from support_process import BATH, STEPS, WASH, play, process_floor

from tracelink.genealogy.containment.contain import contain
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.walk.walk import trace_back
from tracelink.store.records.sql_records import SqlRecords

HEAT = {"name": "heat", "readings": [{"label": "two weeks at 50 degrees", "days": 14}]}


@pytest.fixture(scope="module")
def floor():
    made = process_floor()
    add_to(made, {"slow_test": [HEAT]})
    made.play(STEPS, "P41 -> DONE")
    a, b = stamper("EX-101-A"), stamper("EX-101-B")
    play(
        made,
        f"""
        BEGIN | X1 | V5 | TAKE | X1 | C1 | "30 kg | TAKE | X1 | C2 | "10 kg | MAKE | X1 | C9 | "40 kg | END | X1 -> DONE
        BEGIN | X2 | V3 | TAKE | X2 | {a} | END | X2 -> DONE
        """,
    )
    made.scan(PRESS, "P1", "SETUP", "L1", a, b, "C9", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')
    made.scan(PRESS, "STACK", "K11", "#20", "STOP", "#20")
    play(made, 'BEGIN | X3 | V1 | TAKE | X3 | K11 | END | X3 | "not read -> DONE')
    made.play(LAB, 'P1 | SAMPLE | L1 | S1 | #3 | K11 -> DONE\nGOOD | S1 | SLOWTEST | S1 | "heat -> DONE')
    made.at = "2031-03-18T08:00:00+01:00"
    made.play(LAB, 'READING | S1 | "warped -> DONE')
    return made


@pytest.mark.parametrize("cause", [WASH, BATH, n("C2"), n("X1"), n("X3")])
def test_it_is_proven_of_every_bath_and_blend_and_the_mates_are_possible(floor, cause):
    with floor.ledger.reading() as conn:
        scope = contain(SqlRecords(conn), ContainmentQuery(cause, Shape.INTERMITTENT))
    tiers = {tier.name: str(tier.strokes) for tier in scope.tiers}
    assert tiers == {TierName.PROVEN: "3", TierName.POSSIBLE: "1-2, 4-20"}
    assert {(held.code, held.bound.least, held.bound.most) for held in scope.containers} == {
        (n("K11"), 0, 19),
        (n("S1"), 1, 1),
    }


def test_a_trace_leads_from_it_to_what_it_was_made_in(floor):
    with floor.ledger.reading() as conn:
        found = {node.code for node in trace_back(SqlRecords(conn), n("S1")).nodes}
    assert {WASH, BATH, n("X1"), n("X2"), n("X3"), n("C1"), n("C2"), n("C9")} <= found

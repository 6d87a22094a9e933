"""Two stampers with one matrix text: outside the plant their discs cannot be told apart, and the scope says so."""

from support_asking import contain
from support_plant import LAB, PRESS, Floor, n, stamper

from tracelink.facts.scope_discs import Identifier, LookAlike
from tracelink.genealogy.model.shapes import Shape
from tracelink.services.scope_identifiers import identifiers
from tracelink.store.records.scope_facts import lots_of, scope_facts
from tracelink.store.records.sql_records import SqlRecords


def test_stampers_of_one_text_and_cleared_discs_are_named():
    """Lot 1 by stamper 1, lot 5 by stamper 2 of the same text; lot 2 by another text."""
    floor = Floor.copy()
    floor.press(1)
    floor.play(
        LAB,
        'P1 | SAMPLE | L1 | S1 | #3 | K11 | GOOD | S1 -> DONE\nSAMPLE | L1 | S2 | #15 | K12 | BAD | S2 | "scratch -> DONE',
    )
    floor.press(2)
    floor.scan(PRESS, "P1", "SETUP", "L5", stamper("EX-101-A", 2), stamper("EX-101-B", 2), "C1", "E1", "E2")
    floor.scan(PRESS, "START", '"EX-101-A', '"EX-101-B', "STACK", "K51", "#10")
    assert floor.scan(PRESS, "STOP", "#10").finding is None
    with floor.ledger.reading() as conn:
        records = SqlRecords(conn)
        scope = contain(records, stamper("EX-101-A"), Shape.FROM_ONSET)
        facts = scope_facts(conn, scope, [])
        told = identifiers(records, scope, facts, lots_of(scope))
    other = stamper("EX-101-A", 2)
    assert facts.look_alikes == (LookAlike("EX-101-A", other, (n("L5"),)),)
    assert told[1] == Identifier(
        "matrix text EX-101-A",
        "alone it cannot tell apart, outside the plant, the discs in question and",
        f"3 discs cleared here; discs of stamper {other} (lot {n('L5')}), which is not in question",
    )


def test_a_text_that_only_the_discs_in_question_bear_needs_no_caution():
    floor = Floor.copy()
    floor.press(1)
    with floor.ledger.reading() as conn:
        records = SqlRecords(conn)
        scope = contain(records, stamper("EX-101-A"), Shape.WHOLE_LIFE)
        facts = scope_facts(conn, scope, [])
        told = identifiers(records, scope, facts, lots_of(scope))
    assert facts.look_alikes == ()
    assert not [one for one in told if one.thing.startswith("matrix text")]

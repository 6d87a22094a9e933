"""Process steps at their station: what each act takes, what it refuses, and what is booked."""

import pytest
from support_plant import LAB, PRESS, START, TOOL, n, stamper
from support_process import BATH, STEPS, WASH, play, process_floor
from support_schema import empty_ledger

from tracelink.genealogy.containment.contain import contain
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.ledger.entry import read_entry
from tracelink.store.journal import journal
from tracelink.store.journal.rebuild import differences, replay
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.records.text_search import SearchTerms, find_things


@pytest.fixture
def floor():
    made = process_floor()
    made.press(1, strokes=20, stacks=2)
    made.play(STEPS, "P41 -> DONE; Dora is signed on. Scan an action card.")
    return made


def test_two_spindles_go_through_a_bath_and_its_temperature_is_read(floor):
    play(
        floor,
        f"""
        BEGIN -> NEXT; Scan a new step card.
        X1    -> NEXT; Scan the tag of the equipment.
        V1    -> DONE; Step {n("X1")} begun: wash in wash bath 1 {WASH}.
        TAKE  -> NEXT; Scan the step card.
        X1    -> NEXT; Scan what goes in: a spindle card or a lot card.
        K11   -> DONE; Spindle {n("K11")} with 10 discs of lot {n("L1")} is in step {n("X1")}, wash.
        TAKE | X1 | K12 -> DONE
        READ | X1 | "bath temperature=40.5 °C -> DONE; Step {n("X1")}: bath temperature 40.5 °C, expected 38 to 42.5 °C.
        READ | X1 | "conductivity=3 µS/cm -> DONE; Step {n("X1")}: conductivity 3 µS/cm, expected 5 µS/cm or less.
        X1    -> DONE; Step {n("X1")}, wash in {WASH}, running: 2 things in it.
        END | X1 -> DONE; Step {n("X1")} is over: wash.
        X1    -> DONE; Step {n("X1")}, wash in {WASH}, over: 2 things in it.
        X2    -> DONE; Step card {n("X2")} is new.
        """,
    )
    items = floor.read("step_item", "step", "what", "thing", "lot", order="seq")
    assert items == [(n("X1"), "spindle", n("K11"), n("L1")), (n("X1"), "spindle", n("K12"), n("L1"))]
    assert floor.read("step", "status", "outside", code=n("X1")) == [("ended", 0)]


def test_strokes_of_a_lot_go_in_where_discs_are_treated_at_the_press(floor):
    play(
        floor,
        f"""
        BEGIN | X1 | V2 -> DONE
        TAKE | X1 | L1 -> NEXT; Key the first stroke that goes in, such as #1.
        #5   -> NEXT; Key the last stroke that goes in, such as #500.
        #21  -> STOP no-such-stroke; Lot {n("L1")} has strokes 1 to 20; you keyed 5 to 21. Look at the card of the stack.
        #4   -> STOP no-such-stroke
        #20  -> DONE; Strokes 5 to 20 of lot {n("L1")} are in step {n("X1")}, wash.
        """,
    )
    assert floor.read("step_item", "what", "thing", "first", "last") == [("strokes", n("L1"), 5, 20)]


def test_a_reading_outside_its_limits_is_recorded_and_stops_and_the_end_asks_why(floor):
    play(
        floor,
        f"""
        BEGIN | X1 | V1 | TAKE | X1 | K11 -> DONE
        READ | X1 -> NEXT; Type " and then what was read, such as "bath temperature=58.5 °C.
        "bath temperature=44 °C -> STOP outside-limits; Step {n("X1")}: bath temperature 44 °C is outside 38 to 42.5 °C. \
It is recorded. Set it right, or take out what is in and tell quality.
        X1  -> STOP outside-limits
        END | X1 -> NEXT; 1 reading outside the limits; conductivity not read. Type " and then why.
        "heater stuck on -> DONE; Step {n("X1")} is over: wash.
        """,
    )
    [(reason, body)] = [(entry.reason, entry.body) for entry in entries(floor) if entry.kind == "step-ended"]
    assert (reason, body["outside"], body["unread"]) == ("heater stuck on", 1, ["conductivity"])
    assert floor.read("step_reading", "parameter", "value", "outside", "person") == [
        ("bath temperature", "44", 1, n("P41"))
    ]


@pytest.mark.parametrize(
    ("value", "outside"), [("38", 0), ("37.999999", 1), ("42.5", 0), ("42.51", 1), ("-40", 1), ("+40", 0)]
)
def test_limits_are_within_what_is_right(floor, value, outside):
    play(
        floor,
        f'BEGIN | X1 | V1 | READ | X1 | "bath temperature={value} °C -> {"STOP outside-limits" if outside else "DONE"}',
    )
    assert floor.read("step_reading", "outside") == [(outside,)]


def test_readings_of_another_form_name_or_unit_are_refused(floor):
    play(
        floor,
        """
        BEGIN | X1 | V1 -> DONE
        READ | X1 | "40 °C -> STOP wrong-format; "40 °C" is not a reading. Type " and then what was read, such as \
"bath temperature=58.5 °C.
        "bath temperature=40,5 °C -> STOP wrong-format
        "pressure=2 bar -> STOP wrong-parameter; "pressure" is not read in wash: bath temperature, conductivity. Type one of these.
        "bath temperature=104 °F -> STOP wrong-unit; Bath temperature is read in °C; you typed °F. Read it again.
        #40 -> STOP wrong-thing
        "bath temperature=40 °C -> DONE
        """,
    )


def test_a_tool_goes_through_a_bath_unless_it_is_on_a_press(floor):
    mounted = stamper("EX-101-A")
    floor.scan(PRESS, "SETUP", "L5", mounted, stamper("EX-101-B"), "C1", "E1", "E2")
    play(
        floor,
        f"""
        BEGIN | X1 | V3 -> DONE; Step {n("X1")} begun: nickel plating in nickel bath {BATH}.
        TAKE | X1 | T3 -> DONE; Mother {n("T3")} is in step {n("X1")}, nickel plating.
        TAKE | X1 | T3 -> STOP in-step-already; {n("T3")} is in step {n("X1")} already. Scan the next one.
        K11 -> STOP wrong-thing; You scanned spindle card {n("K11")}. Scan a tool tag.
        {mounted} -> STOP tool-mounted; {mounted} is on press {PRESS}. Scan CHANGE or STOP there first.
        T999 -> STOP unknown-code; Tool tag {n("T999")} is not in the system.
        CANCEL -> DONE
        END | X1 -> DONE; Step {n("X1")} is over: nickel plating.
        """,
    )


def test_a_blend_keeps_what_went_in_and_what_was_made(floor):
    play(
        floor,
        f"""
        BEGIN | X1 | V5 -> DONE; Step {n("X1")} begun: blending in blender {n("V5")}.
        MAKE | X1 -> NEXT; Scan the card of the new compound lot.
        C9   -> STOP step-empty; Nothing went into step {n("X1")}. Scan TAKE first.
        CANCEL -> DONE
        TAKE | X1 | C1 -> NEXT; Type " and then how much and its unit, such as "12.5 kg.
        "80  -> STOP wrong-unit; '80': expected a number and its unit, such as 12.5 kg. Type " and then how much and its unit, such as "12.5 kg.
        "80 l -> STOP wrong-unit; '80 l' is in l: expected g or kg or t. Type " and then how much and its unit, such as "12.5 kg.
        "80 kg -> DONE; 80 kg of {n("C1")} into step {n("X1")}: 80 kg in all.
        TAKE | X1 | C2 | "20000 g -> DONE; 20 kg of {n("C2")} into step {n("X1")}: 100 kg in all.
        MAKE | X1 | C2 -> STOP card-in-use; Compound lot {n("C2")} is in the system already. Take a new card.
        C9   -> NEXT
        "101 kg -> STOP more-than-went-in; 100 kg went into step {n("X1")}, of which 100 kg are left to be made; you typed 101 kg. \
Weigh again, or scan CANCEL and TAKE for what is missing.
        "99 kg -> DONE; Compound lot {n("C9")}: 99 kg made in step {n("X1")}, blending.
        TAKE | X1 | C1 -> STOP step-made; Step {n("X1")} has made its material already. Scan END, and begin another step.
        CANCEL -> DONE
        END | X1 -> DONE; Step {n("X1")} is over: blending. 100 kg in, 99 kg made, difference −1 kg.
        """,
    )
    assert floor.read("material", "what", "detail", code=n("C9")) == [("compound", "blending")]


def test_what_is_missing_of_a_blend_beyond_what_is_taken_for_granted_asks_why(floor):
    play(
        floor,
        f"""
        BEGIN | X1 | V5 | TAKE | X1 | C1 | "10 kg -> DONE
        MAKE | X1 | C9 | "9.79 kg -> DONE
        END | X1 -> NEXT; 210 g went in and was not made. Type " and then why.
        "spilt -> DONE; Step {n("X1")} is over: blending. 10 kg in, 9.79 kg made, difference −210 g.
        BEGIN | X2 | V5 | TAKE | X2 | C1 | "10 kg -> DONE
        MAKE | X2 | C8 | "9.8 kg -> DONE
        END | X2 -> DONE
        """,
    )


def test_discs_are_ground_by_mass_also_those_of_a_lot_on_hold(floor):
    floor.scan(LAB, "P1", "HOLD", "L1", '"clicks')
    play(
        floor,
        f"""
        BEGIN | X1 | V6 -> DONE
        TAKE | X1 | L1 | "1.4 kg -> DONE; 1.4 kg of {n("L1")} into step {n("X1")}: 1.4 kg in all.
        MAKE | X1 | C9 | "1.4 kg -> DONE
        END | X1 -> DONE
        BEGIN | X2 | V1 | TAKE | X2 | L1 -> STOP on-hold
        K11 -> STOP on-hold
        """,
    )
    assert floor.read("step_item", "what", "thing", "lot", "amount") == [("ground", n("L1"), n("L1"), 1400)]


def test_material_that_is_dried_stays_its_own_lot(floor):
    play(
        floor,
        f"""
        BEGIN | X1 | V4 | TAKE | X1 | C1 | "25 kg -> DONE
        MAKE | X1 | C9 -> STOP makes-nothing; Step {n("X1")} is drying, which makes no new lot. Scan END when it is over.
        CANCEL -> DONE
        END | X1 -> DONE; Step {n("X1")} is over: drying.
        """,
    )


def test_cards_equipment_and_steps_are_refused_by_their_state(floor):
    floor.scan(LAB, "P1", "HOLD", WASH, '"foam')
    play(
        floor,
        f"""
        BEGIN | X1 | V1 -> STOP on-hold; wash bath 1 {WASH} is on hold: foam (hold {n("H1")}). Use other equipment.
        V99 -> STOP unknown-code; Equipment {n("V99")} is not in the system.
        V2  -> DONE
        BEGIN | X1 -> STOP card-in-use; Step card {n("X1")} is in use already. Take a new card.
        X2  -> NEXT
        V2  -> STOP equipment-busy; Step {n("X1")} is still open in wash bath 2 {n("V2")}. Scan END for it first.
        CANCEL -> DONE
        END | X1 -> NEXT; Nothing went in; bath temperature, conductivity not read. Type " and then why.
        CANCEL -> DONE
        """,
    )
    play(
        floor,
        f"""
        TAKE | X7 -> STOP unknown-code; Step card {n("X7")} is not in the system.
        X1 | K11 -> DONE
        END | X1 | "not read -> DONE
        TAKE | X1 -> STOP step-ended; Step {n("X1")} (wash) is over. Take the card of the step that is running.
        """,
    )


def test_what_did_not_go_in_after_all_is_taken_back_while_the_step_runs(floor):
    play(
        floor,
        f"""
        BEGIN | X1 | V1 | TAKE | X1 | K11 -> DONE
        UNDO  -> NEXT; Scan the step card.
        X1    -> NEXT; Scan what did not go in.
        K12   -> STOP not-in-step; {n("K12")} is not in step {n("X1")}. Check the card of the step.
        V1    -> STOP wrong-thing
        K11   -> NEXT; Type " and then why it is taken back.
        "wrong card -> DONE; {n("K11")} is taken back: it did not go into step {n("X1")}, wash.
        UNDO | X1 | K11 -> STOP not-in-step
        CANCEL -> DONE
        TAKE | X1 | K12 -> DONE
        X1    -> DONE; Step {n("X1")}, wash in {WASH}, running: 1 thing in it. Not read yet: bath temperature, conductivity.
        TAKE | X1 | K11 -> DONE
        UNDO | X1 | K11 | "wrong card again -> DONE
        BEGIN | X2 | V5 | TAKE | X2 | C1 | "10 kg | TAKE | X2 | C1 | "5 kg -> DONE
        UNDO | X2 | C1 | "weighed twice -> DONE
        MAKE | X2 | C9 | "11 kg -> STOP more-than-went-in
        "10 kg -> DONE
        UNDO | X2 | C1 -> STOP step-made; Step {n("X2")} has made its material already, so nothing of it is taken back. Take back first what it made.
        """,
    )
    taken = [entry for entry in entries(floor) if entry.kind == "step-taken-back"]
    assert [(entry.corrects, entry.reason) for entry in taken] == [
        (entry.body["item"], entry.reason) for entry in taken
    ]
    assert [one.code for one in asked(floor, WASH).containers if one.most] == [n("K12")]


def test_only_who_has_the_role_books_steps(floor):
    play(
        floor,
        """
        P3 -> DONE
        BEGIN -> STOP wrong-role
        """,
    )


def entries(floor):
    with floor.ledger.reading() as conn:
        return [read_entry(row.canonical) for row in journal.rows(conn)]


def test_a_replay_gives_the_very_same_rows(floor):
    play(
        floor,
        """
        BEGIN | X1 | V1 | TAKE | X1 | K11 | READ | X1 | "bath temperature=40 °C | END | X1 | "in a hurry -> DONE
        BEGIN | X2 | V5 | TAKE | X2 | C1 | "10 kg | MAKE | X2 | C9 | "10 kg | END | X2 -> DONE
        """,
    )
    engine = empty_ledger()
    with floor.ledger.reading() as live, engine.begin() as fresh:
        replay(fresh, journal.rows(live), [])
        assert differences(live, fresh) == []


@pytest.fixture
def plant_with_steps(floor):
    """Two stacks washed in two baths, and a blend of two compounds that a second lot is pressed from."""
    play(
        floor,
        """
        BEGIN | X1 | V1 | TAKE | X1 | K11 | END | X1 | "not read -> DONE
        BEGIN | X2 | V2 | TAKE | X2 | K12 | END | X2 | "not read -> DONE
        BEGIN | X3 | V5 | TAKE | X3 | C1 | "30 kg | TAKE | X3 | C2 | "10 kg | MAKE | X3 | C9 | "40 kg | END | X3 -> DONE
        """,
    )
    a, b = stamper("EX-101-A"), stamper("EX-101-B")
    floor.scan(PRESS, "SETUP", "L5", a, b, "C9", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')
    floor.scan(PRESS, "STACK", "K51", "#8", "STOP", "#8")
    return floor


def asked(floor, code, **more):
    with floor.ledger.reading() as conn:
        return contain(SqlRecords(conn), ContainmentQuery(code, Shape.INTERMITTENT, **more))


def test_a_bath_is_contained_with_the_discs_that_were_in_it(plant_with_steps):
    scope = asked(plant_with_steps, WASH)
    assert [(tier.name, tier.lot, str(tier.strokes)) for tier in scope.tiers] == [
        ("possible", n("L1"), "1-10")
    ]
    assert [(one.code, one.least, one.most) for one in scope.containers if one.most] == [(n("K11"), 0, 10)]
    assert scope.reasons[0] == (
        f"Equipment {WASH}, at any time: 1 step with 1 thing. Which disc met which place in it is not recorded: what was "
        "in it between its scan and the end of the step is taken in whole."
    )
    second = asked(plant_with_steps, n("X2"))
    assert [one.code for one in second.containers if one.most] == [n("K12")]


def test_a_bath_is_asked_about_a_time(plant_with_steps):
    day = START[:10]
    before = asked(plant_with_steps, WASH, until=f"{day}T07:59:00+01:00")
    assert before.tiers == ()
    assert len(asked(plant_with_steps, WASH, since=f"{day}T07:59:00+01:00").tiers) == 1


def test_a_part_of_a_blend_is_contained_with_its_share(plant_with_steps):
    scope = asked(plant_with_steps, n("C2"))
    assert [(tier.lot, str(tier.strokes), tier.share_permille, tier.reason) for tier in scope.tiers] == [
        (
            n("L5"),
            "1-8",
            250,
            f"pressed from compound {n('C9')}, of which at most 25.0 % is {n('C2')}, blended in step {n('X3')}",
        )
    ]
    assert scope.to_json()["tiers"][0]["share_permille"] == 250


def test_a_search_finds_equipment_by_its_name_and_a_step_by_its_card(plant_with_steps):
    with plant_with_steps.ledger.reading() as conn:
        hits = [
            (hit.kind, hit.code, hit.text)
            for wanted in ("wash bath 1", n("X3"))
            for found in find_things(conn, SearchTerms(wanted), 9)
            for hit in found.hits
        ]
    assert hits == [
        ("equipment", WASH, "wash bath 1"),
        ("process step", n("X3"), "blending in blender"),
    ]


def test_a_trace_runs_through_steps(plant_with_steps):
    with plant_with_steps.ledger.reading() as conn:
        records = SqlRecords(conn)
        forward, back = trace_forward(records, n("C2")), trace_back(records, n("K51"))
        bath = trace_forward(records, WASH)
    assert {n("X3"), n("C9"), n("L5"), n("K51")} <= {node.code for node in forward.nodes}
    assert {n("C9"), n("X3"), n("V5"), n("C1"), n("C2")} <= {node.code for node in back.nodes}
    assert {(edge.parent, edge.relation, edge.child) for edge in bath.edges} >= {
        (WASH, "did", n("X1")),
        (n("X1"), "held", n("K11")),
    }


def test_a_spindle_whose_strokes_were_not_known_is_followed_by_place(floor):
    """Three of ten discs were scrapped before: which of the ten were in the bath nobody knows, and seven were."""
    floor.scan(LAB, "P1")
    floor.scan(PRESS, "SETUP", "L5", stamper("EX-101-A"), stamper("EX-101-B"), "C1", "E1", "E2")
    floor.scan(PRESS, "START", '"EX-101-A', '"EX-101-B', "STACK", "K51", "#10", "SCRAP", "#3")
    play(
        floor,
        """
        BEGIN | X1 | V1 | TAKE | X1 | K51 | END | X1 | "not read -> DONE
        """,
    )
    scope = asked(floor, WASH)
    assert [(one.code, one.pieces, one.most) for one in scope.containers if one.most] == [(n("K51"), 7, 7)]
    assert scope.places[-1].bound.most == 7


def test_cutting_is_a_step_of_the_blank_and_hangs_on_the_master(floor):
    floor.scan(TOOL, "P1", "BLANK", "T900", "sleeve 1", '"A', '"D-1', '"good')
    floor.scan(TOOL, "BLANK", "T901", "sleeve 1", '"A', '"D-2', '"pinholes')
    play(
        floor,
        f"""
        BEGIN | X1 | V3 | TAKE | X1 | T900 -> DONE; Blank {n("T900")} is in step {n("X1")}, nickel plating.
        TAKE | X1 | T901 -> STOP blank-bad
        CANCEL -> DONE
        END | X1 -> DONE
        """,
    )
    floor.scan(TOOL, "LACQUER", "T900", '"EX-101-A')
    with floor.ledger.reading() as conn:
        back = trace_back(SqlRecords(conn), n("T900"))
    assert ("went through", n("X1")) in {(edge.relation, edge.child) for edge in back.edges}


def test_a_plant_with_a_comma_asks_for_one_and_takes_nothing_else():
    floor = process_floor(decimal_comma=1)
    floor.scan(STEPS, "P41")
    play(
        floor,
        f"""
        BEGIN | X1 | V1 -> DONE
        READ | X1 -> NEXT; Type " and then what was read, such as "bath temperature=58,5 °C.
        "bath temperature=40.5 °C -> STOP wrong-format; "bath temperature=40.5 °C" is not a reading. Type " and then what was read, such as "bath temperature=58,5 °C.
        "bath temperature=40,5 °C -> DONE
        BEGIN | X2 | V5 -> DONE
        TAKE | X2 | C1 -> NEXT; Type " and then how much and its unit, such as "12,5 kg.
        "1.250 kg -> STOP wrong-unit; '1.250 kg': expected a number and its unit, such as 12,5 kg. Type " and then how much and its unit, such as "12,5 kg.
        "1,250 kg -> DONE; 1.25 kg of {n("C1")} into step {n("X2")}: 1.25 kg in all.
        """,
    )
    assert floor.read("step_item", "amount", step=n("X2")) == [(1250,)]

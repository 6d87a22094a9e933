"""What a process station recorded wrong and mends by a later entry: a product, its amount, the end of a step."""

import pytest
from support_plant import PRESS, STATIONS, n, stamper
from support_process import STEPS, play, process_floor
from support_schema import empty_ledger

from tracelink.genealogy.walk.walk import trace_back
from tracelink.ledger.entry import read_entry
from tracelink.store.journal import journal
from tracelink.store.journal.rebuild import differences, replay
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations.judge_again import judge_again


@pytest.fixture
def floor():
    made = process_floor()
    made.press(1, strokes=20, stacks=2)
    made.play(STEPS, "P41 -> DONE")
    play(
        made,
        """
        BEGIN | X1 | V5 | TAKE | X1 | C1 | "30 kg | TAKE | X1 | C2 | "10 kg -> DONE
        MAKE | X1 | C9 | "39 kg -> DONE
        """,
    )
    return made


def corrections(floor):
    with floor.ledger.reading() as conn:
        entries = [read_entry(row.canonical) for row in journal.rows(conn)]
    return [entry for entry in entries if entry.corrects is not None]


def require_whole(floor):
    """The tables are what the journal says, and the scans force every entry."""
    engine = empty_ledger()
    with floor.ledger.reading() as live, engine.begin() as fresh:
        replay(fresh, journal.rows(live), [])
        assert differences(live, fresh) == []
        judged = judge_again(live)
    assert (judged.unforced, judged.not_judged) == (None, 0)


def test_a_lot_that_was_made_by_mistake_is_taken_back_and_its_card_made_anew(floor):
    play(
        floor,
        f"""
        UNDO | X1 | C9 -> NEXT; Type " and then why it is taken back.
        "card of the bin beside -> DONE; Compound lot {n("C9")} is taken back: step {n("X1")}, blending, did not make it.
        MAKE | X1 | C8 | "39 kg -> DONE
        MAKE | X1 | C9 | "1 kg -> DONE
        """,
    )
    assert floor.read("step_output", "material", "amount", order="seq") == [(n("C8"), 39000), (n("C9"), 1000)]
    assert floor.read("step", "taken", "made", code=n("X1")) == [(40000, 40000)]
    [entry] = corrections(floor)
    assert (entry.kind, entry.reason) == ("step-make-taken-back", "card of the bin beside")
    assert entry.body["made"] == entry.corrects
    require_whole(floor)


def test_what_went_in_is_taken_back_once_nothing_is_made_of_it_any_more(floor):
    play(
        floor,
        f"""
        UNDO | X1 | C2 -> STOP step-made; Step {n("X1")} has made its material already, so nothing of it is taken back. \
Take back first what it made.
        CANCEL -> DONE
        UNDO | X1 | C9 | "too early | UNDO | X1 | C2 | "never in -> DONE
        MAKE | X1 | C9 | "30 kg -> DONE
        """,
    )
    with floor.ledger.reading() as conn:
        back = trace_back(SqlRecords(conn), n("C9"))
    assert {node.code for node in back.nodes if node.kind == "compound"} == {n("C9"), n("C1")}
    require_whole(floor)


def test_a_lot_with_which_something_was_done_is_not_taken_back(floor):
    play(
        floor,
        f"""
        BEGIN | X2 | V4 | TAKE | X2 | C9 | "5 kg -> DONE
        UNDO | X1 | C9 -> STOP rests-on-it; Compound lot {n("C9")} cannot be taken back: it went into step {n("X2")}. If only \
its amount is wrong, scan CANCEL and CORRECT; else tell quality.
        CANCEL | UNDO | X2 | C9 | "wrong bin -> DONE
        """,
    )
    floor.scan(PRESS, "SETUP", "L5", stamper("EX-101-A"), stamper("EX-101-B"), "C9", "E1", "E2")
    play(
        floor,
        f"UNDO | X1 | C9 -> STOP rests-on-it; Compound lot {n('C9')} cannot be taken back: lot {n('L5')} was set up with it. If only its amount is wrong, scan CANCEL and CORRECT; else tell quality.",
    )
    assert floor.read("step_output", "material") == [(n("C9"),)]


def test_a_lot_on_hold_is_not_taken_back(floor):
    floor.scan(STATIONS["LAB"], "P1", "HOLD", "C9", '"looks grey')
    play(
        floor,
        f"UNDO | X1 | C9 -> STOP rests-on-it; Compound lot {n('C9')} cannot be taken back: it is or was on hold. If only its amount is wrong, scan CANCEL and CORRECT; else tell quality.",
    )


def test_the_amount_that_was_made_is_corrected_whatever_was_done_with_it(floor):
    floor.scan(STEPS, "END", "X1", '"dust')
    floor.scan(PRESS, "SETUP", "L5", stamper("EX-101-A"), stamper("EX-101-B"), "C9", "E1", "E2")
    play(
        floor,
        f"""
        CORRECT -> NEXT; Scan the step card.
        X1 -> NEXT; Scan the card of the compound lot that it made.
        C1 -> STOP not-in-step; Compound lot {n("C1")} was not made in step {n("X1")}. Scan the card of a lot that it made.
        C9 -> NEXT; Type " and then how much and its unit, such as "12.5 kg.
        "40.001 kg -> STOP more-than-went-in; Compound lot {n("C9")} is booked with 39 kg, and up to 40 kg can be of it; you typed \
40.001 kg. Type the right amount.
        "39 kg -> STOP nothing-to-correct
        "39 l -> STOP wrong-unit
        "39.5 kg -> NEXT
        "read off the wrong scale -> NEXT; Someone from quality looks at it and scans a badge.
        P41 -> STOP same-person
        P2 -> DONE; Compound lot {n("C9")}: 39.5 kg made in step {n("X1")}, not 39 kg.
        CORRECT | X1 | C9 | "39.75 kg | "tare | P2 -> DONE; Compound lot {n("C9")}: 39.75 kg made in step {n("X1")}, not 39.5 kg.
        """,
    )
    assert floor.read("step", "made", "status", code=n("X1")) == [(39750, "ended")]
    assert floor.read("step_output", "amount") == [(39750,)]
    first, second = corrections(floor)
    assert (second.corrects, second.body["before"], second.body["made"]) == (first.seq, 39500, first.corrects)
    require_whole(floor)


def test_a_step_that_was_ended_by_mistake_runs_again(floor):
    play(
        floor,
        f"""
        REOPEN | X1 -> STOP step-runs; Step {n("X1")} (blending) is still running. Go on with it.
        CANCEL | END | X1 | "dust -> DONE
        UNDO | X1 -> STOP step-ended
        CANCEL | REOPEN | X1 | "card of the wrong step -> NEXT; Someone from quality looks at it and scans a badge.
        P2 -> DONE; Step {n("X1")} runs again: blending. Scan END when it is over.
        MAKE | X1 | C8 | "0.5 kg | END | X1 -> DONE; Step {n("X1")} is over: blending. 40 kg in, 39.5 kg made, difference −500 g.
        """,
    )
    assert floor.read("step", "status", code=n("X1")) == [("ended",)]
    [entry] = corrections(floor)
    assert (entry.kind, entry.body["ended"]) == ("step-reopened", entry.corrects)
    require_whole(floor)


def test_a_step_does_not_run_again_while_another_is_in_its_equipment(floor):
    play(
        floor,
        f"""
        END | X1 | "dust -> DONE
        BEGIN | X2 | V5 -> DONE
        REOPEN | X1 -> STOP equipment-busy
        CANCEL | CORRECT | X2 -> STOP nothing-to-correct; Step {n("X2")} (blending) has made nothing, so there is no amount to \
correct. Check the card of the step.
        X77 -> STOP unknown-code
        K11 -> STOP wrong-thing
        """,
    )
    assert floor.read("step", "status", code=n("X1")) == [("ended",)]
    assert corrections(floor) == []


def test_what_went_in_cannot_be_taken_back_once_its_material_was_used(floor):
    """The sentence names what rests on it, instead of sending people to a second refusal."""
    play(
        floor,
        f"""
        END | X1 | "left | BEGIN | X7 | V5 | TAKE | X7 | C9 | "1 kg | END | X7 | "not blended -> DONE
        REOPEN | X1 | "one bag too few | P2 | UNDO | X1 -> NEXT
        C2 -> STOP rests-on-it; What went into step {n("X1")} cannot be taken back: compound lot {n("C9")} was made of it, and it \
went into step {n("X7")}. If only an amount is wrong, scan CANCEL and CORRECT; else tell quality.
        """,
    )

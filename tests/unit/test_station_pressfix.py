"""CORRECT and RESUME at a press: each rule with its accept and its refuse case, sentences and rows checked."""

import pytest
from support_asking import contain
from support_plant import DOCK, LAB, LINE, PRESS, PRESS_2, Floor, n

from tracelink.genealogy.model.shapes import Shape
from tracelink.ledger.entry import read_entry
from tracelink.store.records.sql_records import SqlRecords


@pytest.fixture
def floor():
    """Lot 1 runs, 10 discs on spindle K11 and 10 on K12; the counter stands at 20."""
    floor = Floor.copy()
    floor.scan(PRESS, "P1", "SETUP", "L1", "T4", "T14", "C1", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')
    floor.play(PRESS, "STACK | K11 | #10 | STACK | K12 | #20 -> DONE")
    return floor


def places(floor):
    return {place: discs for place, discs in floor.discs_by_place().items() if discs}


def scope(floor):
    with floor.ledger.reading() as conn:
        return contain(SqlRecords(conn), n("T4"), Shape.WHOLE_LIFE)


@pytest.mark.parametrize(("right", "discs"), [(18, "2 discs fewer"), (23, "3 discs more")])
def test_a_counter_read_wrong_is_corrected_with_a_reason_and_a_second_person(floor, right, discs):
    stacked = floor.count("journal")
    floor.play(
        PRESS,
        f"""
        CORRECT | #{right} | "3 taken for 8 -> NEXT; Someone from quality checks it and scans a badge.
        P1 -> STOP same-person
        P3 -> STOP wrong-role
        P2 -> DONE; The counter of {n("L1")} is {right}, not 20: {discs} in {n("K12")}.
        """,
    )
    assert places(floor) == {n("K11"): 10, n("K12"): right - 10}
    assert floor.read("lot", "counter", code=n("L1")) == [(right,)]
    assert floor.read("run_segment", "first", "last") == [(1, right)]
    *_, (canonical,) = floor.read("journal", "canonical", order="seq")
    entry = read_entry(bytes(canonical))
    assert (entry.corrects, entry.reason) == (stacked, "3 taken for 8")
    found = scope(floor)
    assert (found.contradictions, [place.pieces for place in found.places if place.place == "total"]) == (
        (),
        [right],
    )
    # The press goes on from the right number.
    floor.play(PRESS, f"STACK | K13 | #{right + 4} -> DONE; 4 discs on spindle {n('K13')}.")


def test_trial_discs_are_corrected_too():
    floor = Floor.copy()
    floor.scan(PRESS, "P1", "SETUP", "L1", "T4", "T14", "C1", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')
    floor.play(PRESS, 'TRIAL | #6 | CORRECT | #4 | "read again | P2 -> DONE')
    assert places(floor) == {"set-up": 4}


def test_what_is_no_correction_is_refused(floor):
    least = f"The counter of {n('L1')} is at 20, and the discs of that reading begin at 11. "
    floor.play(
        PRESS,
        f"""
        CORRECT -> NEXT
        #20 -> STOP wrong-counter; {least}20 cannot replace it.
        #10 -> STOP wrong-counter; {least}10 cannot replace it.
        #5000 -> STOP counter-too-high
        K11 -> STOP wrong-thing
        """,
    )


def test_a_sampled_stroke_was_pressed(floor):
    floor.play(LAB, "P1 | SAMPLE | L1 | S1 | #3 | K11 -> DONE")
    floor.play(PRESS, "CORRECT | #12 -> NEXT\nCANCEL -> DONE")
    other = Floor.copy()
    other.scan(PRESS, "P1", "SETUP", "L1", "T4", "T14", "C1", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')
    other.play(PRESS, "STACK | K11 | #10 -> DONE")
    other.play(LAB, "P1 | SAMPLE | L1 | S1 | #9 | K11 -> DONE")
    [(seq,)] = other.read("sample", "seq")
    other.play(
        PRESS,
        f"CORRECT -> STOP rests-on-it; The reading 10 of {n('L1')} can no longer be corrected: entry {seq} took discs from {n('K11')}. Tell quality.",
    )


@pytest.mark.parametrize(
    ("station", "script", "what"),
    [
        (PRESS, "SCRAP | #1 -> DONE", "took discs from {K12}"),
        (
            LINE,
            "P1 | CLEAR | P2 | B1 | K12 | carton 1 | disc 1.1 | sleeve 1 -> MATCH",
            "discs of {K12} are packed already",
        ),
        (LAB, "P1 | COUNT | K12 | #10 -> DONE", "counted what is there"),
        (PRESS, "EMPTY | #20 -> DONE", "emptied the hopper since"),
    ],
)
def test_what_rests_on_the_reading_bars_its_correction(floor, station, script, what):
    floor.play(station, script)
    verdict = floor.scan(PRESS, "CORRECT")
    assert verdict.finding == "rests-on-it"
    assert what.replace("{K12}", n("K12")) in verdict.sentence


def test_what_came_between_two_scans_bars_it_as_well(floor):
    floor.play(PRESS, 'CORRECT | #18 | "misread -> NEXT')
    floor.play(LAB, "P1 | COUNT | K12 | #10 -> DONE")
    floor.play(PRESS, "P2 -> STOP rests-on-it")


def test_a_change_a_stop_or_no_stack_leaves_nothing_to_correct(floor):
    floor.play(PRESS, "CHANGE | C2 | #20 -> DONE")
    sentence = (
        f"The counter of {n('L1')} is at {{}}, and no stack or trial ends there, so this reading cannot be corrected here. "
        "Tell quality."
    )
    floor.play(PRESS, f"CORRECT -> STOP nothing-to-correct; {sentence.format(20)}")
    floor.play(PRESS, "STACK | K13 | #25 -> DONE\nCORRECT -> NEXT\n#20 -> STOP wrong-counter\nCANCEL -> DONE")
    floor.play(PRESS, f"CHANGE | C1 | #27 -> DONE\nCORRECT -> STOP nothing-to-correct; {sentence.format(27)}")
    floor.play(PRESS, "STOP | #27 -> DONE\nCORRECT -> STOP no-lot")


class TestResume:
    def test_a_lot_taken_off_before_its_end_goes_on_where_it_stopped(self, floor):
        floor.play(PRESS, "STOP | #22 -> DONE")
        first = f"Lot {n('L1')} is set up again from stroke 23. Press a first disc and scan START."
        floor.play(
            PRESS_2,
            f"""
            P1 | RESUME | L1 | T5 | T14 | C2 | E1 | E2 -> NEXT; Type " and then why it was taken off.
            "press 1 broke down -> DONE; {first}
            START | "EX-101-A | "EX-101-B | STACK | K13 | #30 -> DONE; 10 discs on spindle {n("K13")}.
            STOP | #30 -> DONE
            """,
        )
        assert floor.read(
            "run_segment", "first", "last", "press", "stamper_a", "compound", order="first"
        ) == [
            (1, 22, PRESS, n("T4"), n("C1")),
            (23, 30, PRESS_2, n("T5"), n("C2")),
        ]
        found = scope(floor)
        assert [(tier.lot, str(tier.strokes)) for tier in found.tiers] == [(n("L1"), "1-22")]
        floor.play(LAB, 'P1 | RELEASE | L1 | "heard -> DONE')

    def test_a_lot_taken_off_before_its_first_stroke(self):
        floor = Floor.copy()
        setup = "L1 | T4 | T14 | C1 | E1 | E2"
        floor.play(PRESS, f"P1 | SETUP | {setup} | STOP | #0 -> DONE")
        floor.play(PRESS, f'RESUME | {setup} | "the stamper was loose -> DONE')
        floor.play(
            PRESS,
            f'START | "EX-101-A | "EX-101-B | STOP | #5 | RESUME | {setup} | "again | STOP | #5 -> DONE',
        )
        floor.play(PRESS, f'RESUME | {setup} | "once more -> DONE')
        assert floor.read("run_segment", "first", "last", order="first") == [(1, 5), (6, 5)]

    def test_what_is_not_resumed(self, floor):
        floor.play(PRESS, "RESUME -> STOP press-busy")
        floor.play(
            PRESS_2,
            f"""
            P1 | RESUME -> NEXT
            L1 -> STOP not-taken-off; Lot {n("L1")} is running; RESUME is for a lot that was taken off its press.
            L2 -> STOP not-taken-off
            L99 -> STOP unknown-code
            """,
        )
        floor.play(PRESS, "STOP | #20 -> DONE")
        floor.play(LAB, 'P1 | RELEASE | L1 | "heard -> DONE')
        floor.play(
            PRESS_2,
            f"L1 -> STOP lot-decided; Lot {n('L1')} is released: no more discs can be added to it. Plan another lot.",
        )

    def test_a_held_lot_is_not_resumed(self, floor):
        floor.play(PRESS, "STOP | #20 -> DONE")
        floor.play(LAB, 'P1 | HOLD | L1 | "clicks -> DONE')
        floor.play(PRESS, "RESUME -> NEXT\nL1 -> STOP on-hold")


def test_the_dock_has_none_of_this(floor):
    floor.play(DOCK, "P1 -> DONE\nCORRECT -> STOP act-not-here")

"""The press room's rules, each with what it accepts and what it refuses."""

import pytest
from support_plant import LAB, LINE, PRESS, PRESS_2, TOOL, Floor, n, stamper
from support_sql import change

SETUP = "SETUP | L1 | T4 | T14 | C1 | E1 | E2"
"""Lot 1 is "Paper Comet Arithmetic"; T4, T5 are its side A stampers, T14, T15 its side B stampers."""

START = 'START | "EX-101-A | "EX-101-B'


@pytest.fixture
def floor():
    made = Floor.copy()
    made.play(PRESS, "P1 -> DONE")
    return made


@pytest.fixture
def running(floor):
    floor.play(PRESS, f"{SETUP} -> DONE\n{START} -> DONE")
    return floor


def hold(floor, subject, lab=LAB):
    floor.play(lab, f'P1 | HOLD | {subject} | "doubtful -> DONE')


def segments(floor):
    return floor.read(
        "run_segment",
        "first",
        "last",
        "stamper_a",
        "stamper_b",
        "life_a",
        "life_b",
        "compound",
        order="first",
    )


class TestSetUp:
    def test_a_lot_is_set_up_with_its_pair(self, floor):
        floor.play(
            PRESS,
            f"""
            SETUP -> NEXT; Scan the lot card.
            L1    -> NEXT; Scan the side A stamper.
            T4    -> NEXT; Scan the side B stamper.
            T14   -> NEXT; Scan the compound lot.
            C1    -> NEXT; Scan the side A label lot.
            E1    -> NEXT; Scan the side B label lot.
            E2    -> DONE; Lot {n("L1")}, "Paper Comet Arithmetic", is set up with {n("T4")} and {n("T14")}. Press a first disc and scan START.
            """,
        )
        assert segments(floor) == [(1, 0, n("T4"), n("T14"), 0, 0, n("C1"))]

    def test_the_lot(self, floor):
        hold(floor, "L5")
        floor.play(
            PRESS,
            f"""
            SETUP -> NEXT
            L99   -> STOP unknown-code; Lot card {n("L99")} is not in the system.
            K11   -> STOP wrong-thing; You scanned spindle card {n("K11")}. Scan a lot card.
            L5    -> STOP on-hold; Lot {n("L5")} is on hold: doubtful (hold {n("H1")}). Put it aside.
            L1    -> NEXT
            CANCEL -> DONE
            {SETUP} -> DONE
            """,
        )
        floor.play(
            PRESS_2,
            f"P1 | SETUP -> NEXT\nL1 -> STOP lot-used; Lot {n('L1')} is set up. Set up a planned lot.",
        )

    def test_a_lot_that_was_taken_off_is_resumed_and_not_set_up(self, floor):
        floor.press(1)
        told = (
            f"Lot {n('L1')} is pressed. Set up a planned lot. To continue this one, scan CANCEL, then RESUME."
        )
        floor.play(PRESS, f"SETUP -> NEXT\nL1 -> STOP lot-used; {told}\nCANCEL -> DONE")
        floor.play(LAB, 'P1 | RELEASE | L1 | "good -> DONE')
        told = f"Lot {n('L1')} is pressed. Set up a planned lot."
        floor.play(PRESS, f"SETUP -> NEXT\nL1 -> STOP lot-used; {told}")

    def test_the_stampers(self, floor):
        hold(floor, "T5")
        floor.play(TOOL, 'P1 | RETIRE | T15 | "worn -> DONE')
        floor.play(PRESS_2, "P1 | SETUP | L2 | T24 | T34 | C1 | E3 | E4 -> DONE")
        floor.play(
            PRESS,
            f"""
            SETUP | L1 -> NEXT
            T99   -> STOP unknown-code; Tool tag {n("T99")} is not in the system.
            T3    -> STOP not-a-stamper; {n("T3")} is a mother. Scan a stamper.
            T5    -> STOP on-hold; Stamper {n("T5")} is on hold: doubtful (hold {n("H1")}). Put it aside.
            T24   -> STOP stamper-elsewhere; Stamper {n("T24")} is on press {PRESS_2}. Check the tag.
            T14   -> STOP pair-swapped; Stamper {n("T14")} is side B of "Paper Comet Arithmetic" (EX-101-B); side A is EX-101-A. The pair is swapped: scan the side A stamper.
            T64   -> STOP wrong-stamper; Stamper {n("T64")} is cut EX-103-A; side A of "Paper Comet Arithmetic" is EX-101-A. They do not belong together: put {n("T64")} back and fetch the right stamper.
            T4    -> NEXT
            T4    -> STOP pair-swapped
            T15   -> STOP tool-retired; Stamper {n("T15")} is retired and may not be used.
            T14   -> NEXT
            """,
        )

    def test_the_materials(self, floor):
        hold(floor, "C2")
        hold(floor, "E1")
        floor.play(
            PRESS,
            f"""
            SETUP | L1 | T4 | T14 -> NEXT
            C9    -> STOP unknown-code; Material {n("C9")} is not in the system.
            C2    -> STOP on-hold; Material {n("C2")} is on hold: doubtful (hold {n("H1")}). Put it aside.
            C1    -> NEXT
            E3    -> STOP wrong-label; Labels {n("E3")} are for side A of disc 1 of {n("sleeve 2")}; side A of "Paper Comet Arithmetic" ({n("sleeve 1")}) is being set up. Fetch the right labels.
            E2    -> STOP wrong-label
            E1    -> STOP on-hold
            """,
        )

    def test_one_lot_to_a_press(self, floor):
        floor.play(
            PRESS,
            f"{SETUP} -> DONE\nSETUP -> STOP press-busy; Lot {n('L1')} is still on this press. Scan STOP first.",
        )

    @pytest.mark.parametrize(
        ("meanwhile", "finding"),
        [
            ((PRESS_2, f"P1 | {SETUP} -> DONE"), "lot-used"),
            ((PRESS_2, "P1 | SETUP | L5 | T4 | T14 | C1 | E1 | E2 -> DONE"), "stamper-elsewhere"),
            ((TOOL, 'P1 | RETIRE | T14 | "worn -> DONE'), "tool-retired"),
            ((LAB, 'P1 | HOLD | C1 | "wet -> DONE'), "on-hold"),
        ],
    )
    def test_what_happened_elsewhere_between_two_scans_counts(self, floor, meanwhile, finding):
        floor.play(PRESS, "SETUP | L1 | T4 | T14 | C1 | E1 -> NEXT")
        floor.play(*meanwhile)
        floor.play(PRESS, f"E2 -> STOP {finding}\nCANCEL -> DONE")
        assert len(segments(floor)) == (1 if meanwhile[0] == PRESS_2 else 0)


class TestStart:
    def test_the_first_disc_is_read_by_eye(self, floor):
        floor.play(
            PRESS,
            f"""
            START -> STOP no-lot; No lot is set up on this press. Scan SETUP first.
            {SETUP} -> DONE
            START -> NEXT; Type " and then the matrix number on side A of the first disc.
            "ex-101-a -> NEXT; Type " and then the matrix number on side B of the first disc.
            "EX-101-B -> DONE; Lot {n("L1")} is running.
            """,
        )

    def test_another_matrix_number_stops_the_run(self, floor):
        floor.play(
            PRESS,
            f"""
            {SETUP} -> DONE
            START -> NEXT
            "EX-101-B -> STOP wrong-matrix; The first disc reads EX-101-B on side A; "Paper Comet Arithmetic" is EX-101-A. Do not run.
            #1        -> STOP wrong-thing; You keyed 1. Type " and then the matrix number of side A.
            "EX-10l-A -> STOP wrong-format
            "EX-101-A -> NEXT
            """,
        )

    def test_signs_that_look_alike_are_pointed_out(self):
        """O and 0 are never taken for each other; the person is told to look again."""
        floor = Floor.copy()
        with floor.ledger.transaction() as conn:
            change(conn, "plant", {"matrix_pattern": "[A-Z]{2}-[0-9O]{3}-[A-D]"})
        floor.play(
            PRESS,
            f"""
            P1 | {SETUP} -> DONE
            START -> NEXT
            "EX-1O1-A -> STOP wrong-matrix; The first disc reads EX-1O1-A on side A; "Paper Comet Arithmetic" is EX-101-A. They differ only in characters that look alike: read it again. Do not run.
            """,
        )

    @pytest.mark.parametrize("act", ["STACK", "SCRAP", "CHANGE"])
    def test_nothing_is_counted_before_the_start(self, floor, act):
        floor.play(
            PRESS,
            f"""
            {act} -> STOP no-lot
            {SETUP} -> DONE
            {act} -> STOP not-started; Lot {n("L1")} is not started. Scan START first.
            {START} -> DONE
            {act} -> NEXT
            """,
        )

    def test_a_lot_that_never_started_can_be_taken_off_the_press(self, floor):
        floor.play(
            PRESS,
            f"""
            {SETUP} -> DONE
            STOP | #0 -> DONE; Lot {n("L1")} is finished: 0 discs counted.
            STOP -> STOP no-lot
            """,
        )

    def test_a_counter_far_over_the_plan_is_a_slip_of_the_finger(self, floor):
        """What was booked too high could not be taken back; overs are some percent (common practice)."""
        floor.play(
            PRESS,
            f"""
            {SETUP} | {START} -> DONE
            STACK | K11 | #1001 -> STOP counter-too-high; 1001 is far beyond the 500 discs planned for {n("L1")}. Read it again; if the lot really is that long, plan it as several lots.
            #1000 -> DONE
            """,
        )

    def test_discs_left_at_the_counter_are_told_at_the_end(self, floor):
        floor.play(
            PRESS,
            f"""
            {SETUP} | {START} -> DONE
            STACK | K11 | #10 -> DONE
            STOP | #12 -> DONE; Lot {n("L1")} is finished: 12 discs counted. 2 discs without a spindle, not accounted for.
            """,
        )


class TestCounting:
    def test_stacks_take_what_was_counted_since_the_last(self, running):
        running.play(
            PRESS,
            f"""
            STACK -> NEXT; Scan a new spindle card.
            K11   -> NEXT; Key the press counter, such as #412.
            #10   -> DONE; 10 discs on spindle {n("K11")}.
            STACK -> NEXT
            K11   -> STOP card-in-use; Spindle card {n("K11")} is in use already. Take a new card.
            L1    -> STOP wrong-thing
            K12   -> NEXT
            #9    -> STOP counter-backwards; You keyed 9, and the counter of {n("L1")} was already at 10. Read it again.
            #10   -> STOP nothing-to-stack; No disc has been counted since the last stack of {n("L1")}. Read the counter again.
            #15   -> DONE; 5 discs on spindle {n("K12")}.
            STOP | #16 -> DONE; Lot {n("L1")} is finished: 16 discs counted. 1 disc without a spindle, not accounted for.
            STOP  -> STOP no-lot
            """,
        )
        assert running.read("stock", "place", "quantity", order="place") == [
            (n("K11"), 10),
            (n("K12"), 5),
            ("counter", 1),
        ]

    def test_a_sample_leaves_a_gap_in_the_stack(self, running):
        running.play(LAB, "P1 | SAMPLE | L1 | S1 | #4 -> DONE")
        running.play(PRESS, f"STACK | K11 -> NEXT\n#10 -> DONE; 9 discs on spindle {n('K11')}.")
        assert running.read("movement", "quantity", "first", "last", target=n("K11")) == [
            (3, 1, 3),
            (6, 5, 10),
        ]

    def test_scrap_comes_out_of_the_last_stack(self, running):
        running.play(
            PRESS,
            f"""
            SCRAP -> NEXT; Key how many were scrapped.
            #1    -> STOP no-spindle; No stack has been taken yet, and discs are scrapped from a stack. Scan STACK first.
            CANCEL | STACK | K11 | #5 -> DONE
            SCRAP -> NEXT
            #6    -> STOP wrong-count; Spindle {n("K11")} holds 5 discs; 6 cannot be scrapped from it.
            #0    -> STOP wrong-count
            "five -> STOP wrong-thing
            #5    -> DONE; 5 discs scrapped from spindle {n("K11")}.
            """,
        )
        assert running.read("stock", "quantity", place="scrap") == [(5,)]

    def test_a_spindle_card_taken_at_another_press_meanwhile(self, running):
        running.play(
            PRESS_2,
            'P1 | SETUP | L2 | T24 | T34 | C1 | E3 | E4 | START | "EX-102-A | "EX-102-B | STACK | K11 -> NEXT',
        )
        running.play(PRESS, "STACK | K11 | #5 -> DONE")
        running.play(
            PRESS_2,
            f"""
            #5 -> STOP card-in-use; Spindle card {n("K11")} is in use already. Take a new card. Scan CANCEL and begin again.
            CANCEL | STACK | K12 | #5 -> DONE
            """,
        )


class TestChange:
    def test_each_stamper_keeps_its_own_life(self, running):
        running.play(
            PRESS,
            f"""
            STACK | K11 | #10 -> DONE
            CHANGE -> NEXT; Scan the new stamper, compound lot or label lot.
            T5     -> NEXT; Key the press counter, such as #412.
            #12    -> DONE; From stroke 13 on, lot {n("L1")} runs with {n("T5")}.
            CHANGE | C2 | #15 -> DONE
            CHANGE | T4 | #20 -> DONE
            CHANGE | T15 | #20 -> DONE
            STOP | #22 -> DONE
            """,
        )
        assert segments(running) == [
            (1, 12, n("T4"), n("T14"), 0, 0, n("C1")),
            (13, 15, n("T5"), n("T14"), 0, 12, n("C1")),
            (16, 20, n("T5"), n("T14"), 3, 15, n("C2")),
            (21, 22, n("T4"), n("T15"), 12, 0, n("C2")),
        ]
        running.play(
            TOOL,
            f"P1 | T4 -> DONE; Stamper {n('T4')} side A, EX-101-A, in use, 14 strokes.",
        )

    def test_an_emptied_hopper_is_kept_with_the_stroke_it_came_after(self, running):
        running.play(
            PRESS,
            f"""
            STACK | K11 | #10 -> DONE
            EMPTY -> NEXT; Key the press counter, such as #412.
            #12   -> DONE; Hopper emptied: from stroke 13 on, lot {n("L1")} holds only what is filled in now.
            EMPTY | #11 -> STOP counter-backwards
            CANCEL -> DONE
            """,
        )
        assert running.read("hopper_emptied", "press", "lot", "after") == [(PRESS, n("L1"), 12)]
        assert segments(running)[-1][:2] == (1, 12)

    def test_without_a_lot_there_is_no_counter_to_empty_at(self, running):
        running.play(PRESS, "STOP | #5 -> DONE")
        running.play(PRESS, "EMPTY -> STOP no-lot")

    def test_labels_are_changed_by_their_side(self, running):
        """Two more label lots of the plant are made to fit the running disc, one for each side."""
        with running.ledger.transaction() as conn:
            for label, side in (("E3", "A"), ("E4", "B")):
                change(conn, "material", {"gtin": n("sleeve 1"), "piece": 1, "side": side}, code=n(label))
        running.play(PRESS, "CHANGE | E3 | #5 | CHANGE | E4 | #9 -> DONE")
        assert running.read("run_segment", "first", "label_a", "label_b", order="first") == [
            (1, n("E1"), n("E2")),
            (6, n("E3"), n("E2")),
            (10, n("E3"), n("E4")),
        ]

    def test_what_may_be_changed(self, running):
        hold(running, "C2")
        running.play(PRESS_2, "P1 | SETUP | L5 | T5 | T15 | C1 | E1 | E2 -> DONE")
        running.play(
            PRESS,
            f"""
            CHANGE -> NEXT
            T4     -> STOP already-mounted; {n("T4")} is mounted here already.
            C1     -> STOP already-mounted
            E2     -> STOP already-mounted
            T64    -> STOP wrong-stamper
            T5     -> STOP stamper-elsewhere
            C2     -> STOP on-hold
            E3     -> STOP wrong-label
            L1     -> STOP wrong-thing; You scanned lot card {n("L1")}. Scan the new stamper, compound lot or label lot.
            #3     -> STOP wrong-thing
            """,
        )

    def test_a_stamper_mounted_elsewhere_meanwhile(self, running):
        running.play(PRESS, "CHANGE | T5 -> NEXT")
        running.play(PRESS_2, "P1 | SETUP | L5 | T5 | T15 | C1 | E1 | E2 -> DONE")
        running.play(PRESS, "#3 -> STOP stamper-elsewhere\nCANCEL -> DONE")


def test_a_look_at_a_mounted_stamper_says_where(running):
    running.play(
        TOOL,
        f"P1 | T4 -> DONE; Stamper {n('T4')} side A, EX-101-A, in use, mounted on press {PRESS}, 0 strokes.",
    )


def test_a_bare_scan_asks_for_an_act(floor):
    floor.play(
        PRESS,
        f"L1 -> STOP wrong-thing; You scanned lot card {n('L1')}. Scan an action card (SETUP, START, CORRECT, RESUME, STACK, TRIAL, SCRAP, CHANGE, EMPTY, STOP, COUNT).",
    )


@pytest.mark.parametrize("held", ["stamper", "lot", "compound", "press"])
def test_a_hold_on_what_runs_is_told_at_the_next_stack_and_holds_it(floor, held):
    """The discs are there and are booked; nobody goes on as if nothing were, and they do not reach a sleeve."""
    codes = {"stamper": stamper("EX-101-A"), "lot": n("L1"), "compound": n("C1"), "press": PRESS}
    floor.play(
        PRESS, f"{SETUP} | {START} -> DONE\nSTACK | K11 | #10 -> DONE; 10 discs on spindle {n('K11')}."
    )
    floor.play(LAB, f'P1 | HOLD | {codes[held]} | "looks scratched -> DONE')
    floor.play(
        PRESS,
        f"""
        STACK | K12 -> NEXT
        #20 -> STOP on-hold; 10 discs on spindle {n("K12")}. But {codes[held]} is on hold: looks scratched (hold {n("H1")}). Stop the press; put the spindle aside.
        STOP | #20 -> DONE
        """,
    )
    floor.scan(LINE, "P1", "CLEAR", "P2", "B1")
    assert floor.scan(LINE, "K12").finding == "on-hold"
    # What was stacked before the hold is for a containment to scope; a held lot is held as a whole.
    assert floor.scan(LINE, "K11").finding == ("on-hold" if held == "lot" else None)

"""The lab's and quality's rules, each with what it accepts and what it refuses."""

import pytest
from support_plant import LAB, LAB_2, LINE, PRESS, Floor, n, stamper

FROM = "Scan the spindle or carton the disc is from, or key the number of its return, such as #3."


@pytest.fixture
def floor():
    made = Floor.copy()
    made.press(1)
    made.play(LAB, "P1 -> DONE")
    made.play(LAB_2, "P1 -> DONE")
    return made


@pytest.fixture
def sampled(floor):
    floor.play(LAB, "SAMPLE | L1 | S1 | #12 | K12 -> DONE")
    return floor


class TestSamples:
    def test_a_sample_is_a_disc_of_a_stroke(self, floor):
        floor.play(
            LAB,
            f"""
            SAMPLE -> NEXT; Scan the lot card.
            L1     -> NEXT; Scan a new sample tag.
            S1     -> NEXT; Key the stroke of the disc, such as #250; if it is not known, type "unknown.
            #12    -> NEXT; Disc 12 was put on spindle {n("K12")}; the system shows 10 discs there now. {FROM}
            K12    -> DONE; Sample {n("S1")} is disc 12 of lot {n("L1")}, from spindle {n("K12")}. The system shows 9 discs of the lot there now.
            S1     -> DONE; Sample {n("S1")} is disc 12 of lot {n("L1")}, not judged yet.
            """,
        )
        moved = floor.read("movement", "source", "quantity", "first", "last", target=n("S1"))
        assert moved == [(n("K12"), 1, 12, 12)]
        assert floor.read("stock", "place", "quantity", quantity=9) == [(n("K12"), 9)]

    def test_the_lot_tag_and_stroke_are_judged(self, sampled):
        sampled.play(
            LAB,
            f"""
            SAMPLE -> NEXT
            L99    -> STOP unknown-code; Lot card {n("L99")} is not in the system.
            L2     -> STOP not-pressed; Lot {n("L2")} is planned; it has no discs yet.
            L1     -> NEXT
            S1     -> STOP tag-in-use; Sample tag {n("S1")} is in use already. Take a new tag.
            S2     -> NEXT
            #0     -> STOP no-such-stroke; Lot {n("L1")} has strokes 1 to 20; it has no disc 0. Read the stroke again.
            #21    -> STOP no-such-stroke; Lot {n("L1")} has strokes 1 to 20; it has no disc 21. Read the stroke again.
            #12    -> STOP already-sampled; Disc 12 of {n("L1")} has been sampled already: tag {n("S1")}.
            "ten   -> STOP wrong-thing
            #20 | K12 -> DONE
            """,
        )

    def test_a_disc_in_the_hand_reads_a_running_counter_forward(self, floor):
        floor.press(2, strokes=4, stacks=1)
        floor.play(PRESS, 'SETUP | L5 | T5 | T15 | C1 | E1 | E2 | START | "EX-101-A | "EX-101-B -> DONE')
        floor.play(LAB, "SAMPLE | L5 | S1 | #7 -> DONE")
        assert floor.read("lot", "counter", code=n("L5")) == [(7,)]
        floor.play(PRESS, f"STACK | K51 -> NEXT\n#7 -> DONE; 6 discs on spindle {n('K51')}.")
        floor.play(LAB, "SAMPLE | L5 | S2 | #3 | K51 -> DONE")

    def test_a_spindle_empty_by_the_records_gives_no_disc(self, floor):
        floor.open_line(1, [11], 1)
        floor.match(1, 5)
        floor.scan(LINE, "CLOSE", "carton 2")
        floor.match(1, 5)
        floor.play(
            LAB,
            f"""
            SAMPLE | L1 | S1 -> NEXT
            #3 -> NEXT; Disc 3 was put on spindle {n("K11")}; the system shows no disc there now. {FROM}
            K11 -> STOP spindle-empty; The system shows that spindle {n("K11")} holds no disc of lot {n("L1")}. Scan where the disc was taken from; if it was there, count and tell quality.
            carton 1 -> DONE; Sample {n("S1")} is disc 3 of lot {n("L1")}, from carton {n("carton 1")}. The system shows 4 discs of the lot there now.
            """,
        )

    def test_a_tag_taken_at_another_bench_meanwhile(self, floor):
        floor.play(LAB, "SAMPLE | L1 | S1 -> NEXT")
        floor.play(LAB_2, "SAMPLE | L1 | S1 | #5 | K11 -> DONE")
        floor.play(LAB, "#6 -> STOP tag-in-use\nCANCEL -> DONE")


class TestWhereASampleIsFrom:
    """SAMPLE asks where a disc that left the press was taken from; nothing is looked up for it."""

    def test_a_packed_disc_comes_out_of_its_carton_and_its_unit_is_opened(self, floor):
        floor.open_line(1, [11], 1)
        floor.match(1, 5)
        floor.scan(LINE, "CLOSE")
        floor.play(
            LAB,
            f"""
            SAMPLE | L1 | S1 | "Unknown -> NEXT; {FROM}
            carton 1 -> DONE; Sample {n("S1")} is a disc of lot {n("L1")}, stroke unknown, from carton {n("carton 1")}. The system shows 4 discs of the lot there now.
            S1 -> DONE; Sample {n("S1")} is a disc of lot {n("L1")}, stroke unknown, not judged yet.
            BAD | S1 | "click -> DONE; Sample {n("S1")} (lot {n("L1")}, stroke unknown) is bad: click.
            """,
        )
        assert floor.discs_by_place() == {
            "counter": 0, n("K11"): 5, n("K12"): 10, n("carton 1"): 4, n("S1"): 1,
        }  # fmt: skip
        assert floor.read("carton", "units", sscc=n("carton 1")) == [(4,)]
        assert floor.read("label_count", "subject", "fate", "quantity") == [(n("B1"), "samples", 1)]
        assert floor.read("movement", "sense", target=n("S1")) == [(None,)]

    def test_a_numbered_sleeve_of_the_unit_is_named_and_void(self, floor):
        floor.press(4, stacks=1)
        floor.open_line(3, [41], 11)
        floor.scan(LINE, "disc 3.1", "sleeve 3 no 7", "disc 3.1", "sleeve 3 no 8", "CLOSE")
        floor.play(
            LAB,
            """
            SAMPLE | L4 | S1 | #3 | carton 11 -> NEXT; Scan the sleeve of the unit, or type its number.
            "9 -> STOP wrong-sleeve
            sleeve 3 no 7 -> DONE
            """,
        )
        assert floor.read("numbered_sleeve", "number") == [("8",)]
        assert floor.count("void_label") == 1

    def test_each_disc_of_a_set_may_be_taken_of_one_unit(self, floor):
        floor.press(2, strokes=4, stacks=1)
        floor.press(3, strokes=4, stacks=1)
        floor.open_line(2, [21, 31], 21)
        for _ in range(2):
            floor.scan(LINE, "disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2")
        floor.scan(LINE, "CLOSE")
        floor.play(LAB, 'SAMPLE | L2 | S1 | "unknown | carton 21 -> DONE')
        assert floor.read("carton", "units", sscc=n("carton 21")) == [(1,)]
        floor.play(LAB, 'SAMPLE | L3 | S2 | "unknown | carton 21 -> DONE')
        assert floor.read("carton", "units", sscc=n("carton 21")) == [(1,)]
        floor.play(LAB, 'SAMPLE | L3 | S3 | "unknown | carton 21 -> DONE')
        assert floor.read("carton", "units", sscc=n("carton 21")) == [(0,)]
        floor.play(
            LAB,
            f"""
            SAMPLE | L3 | S4 | "unknown -> NEXT
            carton 21 -> STOP not-in-records; The system shows that carton {n("carton 21")} holds no disc of lot {n("L3")}. Scan where the disc was taken from; if it was there, count and tell quality.
            """,
        )

    def test_a_place_that_cannot_be_is_refused(self, floor):
        floor.press(2, strokes=4, stacks=1)
        floor.open_line(1, [11], 1)
        floor.match(1, 1)
        floor.play(
            LAB,
            f"""
            SAMPLE | L1 | S1 | #3 -> NEXT
            K99 -> STOP unknown-code; Spindle card {n("K99")} is not in the system.
            K21 -> STOP wrong-lot; Spindle {n("K21")} holds lot {n("L2")}, not {n("L1")}. Check the lot card and the spindle card.
            K12 -> STOP wrong-thing; Disc 3 was put on spindle {n("K11")}, not {n("K12")}. Read the stroke and the card again.
            carton 9 -> STOP unknown-code; Carton {n("carton 9")} has not been packed.
            carton 1 -> STOP carton-open; Carton {n("carton 1")} is open at a line. Scan CLOSE there first, then take the sample.
            #4 -> STOP unknown-code; Return 4 is not in the system.
            T4 -> STOP wrong-thing; You scanned tool tag {n("T4")}. {FROM}
            "there -> STOP wrong-thing; You typed "there". {FROM}
            GOOD -> STOP act-not-finished
            K11 -> DONE
            """,
        )

    def test_what_an_act_asks_for_may_change_while_it_is_open(self, floor):
        """Another bench takes the last numbered unit while this one is asked for its number."""
        floor.press(4, stacks=1)
        floor.open_line(3, [41], 11)
        floor.scan(LINE, "disc 3.1", "sleeve 3 no 7", "CLOSE")
        floor.play(LAB, 'SAMPLE | L4 | S1 | "unknown | carton 11 -> NEXT')
        floor.play(LAB_2, 'SAMPLE | L4 | S2 | "unknown | carton 11 | "7 -> DONE')
        floor.play(
            LAB,
            """
            "7 -> STOP not-in-records
            GOOD -> STOP not-in-records
            CANCEL -> DONE
            """,
        )


class TestJudging:
    def test_good_bad_and_corrected(self, sampled):
        name = f"Sample {n('S1')} (lot {n('L1')}, disc 12)"
        sampled.play(
            LAB,
            f"""
            REJUDGE -> NEXT; Scan the sample tag.
            S1      -> STOP not-judged; Sample {n("S1")} has no judgement to correct. Scan CANCEL, then GOOD or BAD.
            CANCEL | BAD | S1 -> NEXT; Type " and then the name of the defect.
            " Good  -> STOP wrong-format; A bad sample needs the name of its defect, not the word good. Type the name, or scan CANCEL and GOOD.
            " Click -> DONE; {name} is bad: click.
            GOOD    -> NEXT
            S9      -> STOP unknown-code; Sample tag {n("S9")} is not in the system.
            S1      -> STOP already-judged; Sample {n("S1")} has been judged already (bad: click). To correct it, scan CANCEL, then REJUDGE.
            CANCEL | REJUDGE | S1 -> NEXT; Type " and then good, or the name of the defect.
            "good   -> NEXT; Type " and then why the judgement is corrected.
            "dust on the needle -> DONE; {name} is good.
            S1      -> DONE; Sample {n("S1")} is disc 12 of lot {n("L1")}, judged good.
            REJUDGE | S1 | "no fill | "heard again -> DONE; {name} is bad: no fill.
            """,
        )
        first, second, third = sampled.read("judgement", "good", "defect", "corrected_by", "seq", order="seq")
        assert (first[:3], second[:3], third[:3]) == (
            (0, "click", second[3]),
            (1, None, third[3]),
            (0, "no fill", None),
        )

    def test_a_judgement_at_another_bench_meanwhile_is_not_corrected_unseen(self, sampled):
        sampled.play(LAB, "BAD | S1 -> NEXT")
        sampled.play(LAB_2, "GOOD | S1 -> DONE")
        sampled.play(LAB, '"click -> STOP already-judged')
        assert sampled.read("judgement", "good", "corrected_by") == [(1, None)]

    def test_measured_values_keep_every_digit(self, sampled):
        form = "name=value unit, such as mass=141.2 g"
        sampled.play(
            LAB,
            f"""
            MEASURE | S1 -> NEXT; Type " and then {form}.
            "heavy  -> STOP wrong-format; "heavy" is not a measured value. Type it as {form}.
            "mass=141,2 g -> STOP wrong-format
            "mass=1e3 g   -> STOP wrong-format
            "mass=141.20 g -> DONE; Sample {n("S1")}: mass 141.20 g.
            MEASURE | S1 | "warp =-0.3 mm -> DONE; Sample {n("S1")}: warp -0.3 mm.
            """,
        )
        assert sampled.read("measurement", "quantity", "value", "unit") == [
            ("mass", "141.20", "g"),
            ("warp", "-0.3", "mm"),
        ]


class TestDecisions:
    def decision(self, floor):
        return floor.read("lot", "decision", code=n("L1"))[0][0]

    def test_a_release_needs_a_reason_and_the_role(self, floor):
        floor.play(
            LAB,
            f"""
            P3      -> DONE; Cleo is signed on. Scan an action card.
            RELEASE -> STOP wrong-role; Cleo may not do RELEASE: that needs the role quality. Ask someone who has it.
            P2      -> DONE
            RELEASE -> NEXT
            L2      -> STOP not-pressed
            L1      -> NEXT; Type " and then the reason.
            #5      -> STOP wrong-thing; You keyed 5. Type " and then the reason.
            "listened -> DONE; Ben released lot {n("L1")}: no disc was judged.
            """,
        )
        assert self.decision(floor) == "released"
        assert floor.read("journal", "canonical", kind="lot-decided")[0][0].count(b'"reason":"listened"') == 1

    def test_release_after_reject_needs_two_people(self, floor):
        floor.play(
            LAB,
            f"""
            REJECT | L1 -> NEXT
            "clicks  -> DONE; Ada rejected lot {n("L1")}: all of it is on hold, wherever it is (hold {n("H1")}).
            RELEASE | L1 -> NEXT
            "all well -> STOP lot-rejected; Lot {n("L1")} was rejected. Only two people can release it: scan CANCEL, then LIFT its hold and OVERRULE.
            CANCEL | LIFT | L1 | "heard twice | P2 | OVERRULE | L1 | "heard twice -> NEXT; Scan the badge of the second person.
            P1 -> STOP same-person; Two people are needed: a second person scans a badge.
            P3 -> STOP wrong-role; Cleo cannot be the second person: that needs the role quality. Ask someone who has it.
            P99 -> STOP unknown-code
            L1 -> STOP wrong-thing; You scanned lot card {n("L1")}. Scan the badge of a second person.
            P2 -> DONE; Lot {n("L1")} is released by two people.
            """,
        )
        assert self.decision(floor) == "released"
        assert floor.count("journal", kind="signed-on") > 0
        [(desk,)] = floor.read("station", "desk", code=LAB)
        assert n("P1") in desk

    def test_a_lot_on_hold_is_not_released(self, floor):
        floor.play(
            LAB,
            f"""
            HOLD | L1 | "warped -> DONE; {n("L1")} is on hold (hold {n("H1")}).
            RELEASE | L1 -> NEXT
            "fine -> STOP on-hold; Lot {n("L1")} is on hold: warped (hold {n("H1")}). Lift the hold first.
            """,
        )
        assert self.decision(floor) == "pending"

    def test_a_lot_that_still_runs_is_not_released(self, floor):
        a, b = stamper("EX-102-A"), stamper("EX-102-B")
        floor.scan(PRESS, "P1", "SETUP", "L2", a, b, "C1", "E3", "E4", "START", '"EX-102-A', '"EX-102-B')
        floor.play(
            LAB,
            f"""
            RELEASE | L2 -> NEXT
            "fine -> STOP not-pressed; Lot {n("L2")} is running: wait until it is pressed and judged.
            """,
        )

    def test_a_lot_with_a_bad_sample_takes_two_people(self, floor):
        floor.play(
            LAB,
            f"""
            SAMPLE | L1 | S1 | #3 | K11 | GOOD | S1 -> DONE
            SAMPLE | L1 | S2 | #9 | K11 | BAD | S2 | "noise -> DONE
            RELEASE | L1 -> NEXT
            "all good -> STOP bad-samples; 1 of 2 judged samples of lot {n("L1")} is bad. Only two people can release it: scan CANCEL, then OVERRULE.
            CANCEL | REJUDGE | S2 | "good | "dust, wiped off -> DONE
            RELEASE | L1 | "all good -> DONE; Ada released lot {n("L1")}: 2 samples judged, none bad.
            RELEASE | L1 | "all good -> DONE; Lot {n("L1")} was released before; Ada released it again: 2 samples judged, none bad.
            """,
        )

    def test_two_people_release_over_a_bad_sample(self, floor):
        floor.play(
            LAB,
            f"""
            SAMPLE | L1 | S2 | #9 | K11 | BAD | S2 | "noise -> DONE
            OVERRULE | L1 | "one disc, thrown out | P2 -> DONE; Lot {n("L1")} is released by two people.
            """,
        )

    def test_two_people_do_not_release_past_a_hold(self, floor):
        floor.play(
            LAB,
            f"""
            REJECT | L1 | "clicks -> DONE
            HOLD | L1 | "warped -> DONE
            OVERRULE | L1 | "heard twice -> NEXT
            P2 -> STOP on-hold; Lot {n("L1")} is on hold: clicks (hold {n("H1")}). Lift the hold first.
            CANCEL | LIFT | H1 | "heard twice | P2 | OVERRULE | L1 | "heard twice -> NEXT
            P2 -> STOP on-hold; Lot {n("L1")} is on hold: warped (hold {n("H2")}). Lift the hold first.
            """,
        )
        assert self.decision(floor) == "rejected"


class TestHolds:
    def test_lifting_takes_two_people_and_a_reason(self, floor):
        floor.play(
            LAB,
            f"""
            HOLD -> NEXT; Scan what to hold.
            K11  -> NEXT
            "sticky -> DONE; {n("K11")} is on hold (hold {n("H1")}).
            LIFT -> NEXT; Scan the hold, or what is on hold.
            H9   -> STOP unknown-code; Hold {n("H9")} is not in the system, or has been lifted.
            H1 | "looked at -> NEXT
            P1   -> STOP same-person
            P2   -> DONE; Hold {n("H1")} is lifted by two people.
            LIFT -> NEXT
            H1   -> STOP unknown-code; Hold {n("H1")} is not in the system, or has been lifted.
            """,
        )

    def test_a_hold_lifted_at_another_bench_meanwhile(self, floor):
        floor.play(LAB, 'HOLD | K11 | "sticky | LIFT | H1 | "looked at -> NEXT')
        floor.play(LAB_2, 'LIFT | H1 | "me too | P2 -> DONE')
        [before] = floor.read("hold", "lifted_seq")
        floor.play(
            LAB,
            f"P2 -> STOP unknown-code; Hold {n('H1')} is not in the system, or has been lifted. Scan CANCEL and begin again.",
        )
        assert floor.read("hold", "lifted_seq") == [before]

    def test_what_may_be_held(self, floor):
        floor.open_line(1, [11], 1)
        floor.play(
            LAB,
            f"""
            HOLD -> NEXT
            L99  -> STOP unknown-code; {n("L99")} is not in the system; it cannot be put on hold.
            P1   -> DONE; Ada is signed on. HOLD cancelled: it was not finished. Scan an action card.
            HOLD -> NEXT
            H1   -> STOP wrong-thing; You scanned hold {n("H1")}. Scan what to hold.
            "all -> STOP wrong-thing
            disc 1.1 -> STOP wrong-thing; You scanned a disc of {n("sleeve 1")}. Scan a lot, tool, spindle, carton, pallet, batch or numbered sleeve.
            sleeve 1 -> STOP wrong-thing
            sleeve 3 no 7 -> STOP unknown-code
            carton 9 -> STOP unknown-code
            CANCEL -> DONE
            """,
        )
        for thing in ("L1", "T4", "K11", "C1", "E1", "B1", "carton 1", "W2"):
            floor.play(LAB, f'HOLD | {thing} | "why -> DONE')
        assert floor.count("hold_item") == 8

    def test_a_numbered_sleeve_is_held_by_its_number(self, floor):
        floor.press(4)
        floor.open_line(3, [41], 1)
        floor.play(LINE, "disc 3.1 | sleeve 3 no 7 -> MATCH")
        floor.play(
            LAB,
            f'HOLD | sleeve 3 no 7 | "smudged -> DONE; (01)0{n("sleeve 3")}(21)7 is on hold (hold {n("H1")}).',
        )


def test_a_bare_scan_asks_for_an_act_or_a_tag(floor):
    floor.play(
        LAB,
        f"""
        "hello -> STOP wrong-thing; You typed "hello". Scan an action card or a sample tag.
        L1 -> STOP wrong-thing
        S9 -> STOP unknown-code; Sample tag {n("S9")} is not in the system.
        """,
    )

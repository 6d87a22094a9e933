"""The packing line: clearance, what is opened and closed, rejects, no-reads, stops."""

import json

import pytest
from support_judged import judged
from support_pins import rebuilds
from support_plant import LAB, LINE, LINE_2, Floor, n, pallet_sscc, raw
from support_sql import change

from tracelink.ledger.packs import unpack_scans
from tracelink.store.journal import journal

LOOK = "Check these are empty: stack, magazine, sleeves, inserts, printer, floor, reject bin. Then a second person checks and scans a badge."


@pytest.fixture
def floor():
    """Product 1 on spindles 11, 12 and 51; the set of product 2 on 21 and 31."""
    made = Floor.copy()
    made.press(1)
    made.press(2)
    made.press(3)
    made.press(5, stacks=1)
    made.play(LINE, "P1 -> DONE; Ada is signed on. Scan CLEAR, then a second person's badge.")
    made.play(LAB, "P1 -> DONE")
    return made


@pytest.fixture
def packing(floor):
    floor.play(LINE, "CLEAR | P2 | B1 | K11 | carton 1 -> DONE")
    return floor


@pytest.fixture
def sets(floor):
    floor.play(LINE, "CLEAR | P2 | B2 | K21 | K31 | carton 1 -> DONE")
    return floor


def hold(floor, subject):
    floor.play(LAB, f'HOLD | {subject} | "doubtful -> DONE')


def stock(floor):
    return floor.discs_by_place()


class TestSignOn:
    def test_only_packers_pack(self):
        Floor.copy().play(
            LINE,
            """
            disc 1.1 -> STOP nobody-signed-on; Nobody is signed on here. Scan your badge first.
            CLEAR    -> STOP nobody-signed-on
            P3       -> STOP wrong-role; Cleo may not do packing: that needs the role line. Ask someone who has it.
            P2       -> DONE; Ben is signed on....
            """,
        )

    def test_who_signs_on_later_is_not_whoever_packed_before(self, packing):
        packing.match(1, 2)
        packing.play(LINE, "P2 -> DONE")
        packing.match(1, 1)
        packing.play(LINE, "CLOSE -> DONE")
        runs = packing.read("journal", "canonical", kind="discs-sleeved", order="seq")
        assert [
            b'"person":"%s"' % n(who).encode() in run for (run,), who in zip(runs, ("P1", "P2"), strict=True)
        ] == [True, True]


class TestClearance:
    def test_two_different_people_look(self, floor):
        floor.play(
            LINE,
            f"""
            B1    -> STOP not-cleared; The line is not cleared. Scan CLEAR, then a second person's badge.
            K11   -> STOP not-cleared
            carton 1 -> STOP not-cleared
            disc 1.1 -> STOP not-ready; The line is not cleared. Scan CLEAR, then a second person's badge.
            CLEAR -> NEXT; {LOOK}
            P1    -> STOP same-person; Two people are needed: a second person scans a badge.
            P99   -> STOP unknown-code
            P2    -> DONE; Line is cleared by Ada and Ben. Scan the sleeve batch.
            P2    -> DONE; Ben is signed on....
            """,
        )

    def test_a_line_is_cleared_when_nothing_is_open(self, packing):
        packing.play(
            LINE,
            f"""
            CLEAR -> STOP carton-open; Carton {n("carton 1")} is still open. Scan CLOSE first.
            CLOSE -> DONE
            CLEAR | P2 -> DONE
            disc 1.1 -> STOP not-ready; No sleeve batch is open. Scan the sleeve batch.
            """,
        )

    def test_another_act_ends_a_clearance_half_way(self, packing):
        packing.play(
            LINE,
            """
            CLOSE | CLEAR -> NEXT
            carton 2 -> DONE
            P2    -> DONE; Ben is signed on....
            """,
        )


class TestPicturesThatDoNotRead:
    """A camera's picture in which nothing can be read says what NOREAD says: the piece in hand has no reading."""

    UNREAD = "picture a.png: a.png shows no symbol that can be read: expected Code 128."

    def test_it_is_a_no_read_of_what_the_line_waits_for(self, packing):
        packing.play(
            LINE,
            f"""
            {self.UNREAD} -> STOP no-read; The disc will not scan: turn it and try again. If it still will not, scan REJECT.
            disc 1.1 -> NEXT
            {self.UNREAD} -> STOP no-read; The sleeve will not scan: turn it and try again. If it still will not, scan REJECT.
            {self.UNREAD} -> STOP no-read; The sleeve will not scan: turn it and try again. If it still will not, scan MANUAL to type the code with a second person, or REJECT.
            sleeve 1 -> MATCH
            = rows of journal where kind no-read -> 3
            """,
        )

    def test_it_is_booked_as_the_card_is(self, packing):
        """The same entry, the same scan beside it; only the raw line tells which of the two it was."""
        packing.scan(LINE, "disc 1.1", "NOREAD", "disc 1.1", self.UNREAD, "disc 1.1", "sleeve 1", "CLOSE")
        with packing.ledger.reading() as conn:
            entries = [row for row in journal.rows(conn) if row.kind != "signed-on"]
            by_card, by_picture = [row for row in entries if row.kind == "no-read"]
            packed = [scan.raw for row in entries if row.pack for scan in unpack_scans(row.pack)]
        assert json.loads(by_card.canonical)["body"] == json.loads(by_picture.canonical)["body"]
        assert self.UNREAD in packed

    def test_where_nothing_is_waited_for_it_is_a_refused_scan(self, floor):
        told = "No code was read in the picture a.png: a.png shows no symbol that can be read: expected Code 128."
        told += " Take it again, or scan the code."
        for station in (LINE, LAB):
            floor.play(station, f"{self.UNREAD} -> STOP no-read; {told}")
        assert floor.count("journal", kind="no-read") == 0
        assert floor.read("finding", "finding", "subject", order="seq") == [("no-read", "a.png")] * 2

    def test_an_act_that_waits_goes_on_waiting(self, packing):
        packing.play(
            LINE,
            f"""
            CHECK -> NEXT
            {self.UNREAD} -> STOP no-read
            CANCEL -> DONE
            """,
        )


class TestTwoLinesOnOneSpindle:
    """The second line is told who packs from its spindle; a stack that was carried over may be packed."""

    def test_the_second_line_is_told_and_may_go_on(self, packing):
        packing.play(LINE, "disc 1.1 | sleeve 1 -> MATCH")
        packing.play(LINE_2, "P1 | CLEAR | P2 | B1 -> DONE")
        verdict = packing.scan(LINE_2, "K11")
        assert (verdict.word.value, verdict.finding) == ("STOP", "spindle-elsewhere")
        assert verdict.sentence.endswith(
            " line 4 packs from this spindle too: go and compare the cards of both stacks before you go on."
        )
        packing.play(LINE_2, "carton 2 | disc 1.1 | sleeve 1 -> MATCH [1 of 5 in carton]")

    def test_it_is_told_of_what_was_packed_into_the_carton_that_is_open(self, packing):
        packing.play(LINE, "disc 1.1 | sleeve 1 | K12 -> DONE")
        packing.play(LINE_2, "P1 | CLEAR | P2 | B1 -> DONE")
        packing.play(LINE_2, "K11 -> STOP spindle-elsewhere\nK12 -> STOP spindle-elsewhere")

    def test_it_is_told_at_once_before_the_other_line_packs_from_it(self, packing):
        packing.play(LINE_2, "P1 | CLEAR | P2 | B1 -> DONE")
        verdict = packing.scan(LINE_2, "K11")
        assert (verdict.word.value, verdict.finding) == ("STOP", "spindle-elsewhere")
        rebuilds(packing)
        assert judged(packing).unforced is None

    def test_it_is_told_also_while_neither_has_a_carton(self, floor):
        floor.play(LINE, "CLEAR | P2 | B1 | K12 -> DONE")
        floor.play(LINE_2, "P1 | CLEAR | P2 | B1 -> DONE\nK12 -> STOP spindle-elsewhere\nK11 -> DONE")
        floor.play(LINE, "K11 -> STOP spindle-elsewhere")

    def test_a_spindle_that_the_other_line_put_away_for_another_is_free(self, packing):
        packing.play(LINE, "K12 -> DONE")
        packing.play(LINE_2, "P1 | CLEAR | P2 | B1 | K11 -> DONE")

    def test_nothing_is_told_when_the_other_carton_is_closed(self, packing):
        packing.play(LINE, "disc 1.1 | sleeve 1 | CLOSE -> DONE")
        packing.play(LINE_2, "P1 | CLEAR | P2 | B1 | K11 -> DONE")

    def test_a_line_is_not_told_of_itself(self, packing):
        packing.play(LINE, "disc 1.1 | sleeve 1 | K12 | K11 -> DONE")


class TestWhatACartonLabelSays:
    """Product and count on the label of a carton are compared with what is packed, and with what was."""

    def test_a_new_label_must_be_for_what_is_packed(self, floor):
        floor.play(
            LINE,
            f"""
            CLEAR | P2 | B1 | K11 -> DONE
            carton 1 saying 5 of 2 -> STOP label-contradicts; Carton label {n("carton 1")} says product {n("sleeve 2")}, "Moth Parliament"; here it must say {n("sleeve 1")}, "Paper Comet Arithmetic". Put it aside and take another label.
            carton 1 saying 4 of 1 -> STOP label-contradicts; Carton label {n("carton 1")} says 4 units; here it must say 5 units. Put it aside and take another label.
            carton 1 saying 5 of 1 -> DONE
            """,
        )

    def test_a_closed_carton_must_hold_what_its_label_says(self, packing):
        packing.match(1, 2)
        packing.play(
            LINE,
            f"""
            CLOSE | REOPEN -> NEXT
            carton 1 saying 5 of 1 -> STOP label-contradicts; The label of carton {n("carton 1")} says 5 units (the system shows 2). Put it aside and tell quality.
            carton 1 saying 2 of 6 -> STOP label-contradicts
            CANCEL -> DONE
            carton 2 | MERGE -> NEXT
            carton 1 saying 3 of 1 -> STOP label-contradicts
            carton 1 saying 2 of 1 -> NEXT
            """,
        )


class TestOpening:
    def test_a_job_is_opened_in_order(self, floor):
        floor.play(
            LINE,
            f"""
            CLEAR | P2 -> DONE
            K11      -> STOP not-ready; No sleeve batch is open. Scan the sleeve batch first.
            carton 1 -> STOP not-ready; No sleeve batch is open. Scan the sleeve batch first.
            CLOSE    -> STOP no-carton; No carton is open.
            REJECT   -> STOP not-ready
            B1       -> DONE; Sleeves of "Paper Comet Arithmetic" EX 101 are open. Scan the spindle card.
            disc 1.1 -> STOP not-ready; No carton is open. Scan a new carton label.
            NOREAD   -> STOP not-ready
            carton 1 -> DONE; Carton {n("carton 1")} is open. Scan the spindle card.
            disc 1.1 -> STOP no-spindle; No spindle with disc 1 is open. Scan its spindle card.
            REJECT   -> STOP no-disc; No disc is in hand. Scan the disc to scrap; if it will not read, scan NOREAD first.
            NOREAD   -> STOP no-read
            REJECT   -> STOP no-spindle; No spindle is open to reject a disc from.
            K11      -> DONE; Spindle {n("K11")}: "Paper Comet Arithmetic", 10 discs. Scan disc 1.
            disc 1.1 -> NEXT; "Paper Comet Arithmetic". Now its sleeve.
            """,
        )

    def test_sleeves(self, floor):
        hold(floor, "B6")
        floor.play(
            LINE,
            f"""
            CLEAR | P2 -> DONE
            B99 -> STOP unknown-code; Sleeve batch {n("B99")} is not in the system.
            B4  -> STOP superseded-sleeve; Sleeve batch {n("B4")} is an older print. Put it aside and fetch the new one.
            B6  -> STOP on-hold; Sleeve batch {n("B6")} is on hold: doubtful (hold {n("H1")}). Put it aside.
            B2  -> DONE; Sleeves of "Moth Parliament" EX 102 are open. Scan the spindle card of disc 1.
            B1  -> STOP not-cleared; Sleeve batch {n("B1")} is for "Paper Comet Arithmetic", another product. Clear the line first: scan CLEAR.
            CLEAR | P2 | B1 -> DONE
            """,
        )

    def test_a_numbered_edition_needs_sleeves_with_numbers(self, floor):
        with floor.ledger.transaction() as conn:
            change(conn, "sleeve_batch", {"first_number": None, "last_number": None}, code=n("B3"))
        floor.play(
            LINE,
            f"""
            CLEAR | P2 -> DONE
            B3 -> STOP no-numbers; "Nine Pale Windmills" is numbered, but sleeve batch {n("B3")} came in without its numbers. Tell quality.
            """,
        )

    def test_spindles(self, packing):
        hold(packing, "K12")
        packing.play(
            LINE,
            f"""
            K99 -> STOP unknown-code; Spindle card {n("K99")} is not in the system.
            K21 -> STOP wrong-spindle; Spindle {n("K21")} holds "Moth Parliament" disc 1; this line packs "Paper Comet Arithmetic". Take it away and scan STOP or the right spindle.
            K12 -> STOP on-hold; Spindle {n("K12")} is on hold: doubtful (hold {n("H1")}). Put it aside.
            """,
        )
        hold(packing, "L5")
        packing.play(LINE, "K51 -> STOP on-hold")
        packing.play(LAB, 'LIFT | H2 | "fine | P2 | REJECT | L5 | "clicks -> DONE')
        packing.play(
            LINE,
            f"K51 -> STOP on-hold; Spindle {n('K51')} is on hold: clicks (hold {n('H3')} on {n('L5')}). Put it aside.",
        )
        packing.play(LAB, 'LIFT | H3 | "marked | P2 -> DONE')
        packing.play(
            LINE,
            f"K51 -> STOP lot-rejected; Spindle {n('K51')} holds discs of lot {n('L5')}, which is rejected. Put it aside.",
        )

    def test_an_empty_spindle_is_not_opened(self, packing):
        packing.match(1, 5)
        packing.play(LINE, "CLOSE | carton 2 -> DONE")
        packing.match(1, 5)
        packing.play(
            LINE,
            f"""
            CLOSE | carton 3 -> DONE
            disc 1.1 -> STOP spindle-empty; The system shows spindle {n("K11")} as empty. Scan the card of the stack in front of you.
            NOREAD -> STOP no-read
            REJECT -> STOP spindle-empty; The system shows spindle {n("K11")} as empty. Check the spindle card.
            K11 -> STOP spindle-empty; The system shows spindle {n("K11")} as empty. Take another stack.
            K12 | disc 1.1 | sleeve 1 -> MATCH
            """,
        )

    def test_cartons(self, packing):
        packing.match(1, 1)
        packing.play(
            LINE,
            f"""
            carton 2 -> STOP carton-open; Carton {n("carton 1")} is still open. Scan CLOSE first.
            CLOSE    -> DONE; Carton {n("carton 1")} is closed as a part carton: 1 of 5 units. Scan a new carton label.
            carton 1 -> STOP label-in-use; Carton label {n("carton 1")} is in use already. Take a new label.
            pallet 1 -> STOP wrong-thing; You scanned pallet label {n("pallet 1")}. Scan a carton label.
            carton 1001 -> STOP unknown-code; Label {n("carton 1001")} was never issued here. Take a printed carton label.
            {raw(pallet_sscc(101))} -> STOP unknown-code
            carton 2 -> DONE
            """,
        )

    def test_a_carton_closed_empty_lets_the_line_go_on(self, packing):
        packing.play(
            LINE,
            f"""
            CLOSE -> DONE; Carton {n("carton 1")} is closed empty: throw its label away. Scan a new carton label.
            CLEAR | P2 | B2 -> DONE
            """,
        )

    def test_other_things_are_named(self, packing):
        packing.play(
            LINE,
            f"""
            T4 -> STOP wrong-thing; You scanned tool tag {n("T4")}. Scan a disc, a sleeve, or what the line opens (sleeve batch, spindle, carton).
            "x -> STOP wrong-thing
            DANCE -> STOP act-not-here; DANCE is not an action of this station. Actions here: CHECK, CLEAR, CLOSE, COUNT, HANDOVER, MANUAL, MERGE, NOREAD, RECHECK, REJECT, REOPEN, SIGNOFF, STOP, TAKEOUT, UNDO.
            """,
        )


class TestRejectNoReadStop:
    def test_a_reject_takes_the_disc_in_hand_to_scrap(self, packing):
        packing.play(
            LINE,
            f"""
            NOREAD -> STOP no-read
            REJECT -> DONE; One disc of spindle {n("K11")} goes to scrap.
            REJECT -> STOP no-disc
            disc 1.1 | REJECT -> DONE
            """,
        )
        assert (stock(packing)["scrap"], stock(packing)[n("K11")]) == (2, 8)
        packing.play(LINE, "sleeve 1 -> STOP no-disc; Scan the disc first, then its sleeve.")

    def test_a_foreign_disc_costs_the_open_stack_nothing(self, packing):
        packing.play(LINE, "disc 2.1 -> STOP wrong-title\nREJECT -> STOP no-disc\nSTOP -> DONE")
        assert stock(packing)[n("K11")] == 10

    def test_nobody_signs_on_over_a_disc_in_hand(self, packing):
        packing.play(
            LINE,
            """
            disc 1.1 -> NEXT
            P2       -> STOP disc-in-hand; A disc is waiting for its sleeve. Scan the sleeve, or STOP, before Ben signs on.
            sleeve 1 -> MATCH
            P2       -> DONE
            """,
        )

    def test_a_no_read_is_never_a_match(self, packing):
        packing.play(
            LINE,
            """
            NOREAD   -> STOP no-read; The disc will not scan: turn it and try again. If it still will not, scan REJECT.
            disc 1.1 -> NEXT
            NOREAD   -> STOP no-read; The sleeve will not scan: turn it and try again. If it still will not, scan REJECT.
            NOREAD   -> STOP no-read
            CLOSE    -> STOP disc-in-hand
            sleeve 1 -> MATCH
            """,
        )
        assert packing.verdicts[-1].count == "1 of 5 in carton"

    def test_a_stop_puts_the_disc_back(self, packing):
        packing.play(
            LINE,
            f"""
            STOP -> DONE; Stopped. Put aside what you hold.
            disc 1.1 -> NEXT
            STOP -> DONE; Stopped. Put the disc back on spindle {n("K11")}. Put aside what else you hold.
            sleeve 1 -> STOP no-disc
            disc 1.1 -> NEXT
            """,
        )
        assert stock(packing)[n("K11")] == 10

    def test_nothing_is_opened_over_a_disc_in_hand(self, packing):
        packing.play(
            LINE,
            f"""
            disc 1.1 -> NEXT
            K12 -> STOP disc-in-hand; A disc is waiting for its sleeve. Scan the sleeve, or STOP, before spindle card {n("K12")}.
            B1 -> STOP disc-in-hand
            carton 2 -> STOP disc-in-hand
            CLOSE -> STOP disc-in-hand; The unit in hand is not finished. Finish it, or scan STOP to take it apart.
            disc 1.1 -> STOP disc-in-hand; Disc 1 is already waiting for its sleeve. Put this second disc back where it was and scan the sleeve, or scan STOP.
            sleeve 1 -> MATCH
            """,
        )


class TestUnfinishedSets:
    def test_a_set_is_not_left_half_done(self, sets):
        sets.play(
            LINE,
            f"""
            disc 2.1 | sleeve 2 -> MATCH; Now disc 2.
            CLOSE -> STOP disc-in-hand; The set in hand is not finished. Finish it, or scan STOP to take it apart.
            B2    -> STOP disc-in-hand; Finish the set in hand, or scan STOP to take it apart, before opening other sleeves.
            disc 2.2 -> NEXT
            STOP  -> DONE; Stopped. Put the disc back on spindle {n("K31")}. Put aside what else you hold. The set in hand needs disc 2; STOP takes it apart.
            disc 2.2 | sleeve 2 -> MATCH
            """,
        )
        assert sets.verdicts[-1].count == "1 of 3 in carton"

    def test_a_set_that_cannot_be_finished_is_taken_apart(self, sets):
        """Its disc goes back where it came from, and the line can close and clear again."""
        sets.play(LINE, "disc 2.1 | sleeve 2 | disc 2.2 | sleeve 2 | disc 2.1 | sleeve 2 -> MATCH")
        hold(sets, "L3")
        sets.play(
            LINE,
            f"""
            disc 2.2 -> STOP on-hold
            STOP  -> DONE; The unfinished set is taken apart. Put disc 1 back on spindle {n("K21")}.
            STOP  -> DONE; Stopped. Put aside what you hold.
            CLOSE -> DONE; Carton {n("carton 1")} is closed as a part carton: 1 of 3 units. Scan a new carton label.
            CLEAR | P2 -> DONE
            """,
        )
        assert {place: stock(sets)[place] for place in (n("K21"), n("K31"), n("carton 1"))} == {
            n("K21"): 9,
            n("K31"): 9,
            n("carton 1"): 2,
        }

    def test_a_set_whose_disc_came_from_a_spindle_changed_since(self, sets):
        sets.play(LINE, "disc 2.1 | sleeve 2 | K22 -> DONE")
        sets.play(
            LINE, f"STOP -> DONE; The unfinished set is taken apart. Put disc 1 back on spindle {n('K21')}."
        )
        assert (stock(sets)[n("K21")], stock(sets)[n("K22")]) == (10, 10)


def test_two_lines_may_not_take_the_last_disc_twice(packing):
    """Both have scanned the last disc of one card; the second sleeve finds the spindle empty."""
    packing.match(1, 5)
    packing.play(LINE, "CLOSE | carton 2 -> DONE")
    packing.match(1, 4)
    packing.play(
        LINE_2, "P1 | CLEAR | P2 | B1 -> DONE\nK11 -> STOP spindle-elsewhere\ncarton 3 | disc 1.1 -> NEXT"
    )
    packing.play(LINE, "disc 1.1 | sleeve 1 -> MATCH")
    packing.play(LINE_2, "sleeve 1 -> STOP spindle-empty\nSTOP | CLOSE -> DONE")
    packing.play(LINE, "CLOSE -> DONE")
    assert stock(packing)[n("K11")] == 0

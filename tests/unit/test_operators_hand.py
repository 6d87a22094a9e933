"""What a careful operator stumbles over: codes read twice, rechecks of sets, coming back to a station."""

import pytest
from support_judged import judged, recorded, turns
from support_plant import DOCK, LINE, Floor, n

from tracelink.station.common.outcome import Word
from tracelink.store.journal.verify import examine


@pytest.fixture
def floor():
    """Lots of every product but the sister edition are pressed; a code read again within 2 s is one read."""
    floor = Floor.copy(double_read_seconds=2, check_units=0)
    for lot in (1, 2, 3, 4, 11, 12):
        floor.press(lot)
    yield floor
    found = judged(floor)
    assert (found.unforced, found.not_judged, found.scans) == (None, 0, turns(floor))
    with floor.ledger.reading() as conn:
        assert examine(conn).faults == []


def test_a_code_that_is_read_twice_is_one_read(floor):
    floor.day(
        """
        08:00:00 LINE
        P1 -> DONE
        P1 -> NEXT; Read already. Scan CLEAR, then a second person's badge.
        CLEAR | P2 -> DONE; Line is cleared by Ada and Ben. Scan the sleeve batch.
        (A badge read once more would sign the second person on.)
        P2 -> NEXT; Read already. Scan the sleeve batch.
        B1 -> DONE
        B1 -> NEXT; Read already. Scan the spindle card.
        K11 | carton 1 -> DONE
        carton 1 -> NEXT; Read already. Scan disc 1. [0 of 5 in carton]
        08:00:10 LINE
        disc 1.1 -> NEXT
        08:00:10.4 LINE
        disc 1.1 -> NEXT; Read already. Scan the sleeve of "Paper Comet Arithmetic".
        08:00:11 LINE
        sleeve 1 -> MATCH [1 of 5 in carton]
        08:00:13 LINE
        sleeve 1 -> NEXT; Read already. Scan disc 1. [1 of 5 in carton]
        = rows of journal where kind scan-refused -> 0
        disc 1.1 | sleeve 1 -> MATCH [2 of 5 in carton]
        CLOSE -> DONE
        CLOSE -> NEXT; Read already. Scan a new carton label.
        = units of carton -> 2
        """
    )


def test_a_second_copy_later_or_of_another_number_still_stops(floor):
    floor.day(
        """
        08:00:00 LINE
        P1 | CLEAR | P2 | B3 | K41 | carton 1 | disc 3.1 -> NEXT
        08:00:02.1 LINE
        disc 3.1 -> STOP disc-in-hand
        (What was refused is never read already: its STOP stays.)
        disc 3.1 -> STOP disc-in-hand
        sleeve 3 no 7 -> MATCH
        sleeve 3 no 8 -> STOP no-disc
        STOP | disc 3.1 -> NEXT
        sleeve 3 no 7 -> STOP duplicate-number
        """
    )


def test_a_clock_that_went_back_makes_no_read_already(floor):
    floor.day(
        """
        08:00:10 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 | disc 1.1 -> NEXT
        08:00:09 LINE
        disc 1.1 -> STOP disc-in-hand
        """
    )


def test_stop_and_undo_read_twice_do_it_once(floor):
    floor.day(
        """
        08:00:00 LINE
        P1 | CLEAR | P2 | B2 | K21 | K31 | carton 1 | disc 2.1 | sleeve 2 | disc 2.2 | STOP -> DONE
        STOP -> NEXT; Read already. Scan disc 2.
        disc 2.2 | sleeve 2 -> MATCH
        UNDO -> DONE
        UNDO -> NEXT; Read already. Scan disc 2.
        08:01 LINE
        UNDO -> DONE
        disc 2.1 -> NEXT
        """
    )


def test_what_a_person_keys_twice_is_meant_twice(floor):
    floor.day(
        """
        08:00:00 DOCK
        P1 -> DONE
        P1 -> NEXT; Read already. Scan an action card.
        08:01 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 | disc 1.1 | sleeve 1 | CLOSE | COUNT | carton 1 | #1 -> DONE
        COUNT | carton 1 | #1 -> DONE
        """
    )
    assert floor.count("stock_count") == 2


def test_the_matches_before_and_after_a_second_read_are_sealed_with_their_scans(floor):
    floor.day(
        """
        08:00:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 | disc 1.1 | disc 1.1 | sleeve 1 | sleeve 1 | disc 1.1 | sleeve 1 -> MATCH
        sleeve 1 -> NEXT
        NOREAD -> STOP no-read
        disc 1.1 | disc 1.1 | sleeve 1 -> MATCH [3 of 5 in carton]
        CLOSE -> DONE
        = rows of spool -> 0
        """
    )


def test_a_recheck_asks_in_the_order_of_packing_and_names_what_will_not_read(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B7 | K111 | K121 | carton 1 -> DONE
        disc 5.1 | sleeve 5 no 7 | I1 | disc 5.2 | sleeve 5 no 7 | I2 -> MATCH [1 of 3 in carton]
        disc 5.1 | sleeve 5 no 8 | I1 | disc 5.2 | sleeve 5 no 8 | I2 -> MATCH [2 of 3 in carton]
        disc 5.1 -> NEXT
        sleeve 1 -> STOP wrong-title
        ? -> STOP; Scan RECHECK. 2 units wait for a re-check. [2 of 3 in carton]
        NOREAD -> STOP held-back; 2 units wait for their re-check. Scan RECHECK, then each of the 2.
        MANUAL -> STOP held-back
        RECHECK -> NEXT; Put the disc back on spindle {K111}. 2 units to re-check. Scan disc 1 of one of them.
        disc 5.1 -> NEXT; Right. Now its sleeve.
        ? -> NEXT; Scan its sleeve. 2 units to re-check.
        sleeve 5 no 9 -> STOP recheck-failed; You scanned a sleeve of {sleeve 5}. Scan the sleeve with one of the numbers 7, 8, or TAKEOUT to scrap the unit: it still waits for its re-check.
        NOREAD -> STOP no-read; Sleeve of disc 1 will not scan: turn it and try again. If it still will not, scan NOREAD again.
        MANUAL -> STOP read-first; Scan the sleeve of disc 1 first. After two NOREADs you may type its code.
        NOREAD -> STOP no-read; Sleeve of disc 1 will not scan: turn it and try again. If it still will not, scan MANUAL to type the code with a second person, or TAKEOUT.
        MANUAL -> NEXT; Type " and then the number of the sleeve.
        #9 -> STOP recheck-failed
        #8 -> NEXT; A second person compares piece and text and scans a badge.
        ? -> NEXT; A second person compares piece and text and scans a badge. MANUAL is not finished.
        P2 -> DONE; Right. Now insert, English.
        disc 5.2 -> STOP recheck-failed; You scanned a disc of {sleeve 5}. Scan insert, English of the unit, or TAKEOUT to scrap the unit: it still waits for its re-check.
        NOREAD -> STOP no-read; Insert, English will not scan: turn it and try again. If it still will not, scan NOREAD again.
        I1 -> NEXT; Right. Now disc 2.
        disc 5.2 -> NEXT; Right. Now its sleeve.
        (The number of this unit, and not of the other one that waits.)
        sleeve 5 no 7 -> STOP recheck-failed; You scanned a sleeve of {sleeve 5}. Scan the sleeve with number 8, or TAKEOUT to scrap the unit: it still waits for its re-check.
        sleeve 5 no 8 -> NEXT; Right. Now download card.
        I2 -> MATCH; Right. 1 unit to re-check.
        disc 5.1 | sleeve 5 no 7 | I1 | disc 5.2 | sleeve 5 no 7 -> NEXT
        NOREAD -> STOP no-read
        NOREAD -> STOP no-read
        MANUAL | "{I2} | P2 -> DONE; Right. All units are re-checked: go on packing. [2 of 3 in carton]
        = rows of hold_back -> 0
        disc 5.1 -> NEXT
        """.replace("{I2}", n("I2"))
    )
    assert floor.count("journal", kind="recheck-keyed") == 2


def test_a_number_is_keyed_with_either_mark(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B3 | K41 | carton 1 | disc 3.1 -> NEXT
        NOREAD -> STOP no-read
        NOREAD -> STOP no-read
        MANUAL -> NEXT
        #600 -> STOP wrong-number
        STOP | disc 3.1 -> NEXT
        NOREAD -> STOP no-read
        NOREAD -> STOP no-read
        MANUAL | #6 | P2 -> DONE; Matched. [1 of 4 in carton]
        = number of numbered_sleeve -> 6
        TAKEOUT -> NEXT
        #6 -> NEXT
        "torn -> DONE
        """
    )


def test_whoever_comes_back_is_told_what_the_line_waits_for(floor):
    floor.day(
        """
        08:00 LINE
        ? -> NEXT; Scan your badge.
        P1 -> DONE
        ? -> NEXT; Scan CLEAR, then a second person's badge.
        CLEAR -> NEXT
        ? -> NEXT; Check these are empty: ...
        P2 -> DONE
        ? -> NEXT; Scan the sleeve batch.
        B2 -> DONE
        ? -> NEXT; Scan the spindle card of disc 1.
        K21 | carton 1 -> DONE
        ? -> NEXT; Scan disc 1. [0 of 3 in carton]
        disc 2.1 -> NEXT
        ? -> NEXT; Scan the sleeve of "Moth Parliament" disc 1. [0 of 3 in carton]
        sleeve 2 -> MATCH
        ? -> NEXT; Scan the spindle card of disc 2.
        K31 -> DONE
        disc 2.1 -> STOP second-copy
        ? -> STOP; Put the wrong piece aside and scan STOP, or scan the right piece. The line is stopped after a wrong read.
        disc 2.2 | sleeve 2 | CHECK -> NEXT
        ? -> NEXT; Compare one packed unit with the job. Then a second person scans a badge. CHECK is not finished.
        STOP -> DONE
        TAKEOUT -> NEXT
        ? -> NEXT; Type " and then the reason, such as "corner crushed. A good disc goes back: scan the card of its spindle before the reason. TAKEOUT is not finished.
        08:10 DOCK
        ? -> NEXT; Scan your badge.
        P1 -> DONE
        ? -> NEXT; Scan an action card.
        PUT -> NEXT
        ? -> NEXT; Scan the pallet or the carton. PUT is not finished.
        """
    )


def test_no_two_instructions_contradict_about_a_number_seen_twice(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B3 | K41 | carton 1 | disc 3.1 | sleeve 3 no 7 | disc 3.1 -> NEXT
        sleeve 3 no 7 -> STOP duplicate-number; Sleeve number 7 is in this carton already. Both are held ({H1}). Put this sleeve aside for quality and scan STOP.
        STOP -> DONE; Stopped. Put the disc back on spindle {K41}. Put aside what else you hold.
        """
    )


def test_a_check_is_asked_for_when_it_is_due():
    floor = Floor.copy(check_units=2)
    floor.press(1)
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 | disc 1.1 | sleeve 1 -> MATCH [1 of 5 in carton]
        disc 1.1 | sleeve 1 -> MATCH; 2 units since the last check: scan CHECK. [2 of 5 in carton]
        (A carton closed is no look of a second person.)
        CLOSE | carton 2 | disc 1.1 | sleeve 1 -> MATCH; 3 units since the last check: scan CHECK. [1 of 5 in carton]
        CHECK | P2 -> DONE
        disc 1.1 | sleeve 1 -> MATCH [2 of 5 in carton]
        UNDO | disc 1.1 | sleeve 1 -> MATCH [2 of 5 in carton]
        disc 1.1 | sleeve 1 -> MATCH; 2 units since the last check: scan CHECK.
        """
    )
    assert floor.waits_for(LINE).word is Word.NEXT
    assert floor.waits_for(DOCK).word is Word.NEXT


def test_takeout_puts_a_good_disc_back_onto_its_spindle(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 | disc 1.1 | sleeve 1 | K12 | disc 1.1 | sleeve 1 -> MATCH [2 of 5 in carton]
        = quantity of stock where place {K11} -> 9
        TAKEOUT -> NEXT; Type " and then the reason, such as "corner crushed. If the disc is good, it goes back: scan the card of its spindle before the reason.
        K99 -> STOP unknown-code
        K21 -> STOP wrong-spindle; The system does not show that a disc of this unit came from spindle {K21} into carton {carton 1}. Scan the card of its own spindle, or give the reason to scrap it.
        K11 -> NEXT; Type " and then the reason, such as "corner crushed.
        "sleeve torn -> DONE; Put its disc back on spindle {K11}. The rest of the unit is scrapped. [1 of 5 in carton]
        = quantity of stock where place {K11} -> 10
        = rows of stock where place scrap -> 0
        = batch, units of carton_sleeve -> {B1} 1
        = subject, fate, quantity of label_count -> {B1} destroyed 1
        TAKEOUT -> NEXT
        "both worn -> DONE; One unit is taken out of the carton and scrapped. [0 of 5 in carton]
        = quantity of stock where place scrap -> 1
        """
    )


def test_takeout_of_a_set_puts_back_the_discs_that_are_good(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B2 | K21 | K31 | carton 1 -> DONE
        disc 2.1 | sleeve 2 | disc 2.2 | sleeve 2 | disc 2.1 | sleeve 2 | disc 2.2 | sleeve 2 -> MATCH [2 of 3 in carton]
        TAKEOUT -> NEXT; Type " and then the reason, such as "corner crushed. A good disc goes back: scan the card of its spindle before the reason.
        K31 -> NEXT
        08:01 LINE
        K31 -> STOP wrong-spindle; One disc of this unit goes back onto spindle {K31} already. Give the reason, or scan another spindle.
        "disc 1 scratched -> DONE; Put a disc back on spindle {K31}. The rest of the unit is scrapped. [1 of 3 in carton]
        = lot, quantity of stock where place scrap -> {L2} 1
        TAKEOUT | K21 | K31 | "sleeve split -> DONE; Put a disc back on spindle {K21} and a disc back on spindle {K31}. The rest of the unit is scrapped. [0 of 3 in carton]
        = quantity of stock where place {K21} -> 9
        = quantity of stock where place {K31} -> 10
        """
    )


def test_takeout_of_a_unit_held_back_counts_it_down_and_keeps_its_disc(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 | disc 1.1 | sleeve 1 | disc 1.1 -> NEXT
        sleeve 3 no 7 -> STOP wrong-title
        STOP | TAKEOUT | K11 | "sleeve torn -> DONE; Put its disc back on spindle {K11}. The rest of the unit is scrapped. All units are re-checked. [0 of 5 in carton]
        = rows of hold_back -> 0
        """
    )


def test_somebody_signs_off_and_the_station_waits_for_a_badge(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 | disc 1.1 -> NEXT
        SIGNOFF -> STOP disc-in-hand; A disc is waiting for its sleeve. Scan the sleeve, or STOP, before SIGNOFF.
        sleeve 1 | SIGNOFF -> DONE; Ada is signed off. Whoever works here next scans a badge. [1 of 5 in carton]
        ? -> NEXT; Scan your badge.
        disc 1.1 -> STOP nobody-signed-on
        P2 -> DONE; Ben is signed on....
        disc 1.1 | sleeve 1 -> MATCH [2 of 5 in carton]
        09:00 DOCK
        P1 | PUT -> NEXT
        carton 9 -> STOP unknown-code
        SIGNOFF -> DONE; Ada is signed off. Whoever works here next scans a badge.
        PALLET -> STOP nobody-signed-on
        P1 | COUNT | K11 | #1 -> STOP count-differs
        """
    )


def test_an_act_that_was_begun_is_finished_or_put_away_before_signing_off(floor):
    floor.day(
        """
        09:00 DOCK
        P1 | COUNT | K11 -> NEXT
        SIGNOFF -> STOP act-not-finished
        CANCEL -> DONE
        SIGNOFF -> DONE
        """
    )


def test_a_station_signs_off_by_itself_whoever_scanned_nothing_for_long():
    floor = Floor.copy(sign_off_minutes=10)
    floor.press(1)
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 | disc 1.1 | sleeve 1 -> MATCH [1 of 5 in carton]
        08:10 LINE
        disc 1.1 -> NEXT
        08:20:01 LINE
        sleeve 1 -> STOP nobody-signed-on
        = rows of carton_sleeve where units 1 -> 1
        (The disc in hand is nobody's any more: whoever signs on puts it back.)
        P2 -> DONE; Ben is signed on. Put the disc in hand back on spindle {K11}....
        disc 1.1 | sleeve 1 -> MATCH [2 of 5 in carton]
        CHECK -> NEXT
        08:31 LINE
        P1 -> DONE; Ada is signed on. CHECK cancelled: it was not finished....
        08:50 DOCK
        P1 | PALLET -> NEXT
        09:10 DOCK
        pallet 1 -> STOP nobody-signed-on
        """
    )
    gone = [
        (entry.body["person"], entry.body["by_itself"])
        for entry, _scans in recorded(floor)
        if entry.kind == "signed-off"
    ]
    assert gone == [(n("P1"), True), (n("P2"), True), (n("P1"), True)]
    found = judged(floor)
    assert (found.unforced, found.scans) == (None, turns(floor))
    with floor.ledger.reading() as conn:
        assert examine(conn).faults == []


def test_a_unit_with_a_keyed_piece_is_finished_by_a_scan_and_taken_on_from_there(floor):
    """What a line has in hand is brought back from entries and spool alike, also after a keyed disc was sealed."""
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 | disc 1.1 | sleeve 1 | disc 1.1 | sleeve 1 | disc 1.1 -> NEXT
        sleeve 2 -> STOP wrong-title
        RECHECK -> NEXT
        NOREAD -> STOP no-read
        NOREAD -> STOP no-read
        MANUAL | "EX-101-A | "EX-101-B | P2 | sleeve 1 -> MATCH; Right. 1 unit to re-check.
        TAKEOUT -> NEXT
        """
    )

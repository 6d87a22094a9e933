"""Whole days at the packing line, in the notation of `support_notation`."""

import json

import pytest
from sqlalchemy import select
from support_judged import recorded
from support_plant import LINE, START, Floor, add_kits, n, plant_data, raw
from support_plantfile import read_plant_file
from support_sql import change

from tracelink.ledger.entry import Stamp
from tracelink.station.line.state import Job, LineState, MatchRun, OpenSpindle, Take, read_line_state
from tracelink.store.database.tables import SHADOW
from tracelink.store.journal.rebuild import rebuild
from tracelink.store.ledger import Ledger


@pytest.fixture
def floor():
    """A plant that asks for reasons; lots of every product but the sister edition are pressed, 10 to a spindle."""
    floor = Floor.copy(line_reasons=1)
    for lot in (1, 2, 3, 4, 5, 11, 12):
        floor.press(lot)
    yield floor
    with floor.ledger._engine.begin() as conn:
        before = {table.name: sorted(map(repr, conn.execute(select(table)))) for table in SHADOW}
        rebuild(conn)
        assert before == {table.name: sorted(map(repr, conn.execute(select(table)))) for table in SHADOW}


def test_a_shift_with_one_title(floor):
    floor.day(
        """
        08:00 LINE
        CLEAR -> STOP nobody-signed-on
        P1 -> DONE; Ada is signed on. Scan CLEAR, then a second person's badge.
        CLEAR -> NEXT; Check these are empty: stack, magazine, sleeves, inserts, printer, floor, reject bin. Then a second person checks and scans a badge.
        P2 -> DONE; Line is cleared by Ada and Ben. Scan the sleeve batch.
        B1 | K11 | carton 1 -> DONE
        08:10 LINE
        disc 1.1 | sleeve 1 x 5 -> MATCH; Carton is full: scan CLOSE, or the next carton label. [5 of 5 in carton]
        disc 1.1 -> STOP carton-full
        CLOSE -> DONE; Carton {carton 1} is closed with 5 units. Scan a new carton label.
        09:00 LINE
        carton 2 -> DONE
        disc 1.1 -> NEXT; "Paper Comet Arithmetic". Now its sleeve.
        REJECT -> NEXT; Type " and then the reason, such as "corner crushed.
        K12 -> STOP wrong-thing
        CLOSE -> STOP act-not-finished; REJECT is not finished. Type " and then the reason, such as "corner crushed. Or scan STOP.
        "edge chip -> DONE; One disc of spindle {K11} goes to scrap. [0 of 5 in carton]
        = quantity of stock where place scrap -> 1
        disc 1.1 | sleeve 1 x 2 -> MATCH [2 of 5 in carton]
        12:00 LINE
        HANDOVER -> NEXT; "Paper Comet Arithmetic", 2 of 5 in carton {carton 2}, 2 units since the last good check. Scan the badge of whoever takes over.
        P1 -> STOP same-person
        P3 -> STOP wrong-role
        P2 -> DONE; Ada handed over to Ben: "Paper Comet Arithmetic", 2 of 5 in carton {carton 2}, 2 units since the last good check.
        disc 1.1 | sleeve 1 -> MATCH [3 of 5 in carton]
        CLOSE -> NEXT; The carton is not full: 3 of 5 in carton. Type " and then the reason, such as "corner crushed.
        "end of the order -> DONE; Carton {carton 2} is closed as a part carton: 3 of 5 units. Scan a new carton label.
        = sscc, units of carton by sscc -> {carton 1} 5; {carton 2} 3
        """
    )
    closed = floor.read("journal", "canonical", kind="carton-closed")
    assert sum(b"end of the order" in canonical for (canonical,) in closed) == 1


def test_a_kit_asks_for_its_pieces_and_refuses_the_rest_by_name(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B7 | K111 | K121 | carton 1 -> DONE
        I1 -> STOP wrong-item; You scanned "insert, English". The unit in hand needs disc 1. Put it aside and scan STOP or disc 1.
        STOP -> DONE
        disc 5.1 -> NEXT; "Salt Stair Signals" disc 1. Now its sleeve.
        I1 -> STOP disc-in-hand; A disc is waiting for its sleeve, and "insert, English" comes later. Scan the sleeve, or STOP.
        sleeve 5 no 7 -> MATCH; Now insert, English. [0 of 3 in carton]
        disc 5.2 -> STOP wrong-disc; You scanned disc 2. The set in hand needs insert, English. Put it aside and scan STOP or insert, English.
        disc 5.1 -> STOP second-copy; You scanned a second copy of disc 1. The set in hand needs insert, English. Put it aside and scan STOP or insert, English.
        I3 -> STOP superseded-item; You scanned "insert, first print", an older print. The unit in hand needs insert, English. Put it aside and scan STOP or insert, English.
        I4 -> STOP wrong-variant; You scanned "insert, French", which is not in this kit. The unit in hand needs insert, English. Put it aside and scan STOP or insert, English.
        I5 -> STOP wrong-title; You scanned "poster" of "Paper Comet Arithmetic" EX 101. The unit in hand needs insert, English. Put it aside and scan STOP or insert, English.
        I2 -> STOP wrong-item
        I99 -> STOP unknown-code; Kit item {I99} is not in the system.
        CLOSE -> STOP line-stopped
        I1 -> MATCH; Now disc 2. [0 of 3 in carton]
        I1 -> STOP second-copy; You scanned a second copy of "insert, English". The unit in hand needs disc 2. Put it aside and scan STOP or disc 2.
        sleeve 5 no 7 -> STOP no-disc; The sleeve has been scanned. Scan disc 2 first, then the sleeve again.
        CLOSE -> STOP line-stopped
        disc 5.2 | sleeve 5 no 7 -> MATCH; Add: hype sticker front. Now download card. [0 of 3 in carton]
        CLOSE -> STOP disc-in-hand
        sleeve 5 no 7 -> STOP no-disc; The sleeve has been scanned. Now scan: download card.
        I2 -> MATCH [1 of 3 in carton]
        CLOSE | "one only -> DONE
        = item, quantity of carton_item by item -> {I1} 1; {I2} 1
        = number of numbered_sleeve -> 7
        = lot, quantity of stock where place {carton 1} by lot -> {L11} 1; {L12} 1
        """
    )
    expected = [
        row for row in floor.read("finding", "finding", "expected", "found", order="seq") if "disc" in row[2]
    ]
    assert expected[:2] == [
        ("wrong-disc", "insert, English", "disc 2 of 2"),
        ("second-copy", "insert, English", "disc 1 of 2"),
    ]


def test_a_set_says_which_disc_it_needs(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B2 | K21 | K31 | carton 1 | disc 2.1 | sleeve 2 -> MATCH
        disc 2.1 -> STOP second-copy
        = finding, expected, found of finding -> second-copy disc 2 of 2 disc 1 of 2
        """
    )


def test_two_kits_in_a_carton_are_counted_and_rechecked_piece_by_piece(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B7 | K111 | K121 | carton 1 -> DONE
        disc 5.1 | sleeve 5 no 7 | I1 | disc 5.2 | sleeve 5 no 7 | I2 -> MATCH [1 of 3 in carton]
        disc 5.1 | sleeve 5 no 8 | I1 | disc 5.2 | sleeve 5 no 8 | I2 -> MATCH [2 of 3 in carton]
        disc 5.1 -> NEXT
        sleeve 2 -> STOP wrong-title
        STOP | RECHECK | disc 5.1 -> NEXT; Right. Now its sleeve.
        sleeve 5 no 7 -> NEXT; Right. Now insert, English.
        I2 -> STOP recheck-failed
        I1 -> NEXT; Right. Now disc 2.
        disc 5.2 -> NEXT; Right. Now its sleeve.
        sleeve 5 no 7 -> NEXT; Right. Now download card.
        I2 -> MATCH; Right. 1 unit to re-check. [2 of 3 in carton]
        disc 5.1 | sleeve 5 no 8 | I1 | disc 5.2 | sleeve 5 no 8 | I2 -> MATCH
        CLOSE | "two -> DONE
        = item, quantity of carton_item by item -> {I1} 2; {I2} 2
        = rows of hold_back -> 0
        """
    )


def test_a_number_finished_at_another_line_before_the_last_piece_of_its_kit(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B7 | K111 | K121 | carton 1 -> DONE
        disc 5.1 | sleeve 5 no 7 | I1 | disc 5.2 | sleeve 5 no 7 -> MATCH
        08:00 LINE_2
        P1 | CLEAR | P2 | B7 | K112 | K122 | carton 2 -> DONE
        disc 5.1 | sleeve 5 no 7 | I1 | disc 5.2 | sleeve 5 no 7 | I2 -> MATCH [1 of 3 in carton]
        08:10 LINE
        I2 -> STOP duplicate-number; Sleeve number 7 is in carton {carton 2} already. Scan STOP until the unit is taken apart, then put its sleeve aside for quality.
        """
    )


def test_a_unit_is_taken_out_of_what_is_sealed_and_of_what_still_waits_alike(floor):
    """CHECK seals the first match; the second still waits in the spool, of the same lot."""
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 | disc 1.1 | sleeve 1 | CHECK | P2 -> DONE
        disc 1.1 | sleeve 1 -> MATCH
        TAKEOUT -> NEXT; Type " and then the reason, such as "corner crushed. If the disc is good, ...
        "bent -> DONE
        = quantity of stock where place {carton 1} -> 1
        disc 1.1 | sleeve 1 -> MATCH [2 of 5 in carton]
        09:00 LAB
        P1 | HOLD | carton 1 | "doubtful -> DONE
        09:10 LINE
        TAKEOUT -> STOP on-hold
        """
    )


def test_a_kit_on_hold_and_a_kit_taken_apart(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B7 | K111 | K121 | carton 1 | disc 5.1 | sleeve 5 no 7 | I1 -> MATCH
        09:00 LAB
        P1 | HOLD | I2 | "smeared -> DONE
        09:10 LINE
        disc 5.2 | sleeve 5 no 7 -> MATCH
        I2 -> STOP on-hold; "download card" {I2} is on hold: smeared (hold {H1}). Put it aside and scan STOP.
        STOP -> DONE; The unfinished set is taken apart. Put disc 1 back on spindle {K111} and disc 2 back on spindle {K121} and insert, English back.
        = item, quantity of carton_item by item -> {I1} 0
        = quantity of stock where place {carton 1} by quantity -> 0; 0
        disc 5.1 | sleeve 5 no 7 | I1 -> MATCH
        """
    )


def test_the_sister_edition_with_the_same_artwork(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 -> DONE
        disc 6.1 -> STOP sister-edition; Disc {sleeve 6} is "Paper Comet Arithmetic" EX 106, another edition; this line packs EX 101. Put it aside and scan STOP or the right disc.
        STOP | disc 1.1 -> NEXT
        sleeve 6 -> STOP sister-edition; Sleeve {sleeve 6} is "Paper Comet Arithmetic" EX 106, another edition; this line packs EX 101. Put it aside and scan STOP or the right sleeve.
        sleeve 1 -> MATCH
        """
    )


def test_a_wrong_read_holds_back_to_the_last_good_check(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 -> DONE
        RECHECK -> STOP nothing-held-back
        disc 1.1 | sleeve 1 x 2 -> MATCH
        CHECK -> NEXT; Compare one packed unit with the job. Then a second person scans a badge.
        P1 -> STOP same-person; Two people are needed: a second person scans a badge.
        P2 -> DONE; Checked by Ada and Ben: 2 units since the last check.
        disc 1.1 | sleeve 1 x 2 -> MATCH
        disc 1.1 -> NEXT
        sleeve 2 -> STOP wrong-title; Sleeve {sleeve 2} is "Moth Parliament"; spindle {K11} holds "Paper Comet Arithmetic". Put this sleeve aside, and also the last 2 units. Scan RECHECK, then each of the 2.
        = units, left of hold_back -> 2 2
        sleeve 1 -> STOP held-back; 2 units wait for their re-check. Scan RECHECK, then each of the 2.
        CLOSE -> STOP held-back
        STOP -> DONE; Stopped. Put the disc back on spindle {K11}. Put aside what else you hold. 2 units wait for a re-check. Scan RECHECK.
        disc 1.1 -> STOP held-back; 2 units wait for their re-check. Scan RECHECK, then each of the 2.
        carton 2 -> STOP held-back
        UNDO -> STOP held-back
        RECHECK -> NEXT; 2 units to re-check. Scan disc 1 of one of them.
        disc 1.1 -> NEXT; Right. Now its sleeve.
        sleeve 2 -> STOP recheck-failed; You scanned a sleeve of {sleeve 2}. Scan the sleeve of the unit, or TAKEOUT to scrap the unit: it still waits for its re-check.
        sleeve 1 -> MATCH; Right. 1 unit to re-check. [4 of 5 in carton]
        disc 3.1 -> STOP recheck-failed
        TAKEOUT -> NEXT; Type " and then the reason, such as "corner crushed. If the disc is good, ...
        "wrong disc inside -> DONE; One unit is taken out of the carton and scrapped. All units are re-checked. [3 of 5 in carton]
        = rows of hold_back -> 0
        = quantity of stock where place scrap -> 1
        disc 1.1 | sleeve 1 x 2 -> MATCH [5 of 5 in carton]
        """
    )
    assert [kind for kind in floor.kinds() if kind.startswith(("hold-back", "unit"))] == [
        "hold-back-opened",
        "units-rechecked",
        "unit-taken-out",
        "hold-back-closed",
    ]
    [scans] = [scans for entry, scans in recorded(floor) if entry.kind == "units-rechecked"]
    assert [scan.raw for scan in scans] == [raw(scanned) for scanned in ("RECHECK", "disc 1.1", "sleeve 1")]


def test_the_example_of_a_matrix_number_is_of_the_plants_own_form():
    floor = Floor.copy()
    # Before anything asks for it: of a plant it stays as it is.
    with floor.ledger._engine.begin() as conn:
        change(conn, "plant", {"matrix_example": "EX-777-B"})
    floor.press(1)
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 -> DONE
        NOREAD -> STOP no-read
        NOREAD -> STOP no-read
        MANUAL -> NEXT; Type " and then the matrix number of side A, such as "EX-777-B.
        """
    )


def test_a_closed_carton_is_a_good_check(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 -> DONE
        disc 1.1 | sleeve 1 x 5 -> MATCH
        CLOSE | carton 2 -> DONE
        disc 3.1 -> STOP wrong-title; Disc {sleeve 3} is "Nine Pale Windmills"; this line packs "Paper Comet Arithmetic". Put it aside and scan STOP or the right disc.
        disc 1.1 | sleeve 1 -> MATCH
        = rows of hold_back -> 0
        """
    )


def test_numbers_held_back_are_rechecked_one_by_one(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B3 | K41 | carton 1 -> DONE
        disc 3.1 | sleeve 3 no 7 -> MATCH
        disc 3.1 | sleeve 3 no 8 -> MATCH
        disc 3.1 | sleeve 3 no 9 -> MATCH
        disc 1.1 -> STOP wrong-title; Disc {sleeve 1} is "Paper Comet Arithmetic"; this line packs "Nine Pale Windmills". Put it aside, and also the last 3 units (numbers 7, 8, 9). Scan RECHECK, then each of the 3.
        STOP | RECHECK | disc 3.1 | sleeve 3 no 8 -> MATCH; Right. 2 units to re-check.
        disc 3.1 -> NEXT
        sleeve 3 no 8 -> STOP recheck-failed; You scanned a sleeve of {sleeve 3}. Scan the sleeve with one of the numbers 7, 9, or TAKEOUT to scrap the unit: it still waits for its re-check.
        TAKEOUT -> NEXT; Scan the sleeve of the unit, or type its number.
        sleeve 3 no 10 -> STOP wrong-sleeve; The system does not show sleeve number 10 in this carton. Check the number.
        sleeve 3 no 7 -> NEXT
        "sleeve torn -> DONE; One unit is taken out of the carton and scrapped. 1 unit to re-check. [2 of 4 in carton]
        disc 3.1 | sleeve 3 no 9 -> MATCH; Right. All units are re-checked: go on packing. [2 of 4 in carton]
        disc 3.1 -> NEXT
        sleeve 3 no 7 -> STOP void-label
        sleeve 3 no 10 -> MATCH [3 of 4 in carton]
        = subject of void_label -> (01)0{sleeve 3}(21)7
        = number of numbered_sleeve by number -> 8; 9
        CLOSE | "counted -> DONE
        = number of numbered_sleeve by number -> 10; 8; 9
        """
    )


def test_a_number_seen_twice_holds_both_and_nothing_back(floor):
    """Both pieces are on hold by it, which is more than a recheck at the line."""
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B3 | K41 | carton 1 | disc 3.1 | sleeve 3 no 7 | disc 3.1 -> NEXT
        sleeve 3 no 7 -> STOP duplicate-number
        = rows of hold_back -> 0
        """
    )


def test_what_will_not_read_is_keyed_by_two_people(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B2 | K21 | K31 | carton 1 -> DONE
        MANUAL -> STOP read-first; Scan the disc first. After two NOREADs you may type its code.
        NOREAD -> STOP no-read; The disc will not scan: turn it and try again. If it still will not, scan REJECT.
        MANUAL -> STOP read-first
        NOREAD -> STOP no-read; The disc will not scan: turn it and try again. If it still will not, scan MANUAL to type the code with a second person, or REJECT.
        MANUAL -> NEXT; Type " and then the matrix number of side A, such as "EX-101-A.
        "EX/102 -> STOP wrong-format
        "EX-102-C -> NEXT; Type " and then the matrix number of side B.
        "EX-102-D -> STOP wrong-disc; You scanned disc 2. The set in hand needs disc 1. Put it aside and scan STOP or disc 1.
        STOP -> DONE; MANUAL cancelled: it was not finished.
        NOREAD -> STOP no-read
        NOREAD -> STOP no-read
        MANUAL | "EX-102-A -> NEXT
        "EX-102-D -> STOP wrong-matrix; No disc of this product has matrix EX-102-A and EX-102-D; "Moth Parliament" disc 1 has EX-102-A and EX-102-B. Put it aside and scan STOP.
        STOP -> DONE
        NOREAD -> STOP no-read
        NOREAD -> STOP no-read
        MANUAL | "ex-102-a | "EX-102-B -> NEXT; A second person compares piece and text and scans a badge.
        P1 -> STOP same-person
        P2 -> DONE; "Moth Parliament" disc 1. Now its sleeve. [0 of 3 in carton]
        sleeve 2 -> MATCH; Now disc 2.
        disc 2.2 -> NEXT
        NOREAD -> STOP no-read
        NOREAD -> STOP no-read
        MANUAL -> NEXT; Type " and then the 13 digits under the barcode.
        "9520000000018 -> STOP wrong-check-character
        "9520000000011 -> STOP wrong-title
        STOP -> DONE
        disc 2.2 -> NEXT
        NOREAD -> STOP no-read
        NOREAD -> STOP no-read
        MANUAL | "9520000000028 | P2 -> DONE; Matched. [1 of 3 in carton]
        = units of carton -> 1
        """
    )
    keyed = [
        json.loads(canonical) for (canonical,) in floor.read("journal", "canonical", kind="manual-entry")
    ]
    assert [(entry["person"], entry["body"]["checked_by"]) for entry in keyed] == [(n("P1"), n("P2"))] * 2


def test_a_keyed_number_and_a_keyed_item(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B7 | K111 | K121 | carton 1 | disc 5.1 -> NEXT
        NOREAD -> STOP no-read
        NOREAD -> STOP no-read
        MANUAL -> NEXT; Type " and then the number of the sleeve.
        "51 -> STOP wrong-number
        STOP | disc 5.1 -> NEXT
        NOREAD -> STOP no-read
        NOREAD -> STOP no-read
        MANUAL | "7 | P2 -> DONE; Now insert, English.
        NOREAD -> STOP no-read; The item will not scan: turn it and try again. If it still will not, scan REJECT.
        NOREAD -> STOP no-read
        MANUAL | "{I1} | P2 -> DONE; Now disc 2.
        disc 5.2 | sleeve 5 no 7 | I2 -> MATCH [1 of 3 in carton]
        """.replace("{I1}", n("I1"))
    )


def test_undo_takes_back_the_last_match_and_an_empty_carton(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B3 | K41 -> DONE
        UNDO -> STOP nothing-to-undo; There is nothing to take back. A closed carton is opened again with REOPEN.
        carton 1 -> DONE
        UNDO -> DONE; Carton label {carton 1} is free again.
        = rows of carton -> 0
        carton 1 | disc 3.1 -> NEXT
        UNDO -> DONE; Stopped. Put the disc back on spindle {K41}. Put aside what else you hold.
        disc 3.1 | sleeve 3 no 7 -> MATCH [1 of 4 in carton]
        UNDO -> DONE; The last match is taken back: put disc 1 back on spindle {K41}. [0 of 4 in carton]
        = rows of numbered_sleeve -> 0
        = quantity of stock where place {K41} -> 10
        UNDO -> STOP nothing-to-undo; There is nothing to take back. Only the last match since you signed on can be taken back.
        disc 3.1 | sleeve 3 no 7 -> MATCH [1 of 4 in carton]
        P2 -> DONE
        UNDO -> STOP nothing-to-undo
        CLOSE | "done | CLEAR | P1 | B7 | K111 | K121 | carton 2 -> DONE
        disc 5.1 | sleeve 5 no 3 | I1 | disc 5.2 | sleeve 5 no 3 | I2 -> MATCH [1 of 3 in carton]
        UNDO -> DONE; The last match is taken back: take download card out of the sleeve. [0 of 3 in carton]
        UNDO -> DONE; The last match is taken back: put disc 2 back on spindle {K121}.
        UNDO -> DONE; The last match is taken back: take insert, English out of the sleeve.
        disc 5.2 -> STOP wrong-disc
        I1 | disc 5.2 | sleeve 5 no 3 | I2 -> MATCH [1 of 3 in carton]
        = item, quantity of carton_item by item -> {I1} 0; {I2} 0
        CLOSE | "done -> DONE
        = item, quantity of carton_item by item -> {I1} 1; {I2} 1
        """
    )


def test_a_sealed_carton_is_reopened_or_merged_with_a_reason(floor):
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 -> DONE
        REOPEN -> STOP not-ready
        B1 | K11 | carton 1 | disc 1.1 | sleeve 1 -> MATCH
        REOPEN -> STOP carton-open
        CLOSE | "short | carton 2 | disc 1.1 | sleeve 1 | disc 1.1 | sleeve 1 -> MATCH
        MERGE -> NEXT; Scan the label of the part carton to empty.
        carton 2 -> STOP carton-not-closed; Carton {carton 2} is open. Scan a closed carton.
        carton 9 -> STOP unknown-code
        carton 1 | "two part cartons -> DONE; 1 unit of carton {carton 1} is in carton {carton 2} now. Throw the label of carton {carton 1} away. [3 of 5 in carton]
        = sscc, units of carton by sscc -> {carton 1} 0; {carton 2} 3
        MERGE -> NEXT
        carton 1 -> STOP carton-empty
        STOP | CLOSE | "short -> DONE
        REOPEN | carton 2 -> NEXT; Type " and then the reason, such as "corner crushed.
        "count doubted -> DONE; Carton {carton 2} is open again with 3 units. [3 of 5 in carton]
        disc 1.1 | sleeve 1 x 2 -> MATCH [5 of 5 in carton]
        CLOSE -> DONE
        carton 3 | disc 1.1 | sleeve 1 | MERGE -> NEXT
        carton 2 -> STOP carton-full; Carton {carton 2} holds 5 units; the open carton has room for 4.
        STOP | CLOSE | "end -> DONE
        09:00 DOCK
        P1 | PALLET | pallet 1 | carton 2 -> DONE
        09:10 LINE
        REOPEN -> NEXT
        carton 2 -> STOP has-a-parent; Carton {carton 2} is on pallet {pallet 1}, which is open. The dock takes it off first.
        STOP | CLEAR | P2 | B2 | K21 | K31 | REOPEN -> NEXT
        carton 3 -> STOP wrong-title-carton
        09:20 LAB
        P1 | HOLD | carton 3 | "wet -> DONE
        09:30 LINE
        STOP | CLEAR | P2 | B1 | K11 | REOPEN -> NEXT
        carton 3 -> STOP on-hold; Carton {carton 3} is on hold: wet (hold {H1}). Leave it as it is.
        """
    )


def test_a_unit_is_taken_out_of_a_carton_with_discs_of_two_lots(floor):
    """Which lot it is of the records cannot tell; the line asks and never guesses."""
    floor.day(
        """
        08:00 LINE
        P1 | CLEAR | P2 | B1 | K11 | carton 1 -> DONE
        TAKEOUT -> STOP carton-empty
        disc 1.1 | sleeve 1 | B6 | K51 | disc 1.1 | sleeve 1 -> MATCH [2 of 5 in carton]
        TAKEOUT -> NEXT; Scan the lot card of the disc: {L1} or {L5}.
        L2 -> STOP wrong-lot
        L5 -> NEXT; Scan the sleeve batch of the unit.
        B3 -> STOP wrong-batch
        B6 | "sleeve split -> DONE [1 of 5 in carton]
        = lot, quantity of stock where place scrap -> {L5} 1
        = batch, units of carton_sleeve by batch -> {B1} 1; {B6} 0
        = subject, fate, quantity of label_count -> {B6} destroyed 1
        """
    )


def test_where_to_look_is_the_plants_own_list(tmp_path):
    data = plant_data()
    add_kits(data)
    data["plant"]["clearance_areas"] = ["chute", "under the table"]
    ledger = Ledger.create(str(tmp_path / "plant.db"))
    with ledger.writing() as booking:
        for body in read_plant_file(data, new_ledger=True):
            booking.record(body, Stamp(START, "2031-03-03T07:00:00Z"))
    Floor(ledger).play(
        LINE,
        "P1 -> DONE\nCLEAR -> NEXT; Check these are empty: chute, under the table. Then a second person checks and scans a badge.",
    )


def test_a_desk_kept_by_an_older_program_is_taken_over():
    """As it was kept when a match was two scans and nothing else; what it could not know is as on an empty desk."""
    kept = (
        '{"person":"P000001X","clearing":null,"cleared":true,"job":{"batch":"B1","gtin":"G","numbered":false,"discs":1,'
        '"carton_size":5},"spindles":[{"spindle":"K1","lot":"L1","piece":1}],"carton":"C","units":2,"half":[],'
        '"number":null,"pending":1,"stopped":false,"run":{"first_at":"a","last_at":"b","units":1,"takes":'
        '[{"spindle":"K1","lot":"L1","count":1}],"numbers":[]}}'
    )
    assert read_line_state(kept) == LineState(
        person="P000001X",
        cleared=True,
        job=Job("B1", "G", numbered=False, discs=1, carton_size=5),
        spindles=(OpenSpindle("K1", "L1", 1),),
        carton="C",
        units=2,
        pending=1,
        run=MatchRun("a", "b", 1, (Take("K1", "L1", 1),), (), (), 2),
    )

"""The assembly hall at its stations: what each act takes, what it refuses, and what is booked."""

import pytest
from support_assembly import (
    ARM,
    BENCH,
    BOARD,
    MACHINE,
    MACHINE_2,
    PARTS,
    UNIT,
    assembly_floor,
    built_floor,
    play,
)
from support_plant import START, carton_sscc, n
from support_plantfile import read_plant_file
from support_schema import empty_ledger

from tracelink.ledger.entry import Stamp, read_entry
from tracelink.store.journal import journal
from tracelink.store.journal.rebuild import differences, replay
from tracelink.store.ledger import utc_now
from tracelink.store.stations.judge_again import judge_again


@pytest.fixture
def hall():
    return assembly_floor()


@pytest.fixture
def floor():
    return built_floor()


def entries(floor, kind):
    with floor.ledger.reading() as conn:
        every = [read_entry(row.canonical) for row in journal.rows(conn)]
    return [entry for entry in every if entry.kind == kind]


class TestPartLots:
    def test_stay_in_quarantine_until_they_are_tested(self, hall):
        play(
            hall,
            f"""
            RECEIVE | M1 -> NEXT; Type " and then the part number.
            "EX-1009 -> STOP unknown-code; Part EX-1009 is not in the system. Read the part number again.
            "EX-1001 | "1 | "SL-77 | "3105 -> NEXT; Key how many, such as #500.
            #0   -> STOP wrong-count; You keyed 0. Key how many, 1 or more.
            #200 -> DONE; Part lot {n("M1")}: 200 pieces of EX-1001, resistor, in quarantine. To test: 5 pieces.
            RECEIVE | M1 -> STOP card-in-use; Part lot {n("M1")} is in the system already. Take a new card.
            CANCEL -> DONE
            TAPE | F1 | M1 -> STOP not-accepted; Part lot {n("M1")} is in quarantine. Only an accepted lot is taped or filled: \
scan TESTLOT first, or put it aside.
            CANCEL -> DONE
            TESTLOT | M1 | #4 -> STOP wrong-count; Of part lot {n("M1")} 5 to 200 of 200 pieces are to be tested; you keyed 4. \
Test what is missing, or key it again.
            #5 | #6 -> STOP wrong-count; 5 pieces of part lot {n("M1")} were tested; 6 cannot have failed. Key it again.
            #0 -> DONE; Part lot {n("M1")} is accepted: 5 tested, 0 failed.
            TESTLOT | M1 -> STOP already-judged; Part lot {n("M1")} is accepted already. Put it where such lots are kept.
            CANCEL -> DONE
            M1 -> DONE; Part lot {n("M1")}, EX-1001 revision 1: accepted, 200 pieces on no reel.
            M9 -> DONE; Label {n("M9")} is new.
            """,
        )

    def test_with_one_bad_of_a_sample_are_rejected_and_of_all_lose_only_the_bad_one(self, hall):
        play(
            hall,
            f"""
            RECEIVE | M1 | "EX-1001 | #1 | "SL-77 | #3105 | #200 | TESTLOT | M1 | #50 | #1 -> STOP part-lot-rejected; \
Part lot {n("M1")} is rejected: 1 of 50 tested failed. Put it aside for quality.
            TAPE | F1 | M1 -> STOP not-accepted
            CANCEL -> DONE
            RECEIVE | M2 | "EX-1002 | "1 | "SL-78 | "3106 | #60 -> DONE
            TESTLOT | M2 | #59 -> STOP wrong-count
            #60 | #1 -> DONE; Part lot {n("M2")} is accepted: 60 tested, 1 failed, 1 piece scrapped.
            TAPE | F2 | M2 | #60 -> STOP more-than-there-is; Part lot {n("M2")} has 59 pieces left; you keyed 60. Count again.
            #59 -> DONE; Reel {n("F2")}: positions 1 to 59 are EX-1002 of part lot {n("M2")}.
            """,
        )


class TestReels:
    def test_keep_the_lots_they_were_taped_of_in_order(self, hall):
        play(hall, PARTS)
        play(
            hall,
            f"""
            F1 -> DONE; Reel {n("F1")}, EX-1001 revision 1 of part lots {n("M1")}, {n("M4")}: 40 of 40 parts left.
            TAPE | F1 | M2 -> STOP wrong-part; Reel {n("F1")} has EX-1001 revision 1; part lot {n("M2")} is EX-1002 revision 1. \
Take another reel, or the right lot.
            CANCEL -> DONE
            FILL | F1 -> STOP card-in-use; Label {n("F1")} is on a reel: scan CANCEL and TAPE, or take a new label.
            CANCEL -> DONE
            LEFT | F4 | #399 -> STOP count-differs; Tray {n("F4")}: 399 parts left, the system shows 400: difference −1. \
Count again and tell quality.
            LEFT | F4 | #400 -> DONE; Tray {n("F4")}: 400 parts left, the system shows 400.
            """,
        )
        assert hall.read("reel_item", "first", "last", "part_lot", reel=n("F1"), order="first") == [
            (1, 30, n("M1")),
            (31, 40, n("M4")),
        ]
        assert hall.read("reel_count", "shown", "counted", order="seq") == [(400, 399), (400, 400)]

    def test_of_another_revision_are_refused(self, hall):
        play(hall, PARTS)
        play(
            hall,
            f"""
            RECEIVE | M5 | "EX-1001 | "2 | "SL-81 | "3109 | #50 | TESTLOT | M5 | #5 | #0 -> DONE
            TAPE | F1 | M5 -> STOP wrong-revision; Reel {n("F1")} has EX-1001 revision 1; part lot {n("M5")} is EX-1001 \
revision 2. Take another reel, or the right lot.
            CANCEL -> DONE
            TAPE | F5 | M5 | #50 | BUILD | N1 | "{BOARD} | U101 | #40 | #2 | SETUP | N1 -> DONE
            LOAD | J1 | F5 -> STOP wrong-revision; Slot 1 takes EX-1001 revision 1; reel {n("F5")} is EX-1001 revision 2. \
Put it back and take the right reel.
            F2 -> STOP wrong-part; Slot 1 takes EX-1001 revision 1; reel {n("F2")} is EX-1002 revision 1. Put it back and take \
the right reel.
            F1 -> DONE; Slot 1: reel {n("F1")}, EX-1001, 40 parts.
            """,
        )


class TestMachines:
    def test_place_stretches_of_positions_and_a_splice_keeps_both_reels(self, floor):
        moves = floor.read(
            "part_move", "reel", "quantity", "target", "first", "last", "per_piece", "lead", order="seq line"
        )
        assert moves == [
            (n("F1"), 20, f"{n('N1')} 1-10", 1, 20, 2, 0),
            (n("F2"), 10, f"{n('N1')} 1-10", 1, 10, 1, 0),
            (n("F1"), 20, f"{n('N1')} 11-20", 21, 40, 2, 0),
            (n("F3"), 20, f"{n('N1')} 21-30", 1, 20, 2, 0),
            (n("F2"), 20, f"{n('N1')} 11-30", 11, 30, 1, 0),
        ]

    def test_a_splice_in_the_middle_of_a_board_gives_it_parts_of_both(self, hall):
        play(hall, PARTS)
        play(
            hall,
            f"""
            TAPE | F5 | M1 | #7 | BUILD | N1 | "{BOARD} | U101 | #10 | #1 | SETUP | N1 | LOAD | J1 | F5 | LOAD | J2 | F2 -> DONE
            PLACED | #4 -> STOP beyond-the-reel; 4 pieces take 8 parts EX-1001 from slot 1; its reels have 7 left. Read the \
counter again; if a reel was joined to the tail, scan SPLICE first.
            CANCEL | SPLICE | J1 | F3 -> DONE; Slot 1: reel {n("F3")} is joined to reel {n("F5")}, which has 7 parts by the last count.
            PLACED | #6 -> DONE; Pieces 1 to 6 of 10 of build order {n("N1")} are done.
            """,
        )
        moves = hall.read(
            "part_move", "reel", "quantity", "target", "first", "last", "lead", order="seq line"
        )
        assert moves[:2] == [
            (n("F5"), 7, f"{n('N1')} 1-4", 1, 7, 0),
            (n("F3"), 5, f"{n('N1')} 4-6", 1, 5, 1),
        ]
        play(
            hall,
            f"U104 -> DONE; {n('U104')}, {BOARD}, motor board, piece 4 of build order {n('N1')}: built, 3 parts in it.",
        )

    def test_what_is_thrown_away_leaves_the_reel_somewhere_among_the_others(self, hall):
        play(hall, PARTS)
        play(
            hall,
            f"""
            BUILD | N1 | "{BOARD} | U101 | #10 | #1 | SETUP | N1 | LOAD | J1 | F1 | LOAD | J2 | F2 | DROP | F1 | #3 -> DONE; \
3 parts of reel {n("F1")} thrown away, 37 parts left.
            DROP | F1 | #38 -> STOP more-than-there-is; Reel {n("F1")} has 37 parts left; you keyed 38. Count again, or scan the \
reel they came off.
            CANCEL | DROP | F3 -> STOP slot-empty; Reel {n("F3")} is in no slot of this machine. Scan LOAD first.
            CANCEL | PLACED | #5 | DROP | F1 | #2 -> DONE
            ENDRUN -> DONE; The machine is done with build order {n("N1")}: 5 of 10 pieces. Taken out: {n("F1")}, {n("F2")}. \
Count what is left with LEFT.
            LEFT | F1 | #25 -> DONE; Reel {n("F1")}: 25 parts left, the system shows 25.
            """,
        )
        assert hall.read(
            "part_move", "quantity", "target", "first", "last", reel=n("F1"), order="seq line"
        ) == [
            (10, f"{n('N1')} 1-5", 1, 13),
            (3, "scrap", 1, 13),
            (2, "scrap", 14, 15),
        ]

    def test_a_wrong_reel_stops_the_machine_and_holds_back_what_it_placed(self, floor):
        play(
            floor,
            f"""
            CHECK | J1 | F1 -> DONE; Slot 1 has reel {n("F1")}, as booked. Good up to piece 30.
            PLACED | #36 -> DONE
            CHECK | J2 | F2 -> DONE
            CHECK | J1 | F4 -> STOP wrong-reel; Slot 1 is booked with reel {n("F1")}; you scanned reel {n("F4")}, EX-1003. The \
machine stays stopped: take it out and LOAD the right one. Pieces 31 to 36 since the last good check are held back (hold \
{n("H1")}): put them aside.
            PLACED | #38 -> STOP run-stopped; The machine stands with 36 pieces of build order {n("N1")}: a wrong reel was found. \
LOAD the right one first.
            CANCEL | LOAD | J1 | F3 -> DONE
            CHECK | J2 | F1 -> STOP wrong-reel; Slot 2 is booked with reel {n("F2")}; you scanned reel {n("F1")}, EX-1001. The \
machine stays stopped: take it out and LOAD the right one. Nothing was placed since the last good check.
            """,
        )
        assert floor.read("hold_item", "subject", "first", "last") == [(n("N1"), 31, 36)]
        assert floor.read("wrong_reel", "reel", "build", "first", "last") == [(n("F4"), n("N1"), 31, 36)]
        play(
            floor,
            f"""
            BUILD | N2 | "{UNIT} | U201 | #4 | #1 | JOIN | U201 | U131 -> STOP on-hold
            U130 -> NEXT
            """,
            BENCH,
        )

    def test_reels_in_use_used_up_or_on_hold_are_refused(self, floor):
        play(
            floor,
            f"""
            LOAD | J1 -> STOP slot-in-use; Reel {n("F1")} is in slot 1. Scan SPLICE to join the new one to its tail, or UNLOAD.
            CANCEL | SPLICE | J1 | F3 -> STOP reel-in-use; Reel {n("F3")} is in slot {n("J1")} already. Take another reel, or \
UNLOAD it there.
            CANCEL | LEFT | F3 -> STOP reel-in-use; Reel {n("F3")} is in slot {n("J1")}. Scan UNLOAD there first.
            CANCEL | UNLOAD | J1 -> DONE; Slot 1 is empty: {n("F1")}, {n("F3")} taken out. Count what is left with LEFT.
            PLACED | #40 -> STOP slot-empty; No reel is booked in slot 1, which takes EX-1001. LOAD what is in it.
            CANCEL | CHECK | J1 -> STOP slot-empty; No reel is booked in slot 1. Scan LOAD first.
            CANCEL | LOAD | J1 | F1 -> STOP reel-used-up; Reel {n("F1")} is used up: 40 parts were on it and left. Take a new one; \
if there are parts on it, count them with LEFT and tell quality.
            CANCEL -> DONE
            12:00 LAB
            P1 | HOLD | M1 | "swollen legs -> DONE
            12:05 MACHINE
            LOAD | J1 | F3 -> STOP on-hold; Reel {n("F3")} cannot be used: part lot...
            """.replace("cannot be used: part lot...", "..."),
        )

    def test_slots_of_other_machines_and_unused_ones_are_refused(self, floor):
        play(
            floor,
            f"""
            LOAD | J11 -> STOP wrong-slot; Slot 1 {n("J11")} is at machine {MACHINE_2}. Scan a slot of this machine.
            J3 -> STOP wrong-slot; Slot 3 is empty for {BOARD}, bill of material A. Scan the slot again.
            J99 -> STOP unknown-code; Slot {n("J99")} is not in the system.
            CANCEL | SETUP | N1 -> STOP run-open; This machine is set up for build order {n("N1")}. Scan ENDRUN first.
            CANCEL -> DONE
            12:00 MACHINE2
            PLACED -> STOP no-run; This machine is not set up. Scan SETUP and a build order card.
            """,
        )

    def test_the_counter_goes_forward_in_whole_panels_up_to_the_order(self, floor):
        play(
            floor,
            f"""
            PLACED | #30 -> STOP counter-backwards; The machine had done 30 pieces; you keyed 30. Read the counter again.
            #41 -> STOP counter-too-high; Build order {n("N1")} has 40 pieces; you keyed 41. Read the counter again.
            #33 -> STOP wrong-count; Build order {n("N1")} goes in panels of 2; 33 pieces end within one. Count whole panels.
            #34 -> DONE; Pieces 31 to 34 of 40 of build order {n("N1")} are done.
            """,
        )

    def test_a_machine_goes_on_where_it_was(self, floor):
        play(
            floor,
            f"""
            ENDRUN -> DONE
            SETUP | N1 -> DONE; Set up for build order {n("N1")}, motor board. 30 of 40 pieces done already. Load slot 1: EX-1001 \
revision 1; slot 2: EX-1002 revision 1.
            LOAD | J1 | F3 | LOAD | J2 | F2 | PLACED | #40 -> DONE
            J1 -> DONE; Slot 1 at {MACHINE}: reel {n("F3")} with 10 parts.
            """,
        )


class TestBuildOrders:
    def test_take_serials_once_and_need_a_bill_of_material(self, floor):
        play(
            floor,
            f"""
            BUILD | N2 | "{ARM} -> STOP no-bill; {ARM} has no bill of material that holds on 2031-03-03. Read the part number \
again, or ask for the bill.
            "{UNIT} | U95 | #7 -> STOP serial-in-use; Serial numbers 95 to 101 are in build order {n("N1")} already, some of them. \
Take the labels that follow.
            #6 | #4 -> STOP wrong-count; 6 pieces are no whole panels of 4. Key how many pieces are in a panel.
            #1 -> DONE; Build order {n("N2")}: 6 pieces of {UNIT}, turntable, by bill of material A.
            BUILD | N2 -> STOP card-in-use; Build order {n("N2")} is in the system already. Take a new card.
            """,
        )

    def test_of_a_bill_that_was_changed_go_no_further(self, floor):
        bill = {
            "part": BOARD,
            "version": "B",
            "since": "2031-03-03",
            "lines": [{"part": "EX-1001", "revision": "1", "quantity": 3, "slot": "1"}],
        }
        with floor.ledger.writing() as booking:
            for body in read_plant_file({"bill": [bill]}, new_ledger=False):
                booking.record(body, Stamp(START, utc_now()))
        told = (
            f"Build order {n('N1')} is by bill of material A of {BOARD}; since 2031-03-03 it is B. Begin another order for "
            "what is left, with BUILD."
        )
        play(
            floor,
            f"""
            PLACED | #40 -> STOP bill-changed; {told}
            CANCEL | ENDRUN | SETUP | N1 -> STOP bill-changed; {told}
            """,
        )
        assert floor.read("machine_run", "done") == [(30,)]


@pytest.fixture
def bench(floor):
    play(floor, f'BUILD | N2 | "{UNIT} | U201 | #4 | #1 -> DONE', BENCH)
    return floor


def test_what_failed_is_repaired_by_the_bill_it_was_built_by(bench):
    play(bench, 'FAIL | U101 | "board 1.4 | "no signal | "R2 -> STOP test-failed', BENCH)
    bill = {
        "part": BOARD,
        "version": "B",
        "since": "2031-03-03",
        "lines": [{"part": "EX-1001", "revision": "1", "quantity": 3, "slot": "1"}],
    }
    with bench.ledger.writing() as booking:
        for body in read_plant_file({"bill": [bill]}, new_ledger=False):
            booking.record(body, Stamp(START, utc_now()))
    play(
        bench,
        f"""
        OUT | U101 | "EX-1001 | "scrap | "leg broken | TAPE | F7 | M1 | #5 -> DONE
        JOIN | U101 | F7 -> DONE; {n("U101")}, motor board: 1 part joined, complete by bill of material A.
        PASS | U101 | "board 1.4 -> DONE
        """,
        BENCH,
    )


class TestUnits:
    def test_are_joined_by_scan_against_their_bill_of_material(self, bench):
        play(
            bench,
            f"""
            JOIN | U201 -> NEXT; Scan what goes in: 1 of {BOARD} revision A, motor board; 4 of EX-1003 revision 1, screw.
            F2   -> STOP wrong-part; {n("F2")} is EX-1002; {n("U201")} needs {BOARD}, EX-1003. Put it back and take the right part.
            U201 -> STOP wrong-part; {n("U201")} is the unit itself. Scan what goes into it.
            U140 -> STOP unit-incomplete; {n("U140")}, {BOARD}, lacks 2 of EX-1001, 1 of EX-1002 by the records. Join or place what \
is missing first.
            U300 -> STOP unknown-code; Serial label {n("U300")} is in no build order. Scan the label again; if it is right, scan \
BUILD first.
            U101 -> NEXT; 1 part scanned. Scan what goes in: 4 of EX-1003 revision 1, screw.
            U102 -> STOP wrong-part
            F4   -> DONE; {n("U201")}, turntable: 5 parts joined, complete by bill of material A.
            JOIN | U201 -> STOP nothing-missing; {n("U201")}, {UNIT}, has all parts that are joined by hand. A failed one is scanned \
FAIL and OUT first.
            CANCEL | JOIN | U202 | U101 -> STOP used-already; {n("U101")} is in {n("U201")} already. Put both aside and tell quality.
            CANCEL -> DONE
            U201 -> DONE; {n("U201")}, {UNIT}, turntable, piece 1 of build order {n("N2")}: built, 5 parts in it.
            U101 -> DONE; {n("U101")}, {BOARD}, motor board, piece 1 of build order {n("N1")}: built, 3 parts in it, in {n("U201")}.
            """,
            BENCH,
        )
        assert bench.read("nesting", "child", "parent", "closed_seq") == [(n("U101"), n("U201"), None)]
        [tray] = bench.read("part_move", "target", "quantity", "first", reel=n("F4"))
        assert tray == (n("U201"), 4, None)

    def test_a_tray_with_too_few_parts_is_refused(self, bench):
        play(
            bench,
            f"""
            FILL | F5 | M1 | #1 -> DONE
            RECEIVE | M6 | "EX-1003 | "1 | "SL-90 | "3110 | #3 | TESTLOT | M6 | #1 | #0 | FILL | F6 | M6 | #3 -> DONE
            JOIN | U201 | F6 -> STOP reel-used-up; {n("F6")} has 3 parts left by the records; the unit takes 4. Take another; if \
there are parts in it, count them with LEFT and tell quality.
            """,
            BENCH,
        )

    def test_what_failed_is_in_rework_until_it_passes(self, bench):
        play(
            bench,
            f"""
            FAIL | U101 | "board 1.4 | "no signal | "R2 -> STOP test-failed; {n("U101")} failed: no signal. Put it to rework; it \
comes back through a test only.
            JOIN | U201 | U101 -> STOP fault-open; {n("U101")} failed its last test and is in rework. It comes back through a test \
only: scan PASS when it has passed.
            CANCEL | OUT | U102 -> STOP not-in-rework; {n("U102")} is not in rework. A part is taken out of what failed a test: \
scan FAIL first.
            U101 | "EX-1009 -> STOP not-in-the-bill; EX-1009 is not in {n("U101")} by the records; in it are EX-1001 off \
{n("F1")}, EX-1002 off {n("F2")}. Scan one of these.
            "EX-1001 | "bin -> STOP wrong-format; "bin" is no place for it. Type " and then where it goes: scrap, supplier or retest.
            "supplier | "leg broken -> DONE; EX-1001 is out of {n("U101")}, to supplier. JOIN the new part, then test {n("U101")}.
            PASS | U101 | "board 1.4 -> DONE; {n("U101")} passed board 1.4, back from rework.
            JOIN | U201 | U101 -> STOP unit-incomplete; {n("U101")}, {BOARD}, lacks 1 of EX-1001 by the records. Join or place what \
is missing first.
            CANCEL | FAIL | U101 | "board 1.4 | "lacks a part | "- -> STOP test-failed
            TAPE | F7 | M1 | #5 | JOIN | U101 | F7 -> DONE; {n("U101")}, motor board: 1 part joined, complete by bill of material A.
            PASS | U101 | "board 1.4 | JOIN | U201 | U101 -> NEXT
            """,
            BENCH,
        )
        assert bench.read("taken_out", "unit", "piece", "reel", "went_to") == [
            (n("U101"), None, n("F1"), "supplier")
        ]
        assert bench.read("piece_test", "passed", "symptom", "position", "programme", order="seq") == [
            (0, "no signal", "R2", "board 1.4"),
            (1, None, None, "board 1.4"),
            (0, "lacks a part", None, "board 1.4"),
            (1, None, None, "board 1.4"),
        ]

    def test_the_programme_of_the_test_before_is_not_typed_again(self, bench):
        play(
            bench,
            f"""
            PASS | U101 -> NEXT; Type " and then name and version of the test programme, such as "final 2.1.
            "= -> DONE; {n("U101")} passed =.
            PASS | U101 | "board 1.4 -> DONE
            PASS | U102 -> NEXT; As before, board 1.4: type "=. Type " and then name and version of the test programme, such as \
"final 2.1.
            "= -> DONE; {n("U102")} passed board 1.4.
            JOIN | U201 | U101 | F4 | PASS | U201 -> NEXT; Type " and then name and version of the test programme, such as "final 2.1.
            """,
            BENCH,
        )

    def test_a_board_that_is_taken_out_is_free_and_both_keep_their_histories(self, bench):
        play(
            bench,
            f"""
            JOIN | U201 | U101 | F4 | FAIL | U201 | "final 2.1 | "no sound | "- -> STOP test-failed
            OUT | U201 | U102 -> STOP not-in-the-bill
            U101 | "retest | "swap -> DONE; {BOARD} is out of {n("U201")}, to retest. JOIN the new part, then test {n("U201")}.
            JOIN | U201 | U102 -> DONE; {n("U201")}, turntable: 1 part joined, complete by bill of material A.
            PASS | U201 | "final 2.1 -> DONE
            """,
            BENCH,
        )
        rows = bench.read("nesting", "child", "parent", "closed_seq", order="opened_seq")
        assert [row[:2] for row in rows] == [(n("U101"), n("U201")), (n("U102"), n("U201"))]
        assert rows[0][2] is not None
        assert rows[1][2] is None

    def test_are_packed_when_they_passed_and_are_complete(self, bench):
        play(
            bench,
            f"""
            JOIN | U201 | U101 | F4 | JOIN | U202 | U102 | F4 -> DONE
            PACK | carton 1 | U201 -> STOP not-tested; {n("U201")} was not tested since it was built. Test it and scan PASS first.
            U103 -> STOP not-a-product; {n("U103")} is {BOARD}, motor board, which is not sold by itself. Scan a finished unit.
            carton 1 -> STOP carton-empty
            CANCEL -> DONE
            PASS | U201 | "final 2.1 | FAIL | U202 | "final 2.1 | "hums | "- -> STOP test-failed
            PACK | carton 1 | U201 -> NEXT; 1 of 5 in the carton. Scan the serial label of a unit, or the carton label once more \
when it is done.
            U201 -> STOP used-already; {n("U201")} is scanned already. Scan the next one.
            U202 -> STOP fault-open
            U203 -> STOP unit-incomplete
            carton 1 -> DONE; Carton {carton_sscc(1)} closed with 1 unit.
            PACK | carton 1 -> STOP label-in-use; Carton {carton_sscc(1)} is in the system already. Take a new label.
            carton 2 | U201 -> STOP used-already
            """,
            BENCH,
        )
        assert bench.read("carton", "status", "units", sscc=carton_sscc(1)) == [("closed", 1)]

    def test_of_a_held_lot_of_pieces_are_refused(self, bench):
        play(
            bench,
            """
            JOIN | U201 | U101 | F4 | PASS | U201 | "final 2.1 -> DONE
            12:00 LAB
            P1 | HOLD | U101 | "dropped -> DONE
            12:05 BENCH
            PACK | carton 1 | U201 -> STOP on-hold
            """,
            BENCH,
        )


def test_a_unit_on_hold_stops_its_carton_at_the_dock_and_what_it_is_built_of_does_too(bench):
    play(
        bench,
        """
        JOIN | U201 | U101 | F4 | PASS | U201 | "final 2.1 | PACK | carton 1 | U201 | carton 1 -> DONE
        12:00 LAB
        P1 | HOLD | U101 | "dropped -> DONE
        12:05 DOCK
        P1 | PALLET | pallet 1 -> DONE
        carton 1 -> STOP on-hold
        12:10 LAB
        LIFT | H1 | "looked at | P2 -> DONE
        HOLD | N2 | "wrong screws -> DONE
        12:15 DOCK
        carton 1 -> STOP on-hold
        12:20 LAB
        LIFT | H2 | "right ones | P2 -> DONE
        12:25 DOCK
        carton 1 | CLOSE | ACCEPT | pallet 1 -> DONE
        """,
        BENCH,
    )


def test_every_entry_of_the_hall_is_forced_by_its_scans(bench):
    play(
        bench,
        """
        JOIN | U201 | U101 | F4 | FAIL | U201 | "final 2.1 | "no sound | "- -> STOP test-failed
        OUT | U201 | U101 | "scrap | "swap | JOIN | U201 | U102 | PASS | U201 | "final 2.1 -> DONE
        PACK | carton 1 | U201 | carton 1 -> DONE
        12:00 MACHINE
        PLACED | #36 | CHECK | J1 | F4 -> STOP wrong-reel
        DROP | F2 | #1 | ENDRUN -> DONE
        """,
        BENCH,
    )
    with bench.ledger.reading() as conn:
        judged = judge_again(conn)
    assert (judged.unforced, judged.not_judged, judged.left) == (None, 0, 0)


def test_what_the_hall_booked_replays_into_the_same_tables(bench):
    play(
        bench,
        """
        JOIN | U201 | U101 | F4 | FAIL | U201 | "final 2.1 | "no sound | "- -> STOP test-failed
        OUT | U201 | U101 | "scrap | "swap | JOIN | U201 | U102 | PASS | U201 | "final 2.1 -> DONE
        PACK | carton 1 | U201 | carton 1 -> DONE
        12:00 MACHINE
        DROP | F3 | #1 | CHECK | J1 | F3 | PLACED | #36 | CHECK | J1 | F4 -> STOP wrong-reel
        ENDRUN -> DONE
        """,
        BENCH,
    )
    bench.ledger.verify()
    with bench.ledger.reading() as live, empty_ledger().begin() as fresh:
        replay(fresh, journal.rows(live), [])
        assert differences(live, fresh) == []
    assert len(entries(bench, "parts-placed")) == 3

"""The tool room's rules, each with what it accepts and what it refuses; and what all act stations share."""

import pytest
from support_plant import DOCK, LAB, PRESS, TOOL, TOOL_2, Floor, gtin, n, raw, stamper

from tracelink.ledger.packs import unpack_scans
from tracelink.store.journal import journal


@pytest.fixture
def floor():
    made = Floor.copy()
    made.play(TOOL, "P1 -> DONE; Ada is signed on. Scan an action card.")
    return made


def test_a_master_comes_in_and_tools_are_grown_from_it(floor):
    floor.play(
        TOOL,
        f"""
        LACQUER -> NEXT; Scan the new tool tag.
        T900    -> NEXT; Type " and then the side: A or B.
        "b      -> NEXT; Type " and then the matrix number as it is cut.
        "ex–101–b -> DONE; Lacquer {n("T900")} side B, EX-101-B.
        GROW | T900 | T901 -> DONE; Father {n("T901")} grown from lacquer {n("T900")}.
        GROW | T901 | T902 -> DONE; Mother {n("T902")} grown from father {n("T901")}.
        GROW | T902 | T903 -> DONE; Stamper {n("T903")} grown from mother {n("T902")}.
        GROW -> NEXT; Scan the tool it was grown from.
        T903 -> STOP cannot-grow; Nothing is grown from a stamper, and {n("T903")} is one.
        T902 -> NEXT; Scan the new tool tag.
        T901 -> STOP tag-in-use; Tool tag {n("T901")} is in use already. Take a new tag.
        T904 -> DONE
        COPPER | T910 | "A | "EX-101-A -> DONE; Copper {n("T910")} side A, EX-101-A.
        GROW | T910 | T911 -> DONE; Stamper {n("T911")} grown from copper {n("T910")}.
        T911 -> DONE; Stamper {n("T911")} side A, EX-101-A, in use, 0 strokes.
        T999 -> DONE; Tag {n("T999")} is new.
        """,
    )
    grown = [
        floor.read("tool", "what", "parent", "side", "matrix", code=n(tool)) for tool in ("T903", "T911")
    ]
    assert grown == [
        [("stamper", n("T902"), "B", "EX-101-B")],
        [("stamper", n("T910"), "A", "EX-101-A")],
    ]


def test_a_held_tool_is_told_as_held_when_somebody_looks_at_its_tag(floor):
    floor.play(LAB, 'P1 | HOLD | T4 | "doubtful -> DONE')
    told = f"Stamper {n('T4')} side A, EX-101-A, in use, 0 strokes. On hold {n('H1')}: doubtful."
    floor.play(TOOL, f"T4 -> DONE; {told}")


def test_side_and_matrix_number_are_read_strictly(floor):
    floor.play(
        TOOL,
        """
        LACQUER | T900 -> NEXT
        "C       -> STOP wrong-thing; You typed "C". Type " and then the side: A or B.
        #1       -> STOP wrong-thing; You keyed 1. Type " and then the side: A or B.
        "A       -> NEXT
        "EX-109-A -> STOP wrong-matrix; No product has matrix number EX-109-A. Read it again; if it is right, have the product planned first.
        "EX-1-A  -> STOP wrong-format; Matrix number 'EX-1-A' is not of this plant's form; expected a form like 'EX-101-A'. Scan again; if you typed it, type it as shown.
        "EX-101-A -> DONE
        """,
    )


def test_a_retired_tool_may_not_be_used(floor):
    floor.play(
        TOOL,
        f"""
        RETIRE | T2 -> NEXT; Type " and then why it is retired.
        "torn at the edge -> DONE; {n("T2")} is retired.
        GROW -> NEXT
        T2   -> STOP tool-retired; Father {n("T2")} is retired and may not be used.
        CANCEL -> DONE; GROW cancelled.
        RETIRE -> NEXT
        T2   -> STOP tool-retired
        T998 -> STOP unknown-code; Tool tag {n("T998")} is not in the system.
        CANCEL -> DONE
        T2   -> DONE; Father {n("T2")} side A, EX-101-A, retired, 0 strokes.
        """,
    )
    assert floor.read("tool", "status", code=n("T2")) == [("retired",)]


def test_a_tool_on_hold_may_not_be_used(floor):
    floor.scan(LAB, "P1", "HOLD", "T2", '"scratched')
    floor.play(
        TOOL,
        f"""
        GROW -> NEXT
        T2   -> STOP on-hold; Father {n("T2")} is on hold: scratched (hold {n("H1")}). Put it aside.
        """,
    )
    floor.scan(LAB, "LIFT", "H1", '"cleaned', "P2")
    floor.play(TOOL, "T2 -> NEXT")


class TestActs:
    """What the tool room, press, lab and dock share."""

    def test_nobody_works_without_a_badge(self, floor):
        floor.play(
            TOOL_2,
            f"""
            LACQUER -> STOP nobody-signed-on; Nobody is signed on here. Scan your badge first.
            T1      -> STOP nobody-signed-on
            P99     -> STOP unknown-code; Badge {n("P99")} is not in the system.
            P3      -> DONE; Cleo is signed on. Scan an action card.
            LACQUER -> STOP wrong-role; Cleo may not do LACQUER: that needs the role tool. Ask someone who has it.
            P1      -> DONE
            LACQUER -> NEXT
            """,
        )

    def test_an_act_is_finished_or_put_away(self, floor):
        floor.play(
            TOOL,
            """
            CANCEL  -> STOP nothing-to-cancel; No action is open; there is nothing to cancel.
            DANCE   -> STOP act-not-here; DANCE is not an action of this station. Actions here: BLANK, COPPER, GROW, LACQUER, RETIRE, SIGNOFF.
            GROW    -> NEXT; Scan the tool it was grown from.
            LACQUER -> NEXT; GROW cancelled. Scan the new tool tag.
            LACQUER -> NEXT; Scan the new tool tag.
            DANCE   -> STOP act-not-here
            T900    -> NEXT
            GROW    -> STOP act-not-finished; LACQUER is not finished. Type " and then the side: A or B. Or scan CANCEL.
            CANCEL  -> DONE; LACQUER cancelled.
            GROW    -> NEXT
            """,
        )

    def test_every_scan_of_an_act_that_was_taken_by_mistake_is_kept(self, floor):
        """The card of the act that was meant puts the other away; both lie with the entry."""
        floor.play(TOOL, 'GROW | LACQUER | T900 | "A | "EX-101-A -> DONE')
        with floor.ledger.reading() as conn:
            *_before, last = journal.rows(conn)
        kept = [scan.raw for scan in unpack_scans(last.pack)]
        assert kept == [raw(line) for line in ("GROW", "LACQUER", "T900", '"A', '"EX-101-A')]
        assert floor.count("spool") == 0

    def test_a_wrong_card_is_let_go_at_any_bench(self, floor):
        floor.play(
            DOCK,
            f"""
            P1     -> DONE
            ACCEPT -> NEXT
            CLOSE  -> STOP no-pallet
            PALLET -> NEXT; ACCEPT cancelled. Scan a new pallet label.
            pallet 1 -> DONE
            ACCEPT -> NEXT
            carton 1 -> STOP wrong-thing
            COUNT  -> NEXT; ACCEPT cancelled. Scan what you counted: pallet, carton, spindle, or the lot card for discs at the press without a spindle.
            carton 1 -> STOP unknown-code; Carton {n("carton 1")} has not been packed.
            """,
        )

    def test_a_badge_takes_the_station_over_and_puts_the_open_act_away(self, floor):
        floor.play(TOOL, "LACQUER | T900 | P1 -> DONE" + '\n"A -> STOP wrong-thing')
        assert floor.count("spool") == 0

    @pytest.mark.parametrize(
        ("scan", "named"),
        [("L1", f"scanned lot card {n('L1')}"), ("#7", "keyed 7"), ('"x', 'typed "x"'), ("disc 1.1", f"scanned a disc of {n('sleeve 1')}"),
         ("sleeve 1", f"scanned a sleeve of {n('sleeve 1')}"), ("carton 1", f"scanned a carton or pallet label {n('carton 1')}"),
         ("]C1022952000000001137005", "scanned a carton or pallet label without SSCC")],
    )  # fmt: skip
    def test_a_wrong_thing_is_named(self, floor, scan, named):
        if scan.startswith("]C1"):
            scan = f"]C1020{n('sleeve 1')}3705"
        floor.play(
            TOOL,
            f"""
            {scan} -> STOP wrong-thing; You {named}. Scan an action card or a tool tag.
            GROW -> NEXT
            {scan} -> STOP wrong-thing; You {named}. Scan a tool tag.
            """,
        )

    @pytest.mark.parametrize("station", [TOOL, PRESS, LAB, DOCK])
    def test_a_damaged_code_is_refused_with_what_was_read_and_expected(self, floor, station):
        floor.play(
            station,
            """
            P1 -> DONE
            ]C0P0000019 -> STOP wrong-check-character; Check character of 'P0000019' is wrong: expected H, found 9. Scan again; if you typed it, type it again.
            ]d1P000001H -> STOP wrong-symbology; Badge P000001H came as ]d1 (Data Matrix): expected ]C0 (Code 128). Scan the right label; check the scanner's settings.
            ]E09520000000012 -> STOP wrong-check-character
            ]C0 -> STOP wrong-format
            """,
        )

    def test_what_was_true_when_scanned_is_judged_again_when_booked(self, floor):
        """Two stations begin with one new tag; the second to finish is told so, and nothing is booked twice."""
        floor.play(TOOL_2, "P1 | COPPER | T900 -> NEXT")
        floor.play(TOOL, 'LACQUER | T900 | "A | "EX-101-A -> DONE')
        floor.play(
            TOOL_2,
            f"""
            "B -> STOP tag-in-use; Tool tag {n("T900")} is in use already. Take a new tag. Scan CANCEL and begin again.
            T901 -> STOP tag-in-use
            CANCEL -> DONE
            COPPER | T901 | "B | "EX-101-B -> DONE
            """,
        )
        assert floor.read("tool", "what", code=n("T900")) == [("lacquer",)]

    def test_every_refusal_is_recorded_with_its_raw_characters(self, floor):
        floor.play(TOOL, "T999 -> DONE")
        assert floor.scan(TOOL, "]C0T000999A\x1d").finding == "wrong-format"
        [(seq, finding, person, subject)] = floor.read("finding", "seq", "finding", "person", "subject")
        assert (finding, person, subject) == ("wrong-format", n("P1"), "]C0T000999A\\x1d")
        with floor.ledger.reading() as conn:
            [row] = [row for row in journal.rows(conn) if row.seq == seq]
        # The look before it is still in the spool: a refusal does not disturb what waits there.
        assert [scan.raw for scan in unpack_scans(row.pack)] == ["]C0T000999A\x1d"]
        assert [fact for (fact,) in floor.read("spool", "fact")] == ['{"look":true}']


def test_a_lacquer_is_the_side_that_its_product_says(floor):
    floor.play(
        TOOL,
        """
        P1 -> DONE
        LACQUER | T900 | "B -> NEXT
        "EX-101-A -> STOP wrong-side; Matrix number EX-101-A belongs to side A; you typed side B. Check the lacquer, or scan CANCEL.
        CANCEL | LACQUER | T900 | "A | "EX-101-A -> DONE
        """,
    )


def test_a_tool_on_a_press_is_not_retired(floor):
    a, b = stamper("EX-101-A"), stamper("EX-101-B")
    floor.scan(PRESS, "P1", "SETUP", "L1", a, b, "C1", "E1", "E2")
    floor.play(
        TOOL,
        f"""
        P1 -> DONE
        RETIRE | {a} -> NEXT
        "worn -> STOP tool-mounted; {a} is on press {PRESS}. Scan CHANGE or STOP there first.
        """,
    )


def test_a_blank_is_tied_to_a_disc_before_it_is_cut(floor):
    floor.play(
        TOOL,
        f"""
        BLANK    -> NEXT; Scan the new tool tag.
        T900     -> NEXT; Scan the barcode of the product.
        sleeve 1 -> NEXT; Type " and then the side: A or B.
        "b       -> NEXT; Type " and then the number of the blank.
        "D-2231  -> NEXT; Type " and then good, or what is wrong with the blank.
        "Good    -> DONE; Blank {n("T900")} is good. Cut EX-101-B: "Paper Comet Arithmetic" side B.
        T900     -> DONE; Blank {n("T900")}, number D-2231, for EX-101-B: good, not cut yet.
        LACQUER | T900 -> NEXT; Type " and then the matrix number as it is cut.
        "EX-101-A -> STOP wrong-matrix; Blank {n("T900")} was to be EX-101-B; you typed EX-101-A. Read it again; if it was cut so, \
scan CANCEL, put it aside and tell quality.
        "ex-101-b -> DONE; Lacquer {n("T900")} side B, EX-101-B.
        BLANK | T900 -> STOP tag-in-use; Tool tag {n("T900")} is in use already. Take a new tag.
        """,
    )
    assert floor.read("blank", "blank", "gtin", "piece", "side", "matrix", "fault", tool=n("T900")) == [
        ("D-2231", gtin(1), 1, "B", "EX-101-B", None)
    ]


def test_a_blank_of_a_set_says_which_disc(floor):
    floor.play(
        TOOL,
        f"""
        BLANK | T900 | sleeve 2 -> NEXT; Key which disc of the set, such as #1.
        #3 -> STOP wrong-count; The product has discs 1 to 2; you keyed 3. Key which disc of the set.
        #2 | "A | "D-1 | "good -> DONE; Blank {n("T900")} is good. Cut EX-102-C: "Moth Parliament" disc 2 side A.
        BLANK | T900 -> STOP tag-in-use
        T901 -> NEXT
        T901 -> STOP wrong-thing; You scanned tool tag {n("T901")}. Scan the barcode of the product.
        ]E09520000099992 -> STOP unknown-code; Product 9520000099992 is not in the system. Scan the barcode of a planned product.
        """,
    )


def test_a_bad_blank_is_never_cut(floor):
    floor.play(
        TOOL,
        f"""
        BLANK | T900 | sleeve 1 | "A | "D-7 | "pinholes -> DONE; Blank {n("T900")} is bad: pinholes. Put it aside; it may not be cut.
        COPPER | T900 -> STOP blank-bad; Blank {n("T900")} was found bad: pinholes. Put it aside and take another.
        CANCEL -> DONE
        T900 -> DONE; Blank {n("T900")}, number D-7, for EX-101-A: bad: pinholes.
        """,
    )
    assert floor.read("tool", "code", code=n("T900")) == []

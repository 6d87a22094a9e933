"""Disc against sleeve: matches, and every way in which the two may not belong together."""

import json

import pytest
from support_plant import LAB, LINE, LINE_2, Floor, gtin, n

from tracelink.ledger.packs import unpack_scans
from tracelink.store.journal import journal


def ready(product, spindles, **line):
    made = Floor.copy()
    for lot in {1: (1,), 2: (2, 3), 3: (4,), 4: (9, 10)}[product]:
        made.press(lot)
    batch = {1: 1, 2: 2, 3: 3, 4: 5}[product]
    made.play(LAB, "P1 -> DONE")
    made.play(LINE, f"P1 | CLEAR | P2 | B{batch} | {' | '.join(spindles)} | carton 1 -> DONE")
    return made


@pytest.fixture
def single():
    return ready(1, ["K11"])


@pytest.fixture
def sets():
    return ready(2, ["K21", "K31"])


@pytest.fixture
def numbered():
    return ready(3, ["K41"])


@pytest.fixture
def numbered_sets():
    return ready(4, ["K91", "K101"])


def hold(floor, subject):
    floor.play(LAB, f'HOLD | {subject} | "doubtful -> DONE')


def open_second_line(floor, product, spindles, carton):
    batch = {1: 1, 2: 2, 3: 3, 4: 5}[product]
    floor.play(LINE_2, f"P1 | CLEAR | P2 | B{batch} | {' | '.join(spindles)} | carton {carton} -> DONE")


class TestMatching:
    def test_disc_then_sleeve_counts_at_once(self, single):
        for done in range(1, 5):
            single.play(LINE, "disc 1.1 | sleeve 1 -> MATCH")
            assert single.verdicts[-1].count == f"{done} of 5 in carton"
            assert single.spooled_matches() == done
        single.play(
            LINE,
            f"""
            disc 1.1 | sleeve 1 -> MATCH; Carton is full: scan CLOSE, or the next carton label.
            disc 1.1 -> STOP carton-full; Carton {n("carton 1")} is full. Scan CLOSE, or the next carton label.
            CLOSE -> DONE; Carton {n("carton 1")} is closed with 5 units. Scan a new carton label.
            """,
        )
        assert single.read("carton", "units", "status") == [(5, "closed")]
        assert single.read("carton_sleeve", "units") == [(5,)]

    def test_a_run_is_one_entry_with_its_raw_scans(self, single):
        single.match(1, 3)
        single.play(LINE, "CLOSE -> DONE")
        with single.ledger.reading() as conn:
            [row] = [row for row in journal.rows(conn) if row.kind == "discs-sleeved"]
        assert [scan.raw for scan in unpack_scans(row.pack)] == [
            f"]d28006{'0' + n('sleeve 1')}0101",
            f"]E0{n('sleeve 1')}",
        ] * 3
        body = json.loads(row.canonical)["body"]
        assert (body["units"], body["moves"][0]["quantity"], body["unfinished"]) == (3, 3, [])
        assert single.count("spool") == 0

    def test_a_long_run_is_sealed_on_the_way(self, tmp_path):
        floor = Floor.new(str(tmp_path / "plant.db"), run_length=2)
        floor.tools()
        floor.press(1)
        floor.open_line(1, [11], 1)
        floor.match(1, 5)
        assert floor.count("journal", kind="discs-sleeved") == 2
        assert floor.read("carton", "units") == [(4,)]
        assert floor.verdicts[-1].count == "5 of 5 in carton"

    def test_a_set_asks_for_its_discs_in_order(self, sets):
        sets.play(
            LINE,
            """
            disc 2.1 -> NEXT; "Moth Parliament" disc 1. Now its sleeve.
            sleeve 2 -> MATCH; Now disc 2.
            disc 2.2 -> NEXT; "Moth Parliament" disc 2. Now its sleeve.
            sleeve 2 -> MATCH
            """,
        )
        assert sets.verdicts[-1].count == "1 of 3 in carton"


class TestWrongReads:
    def test_a_disc_of_another_title(self, single):
        single.play(
            LINE,
            f"""
            disc 3.1 -> STOP wrong-title; Disc {n("sleeve 3")} is "Nine Pale Windmills"; this line packs "Paper Comet Arithmetic". Put it aside and scan STOP or the right disc.
            K12 -> STOP line-stopped; The line is stopped after a wrong read. Put the wrong piece aside and scan STOP before spindle card {n("K12")}.
            CLOSE -> STOP line-stopped
            P2 -> STOP line-stopped
            NOREAD -> STOP no-read
            CLOSE -> STOP line-stopped
            STOP -> DONE
            CLOSE -> DONE
            """,
        )

    def test_a_disc_of_no_known_title(self, single):
        single.play(
            LINE,
            f"]d28006{'0' + gtin(99)}0101 -> STOP wrong-title; Disc {gtin(99)} is not in the system; this line packs "
            '"Paper Comet Arithmetic". Put it aside and scan STOP or the right disc.',
        )

    def test_a_sleeve_of_another_title_and_the_right_one_after_it(self, single):
        single.play(
            LINE,
            f"""
            disc 1.1 -> NEXT
            sleeve 2 -> STOP wrong-title; Sleeve {n("sleeve 2")} is "Moth Parliament"; spindle {n("K11")} holds "Paper Comet Arithmetic". Put this sleeve aside and scan STOP or the right sleeve.
            CLOSE -> STOP line-stopped
            sleeve 1 -> MATCH
            CLOSE -> DONE
            """,
        )

    def test_a_stop_after_a_sleeve_of_another_title_says_where_the_disc_goes_before_the_rest(self, single):
        single.play(
            LINE,
            f"""
            disc 1.1 | sleeve 2 -> STOP wrong-title
            STOP -> DONE; Stopped. Put the disc back on spindle {n("K11")}. Put aside what else you hold.
            """,
        )

    def test_a_disc_that_the_set_does_not_need_next(self, sets):
        sets.play(
            LINE,
            """
            disc 2.2 -> STOP wrong-disc; You scanned disc 2. The set in hand needs disc 1. Put it aside and scan STOP or disc 1.
            B2       -> STOP line-stopped
            disc 2.1 | sleeve 2 -> MATCH
            disc 2.1 -> STOP second-copy; You scanned a second copy of disc 1. The set in hand needs disc 2. Put it aside and scan STOP or disc 2.
            disc 2.2 | sleeve 2 -> MATCH
            """,
        )

    def test_a_disc_of_a_set_of_another_size(self, sets):
        sets.play(
            LINE,
            f"]d28006{'0' + n('sleeve 2')}0103 -> STOP wrong-disc; The disc is marked as one of 3; this product has 2. Put it aside and scan STOP.",
        )

    def test_every_wrong_read_is_a_finding_and_moves_nothing(self, single):
        single.play(LINE, "disc 3.1 -> STOP wrong-title\ndisc 1.1 -> NEXT\nsleeve 2 -> STOP wrong-title")
        assert single.read("finding", "finding", "expected", "found", order="seq") == [
            ("wrong-title", n("sleeve 1"), n("sleeve 3")),
            ("wrong-title", n("sleeve 1"), n("sleeve 2")),
        ]
        assert single.read("stock", "quantity", place=n("K11")) == [(10,)]

    def test_a_wrong_read_seals_the_matches_before_it(self, single):
        """So that what was packed since the last good check is on record when the line stops."""
        single.match(1, 2)
        single.play(LINE, "disc 3.1 -> STOP wrong-title")
        assert single.read("carton", "units") == [(2,)]
        assert single.kinds()[-3:] == ["discs-sleeved", "scan-refused", "hold-back-opened"]


class TestHeld:
    @pytest.mark.parametrize(("held", "on"), [("K11", ""), ("L1", f" on {n('L1')}")])
    def test_a_held_spindle_or_lot_gives_no_disc(self, single, held, on):
        hold(single, held)
        single.play(
            LINE,
            f"disc 1.1 -> STOP on-hold; Spindle {n('K11')} is on hold: doubtful (hold {n('H1')}{on}). Put the disc back and scan STOP.",
        )

    @pytest.mark.parametrize(
        ("held", "sentence"),
        [
            (
                "K11",
                f"Spindle {n('K11')} is on hold: doubtful (hold {n('H1')}). Put the disc back and scan STOP.",
            ),
            (
                "B1",
                f"Sleeves {n('B1')} are on hold: doubtful (hold {n('H1')}). Put this sleeve aside and scan STOP.",
            ),
        ],
    )
    def test_a_hold_placed_between_disc_and_sleeve_counts(self, single, held, sentence):
        single.play(LINE, "disc 1.1 -> NEXT")
        hold(single, held)
        single.play(LINE, f"sleeve 1 -> STOP on-hold; {sentence}\nSTOP -> DONE")

    def test_a_lot_rejected_while_it_is_packed(self, single):
        single.play(LINE, "disc 1.1 -> NEXT")
        single.play(LAB, 'REJECT | L1 | "clicks -> DONE')
        single.play(
            LINE,
            f"""
            sleeve 1 -> STOP on-hold; Spindle {n("K11")} is on hold: clicks (hold {n("H1")} on {n("L1")}). Put the disc back and scan STOP.
            STOP -> DONE
            disc 1.1 -> STOP on-hold
            """,
        )
        single.play(LAB, 'LIFT | H1 | "marked | P2 -> DONE')
        single.play(
            LINE,
            f"""
            disc 1.1 -> STOP lot-rejected; Spindle {n("K11")} holds discs of lot {n("L1")}, which is rejected. Put the disc back and scan STOP.
            """,
        )

    def test_a_held_carton_takes_no_more(self, single):
        single.match(1, 1)
        hold(single, "carton 1")
        single.play(
            LINE,
            f"""
            disc 1.1 -> STOP on-hold; Carton {n("carton 1")} is on hold: doubtful (hold {n("H1")}). Scan CLOSE, put it aside and open another.
            CLOSE | carton 2 | disc 1.1 | sleeve 1 -> MATCH
            """,
        )

    def test_the_last_disc_sampled_between_disc_and_sleeve(self, single):
        single.match(1, 5)
        single.play(LINE, "CLOSE | carton 2 -> DONE")
        single.match(1, 4)
        single.play(LINE, "disc 1.1 -> NEXT")
        single.play(LAB, "SAMPLE | L1 | S1 | #3 | K11 -> DONE")
        single.play(LINE, "sleeve 1 -> STOP spindle-empty\nSTOP | CLOSE -> DONE")


class TestNumbers:
    def test_each_sleeve_has_its_own_number(self, numbered):
        numbered.play(
            LINE,
            """
            disc 3.1 | sleeve 3 no 7 -> MATCH
            disc 3.1 | sleeve 3 no 100 -> MATCH
            """,
        )
        numbered.play(LINE, "CLOSE -> DONE")
        assert numbered.read("numbered_sleeve", "number", "carton", order="number") == [
            ("100", n("carton 1")),
            ("7", n("carton 1")),
        ]

    def test_the_number_is_read_strictly(self, numbered):
        batch = n("B3")
        numbered.play(
            LINE,
            f"""
            disc 3.1 -> NEXT
            sleeve 3 -> STOP no-number; This edition is numbered: scan the number label, not the barcode.
            sleeve 3 no 101 -> STOP wrong-number; Sleeve number 101 is not in batch {batch} (1 to 100). Put this sleeve aside and scan STOP.
            sleeve 3 no 0 -> STOP wrong-number
            sleeve 3 no 07 -> STOP wrong-number
            sleeve 3 no A7 -> STOP wrong-number
            sleeve 3 no 99999999999999999999 -> STOP wrong-number
            CLOSE -> STOP line-stopped
            sleeve 3 no 7 -> MATCH
            """,
        )

    def test_an_edition_without_numbers_takes_none(self, single):
        single.play(
            LINE,
            """
            disc 1.1 -> NEXT
            sleeve 1 no 7 -> STOP wrong-number; This edition has no numbers, and the sleeve has number 7. Put this sleeve aside and scan STOP.
            sleeve 1 -> MATCH
            """,
        )

    def test_a_lost_separator_is_seen_in_the_number(self, numbered):
        numbered.play(LINE, "disc 3.1 -> NEXT")
        verdict = numbered.scan(LINE, f"]d2010{n('sleeve 3')}21710LOT1")
        assert (verdict.word.value, verdict.finding) == ("STOP", "lost-separator")
        assert verdict.sentence.endswith(" Scan the label again.")

    def test_a_second_piece_of_a_number_holds_both(self, numbered):
        numbered.play(
            LINE,
            f"""
            disc 3.1 | sleeve 3 no 7 -> MATCH
            disc 3.1 -> NEXT
            sleeve 3 no 7 -> STOP duplicate-number; Sleeve number 7 is in this carton already. Both are held ({n("H1")}). Put this sleeve aside for quality and scan STOP.
            CLOSE -> STOP line-stopped
            STOP -> DONE; Stopped. Put the disc back on spindle {n("K41")}. Put aside what else you hold.
            CLOSE | carton 2 | disc 3.1 | sleeve 3 no 8 -> MATCH
            """,
        )
        assert numbered.read("hold_item", "subject", order="line") == [
            (f"(01)0{n('sleeve 3')}(21)7",),
            (n("carton 1"),),
        ]
        assert numbered.read("hold", "reason") == [("sleeve number 7 was scanned twice",)]
        assert numbered.read("finding", "finding", order="seq")[0] == ("duplicate-number",)

    def test_a_duplicate_leaves_the_disc_in_hand_in_hand(self, numbered):
        """The disc's scan stays in the spool, so the right sleeve still matches it, and nothing is packed twice."""
        numbered.play(
            LINE,
            "disc 3.1 | sleeve 3 no 7 | disc 3.1 -> NEXT\nsleeve 3 no 7 -> STOP duplicate-number\nsleeve 3 no 8 -> MATCH",
        )
        numbered.play(LINE, "CLOSE -> DONE")
        assert numbered.read("carton", "units") == [(2,)]
        assert numbered.count("spool") == 0

    def test_a_number_in_another_carton(self, numbered):
        numbered.play(LINE, "disc 3.1 | sleeve 3 no 7 | CLOSE | carton 2 | disc 3.1 -> NEXT")
        numbered.play(
            LINE,
            f"sleeve 3 no 7 -> STOP duplicate-number; Sleeve number 7 is in carton {n('carton 1')} already. Both are held ({n('H1')}). Put this sleeve aside for quality and scan STOP.",
        )

    def test_the_same_number_at_two_lines(self, numbered):
        open_second_line(numbered, 3, ["K42"], 2)
        numbered.play(LINE, "disc 3.1 -> NEXT")
        numbered.play(LINE_2, "disc 3.1 | sleeve 3 no 7 -> MATCH")
        numbered.play(LINE, "sleeve 3 no 7 -> STOP duplicate-number")

    def test_a_numbered_set_stays_with_its_sleeve(self, numbered_sets):
        numbered_sets.play(
            LINE,
            """
            disc 4.1 | sleeve 4 no 7 | disc 4.2 -> NEXT
            sleeve 4 no 8 -> STOP wrong-number; Sleeve 8 is not the one in hand: disc 1 went into sleeve 7. Put this sleeve aside and scan STOP or the right sleeve.
            sleeve 4 no 7 -> MATCH
            """,
        )
        numbered_sets.play(LINE, "CLOSE -> DONE")
        assert numbered_sets.read("numbered_sleeve", "number") == [("7",)]

    def test_a_number_finished_elsewhere_while_its_set_is_half_done(self, numbered_sets):
        """A number is used once its sleeve is finished; whoever comes second is told so with the last disc."""
        open_second_line(numbered_sets, 4, ["K92", "K102"], 2)
        for line in (LINE, LINE_2):
            numbered_sets.play(line, "disc 4.1 | sleeve 4 no 7 | disc 4.2 -> NEXT")
        numbered_sets.play(LINE, "sleeve 4 no 7 -> MATCH")
        numbered_sets.play(
            LINE_2,
            f"""
            sleeve 4 no 7 -> STOP duplicate-number
            STOP -> DONE
            STOP -> DONE; The unfinished set is taken apart. Put disc 1 back on spindle {n("K92")}.
            disc 4.1 | sleeve 4 no 8 | disc 4.2 | sleeve 4 no 8 | CLOSE -> DONE
            """,
        )
        numbered_sets.play(LINE, "CLOSE -> DONE")
        assert numbered_sets.read("numbered_sleeve", "number", order="number") == [("7",), ("8",)]

    def test_a_number_on_hold(self, numbered):
        numbered.play(LINE, "disc 3.1 | sleeve 3 no 7 | disc 3.1 -> NEXT")
        hold(numbered, "sleeve 3 no 7")
        numbered.play(LINE, "sleeve 3 no 7 -> STOP on-hold")

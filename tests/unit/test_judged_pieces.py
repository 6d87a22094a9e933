"""A unit that fails weeks later: what it was built of is judged with it, and its reel-mates in the field are in question."""

from dataclasses import replace

import pytest
from support_assembly import BENCH, BUILT, PARTS, UNIT, assembly_floor, built_floor, play
from support_plant import LAB, n

from tracelink.errors import UsageError
from tracelink.genealogy.commoncause.compare import common_cause
from tracelink.genealogy.commoncause.exposure import ExposedDisc, JudgedDiscs
from tracelink.genealogy.containment.contain import contain
from tracelink.genealogy.containment.query import ContainmentQuery, Evidence
from tracelink.genealogy.model.built_of import BuiltOf, PieceJudgement, together
from tracelink.genealogy.model.facts import JudgementFact, UnreadJudgement
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.report.pages.common_cause_text import common_text
from tracelink.services.containment import scope_of as scope_of_query
from tracelink.services.tracing import trace
from tracelink.store.records.judged_discs import judged_discs
from tracelink.store.records.sql_records import SqlRecords

UNITS = f"""
BUILD | N2 | "{UNIT} | U201 | #5 | #1 -> DONE
JOIN | U201 | U101 | F4 | JOIN | U202 | U108 | F4 | JOIN | U203 | U121 | F4 | JOIN | U204 | U122 | F4 -> DONE
"""


@pytest.fixture(scope="module")
def floor():
    """Of four units the second fails a drop test: its board 8 took positions 15 and 16 of reel 1 and 8 of reel 2."""
    made = built_floor()
    play(made, UNITS, BENCH)
    play(
        made,
        """
        P1 | DRAWUNIT | U201 | DRAWUNIT | U202 | DRAWUNIT | U203 -> DONE
        GOOD | U201 | BAD | U202 | "arm loose | GOOD | U203 -> DONE
        """,
        LAB,
    )
    return made


def scope_of(floor, code, shape=Shape.FROM_ONSET, **asked):
    with floor.ledger.reading() as conn:
        return contain(SqlRecords(conn), ContainmentQuery(n(code), shape, **asked))


def tiers(scope):
    return [(tier.name.value, tier.lot, str(tier.strokes)) for tier in scope.tiers]


class TestAPiece:
    def test_that_is_good_says_so_of_every_part_and_a_bad_one_of_the_last(self):
        built = BuiltOf("F1", StrokeSet.between(5, 6), is_whole=True)
        assert [one.stroke for one in PieceJudgement("U1", True, None, 9).of(built)] == [5, 6]
        assert list(PieceJudgement("U1", False, "hum", 9).of(built)) == [
            JudgementFact("U1", "F1", 6, False, "hum", 9, StrokeSet.between(5, 6))
        ]

    def test_with_parts_of_unknown_position_says_nothing_of_a_position_when_it_is_bad(self):
        some = together([BuiltOf("F1", StrokeSet.between(5, 6), True), BuiltOf("F1", NO_STROKES, False)])
        assert some == [BuiltOf("F1", StrokeSet.between(5, 6), is_whole=False)]
        assert list(PieceJudgement("U1", False, "hum", 9).of(some[0])) == [
            UnreadJudgement("U1", "F1", False, "hum", 9)
        ]
        assert [type(one) for one in PieceJudgement("U1", True, None, 9).of(some[0])] == [
            JudgementFact,
            JudgementFact,
            UnreadJudgement,
        ]

    def test_knows_what_it_was_built_of_at_that_time(self, floor):
        with floor.ledger.reading() as conn:
            records = SqlRecords(conn)
            built = records.built_of(n("U202"), records.head()[0] + 1)
            before = records.built_of(n("U202"), 1)
        assert [(one.lot, str(one.positions), one.is_whole) for one in built] == [
            (n("N1"), "8", True),
            (n("F1"), "15-16", True),
            (n("F2"), "8", True),
            (n("N2"), "2", True),
            (n("F4"), "", False),
        ]
        assert [one.lot for one in before] == [n("N2")]


class TestABadUnit:
    def test_narrows_the_reel_its_board_took_parts_of(self, floor):
        """Positions 3 to 14 lie between the good unit and the bad one; from 16 on all are bad if the fault stays."""
        assert tiers(scope_of(floor, "F1")) == [
            ("cleared", n("F1"), "1-2"),
            ("possible", n("F1"), "3-15"),
            ("proven", n("F1"), "16-40"),
        ]

    def test_clears_only_itself_where_no_part_speaks_for_another(self, floor):
        found = tiers(scope_of(floor, "F1", Shape.INTERMITTENT))
        assert ("proven", n("F1"), "16") in found
        assert ("cleared", n("F1"), "1-2") in found
        assert ("possible", n("F1"), "3-15, 17-40") in found

    def test_is_evidence_about_the_boards_of_its_order(self, floor):
        with floor.ledger.reading() as conn:
            found = SqlRecords(conn).judgements_of(n("N1"))
        assert [(one.sample, one.stroke, one.good) for one in found] == [
            (n("U201"), 1, True),
            (n("U202"), 8, False),
            (n("U203"), 21, True),
        ]

    def test_of_a_tray_says_nothing_of_a_position(self, floor):
        with floor.ledger.reading() as conn:
            records = SqlRecords(conn)
            assert records.judgements_of(n("F4")) == []
            assert len(records.judged_unread(n("F4"))) == 3

    def test_stands_in_the_trace_of_its_reel_once(self, floor):
        with floor.ledger.reading() as conn:
            found = trace(conn, n("F1"), back=False, forward=True).judgements
        assert sorted(one.sample for one in found) == sorted(n(code) for code in ("U201", "U202"))


@pytest.fixture(scope="module")
def mixed():
    floor = assembly_floor()
    play(floor, PARTS.replace("M1 | #30", "M1 | #29").replace("M4 | #10", "M4 | #11"))
    play(floor, BUILT)
    play(floor, f'BUILD | N2 | "{UNIT} | U201 | #1 | #1 | JOIN | U201 | U115 | F4 -> DONE', BENCH)
    play(floor, 'P1 | DRAWUNIT | U201 | BAD | U201 | "arm loose -> DONE', LAB)
    return floor


class TestABadUnitWithPartsOfTwoLots:
    """Board 15 took position 29 of part lot 1 and position 30 of part lot 4, both off reel 1. Which of them is bad?"""

    def test_is_evidence_about_the_reel(self, mixed):
        assert ("proven", n("F1"), "30-40") in tiers(scope_of(mixed, "F1"))

    @pytest.mark.parametrize(("lot", "positions"), [("M1", "1-29"), ("M4", "30-40")])
    def test_narrows_neither_lot_and_is_told(self, mixed, lot, positions):
        scope = scope_of(mixed, lot)
        assert {name for name, _, _ in tiers(scope)} == {"possible"}
        assert ("possible", n("F1"), positions) in tiers(scope)
        told = (
            f"{n('U201')} was judged bad. Of its parts 29-30 of reel {n('F1')} only some are of {n(lot)}, and nobody "
            "knows which is bad: it narrows nothing. Look at them."
        )
        assert scope.gaps == (told,)

    def test_makes_its_defect_known(self, mixed):
        with mixed.ledger.reading() as conn:
            asked = ContainmentQuery(n("M1"), Shape.INTERMITTENT, defect="arm loose")
            assert scope_of_query(SqlRecords(conn), asked).defect == "arm loose"
            with pytest.raises(
                UsageError, match="no disc here was judged bad for 'arm lost'; known here: arm loose"
            ):
                scope_of_query(SqlRecords(conn), replace(asked, defect="arm lost"))

    def test_is_refused_as_evidence_that_came_with_the_question(self, mixed):
        with pytest.raises(
            UsageError, match="others of the same reel or order, and nobody knows which is bad"
        ):
            scope_of(mixed, "M1", evidence=(Evidence.parse(f"{n('U201')}=bad"),))


class TestAUnitAsEvidence:
    def test_that_the_lab_has_not_recorded_narrows_the_same_way(self, floor):
        given = (Evidence.parse(f"{n('U204')}=bad:hum"),)
        assert str(given[0]) == f"{n('U204')}=bad:hum"
        scope = scope_of(floor, "F3", evidence=given)
        assert tiers(scope)[-1] == ("proven", n("F3"), "4-50")

    def test_that_has_nothing_of_the_cause_is_refused(self, floor):
        given = (Evidence.parse(f"{n('U204')}=bad"),)
        with pytest.raises(
            UsageError, match=f"unit {n('U204')} has nothing of {n('F1')} in it by the records"
        ):
            scope_of(floor, "F1", evidence=given)

    def test_with_parts_out_of_a_tray_is_refused(self, floor):
        given = (Evidence.parse(f"{n('U204')}=bad"),)
        with pytest.raises(UsageError, match="nobody recorded which parts"):
            scope_of(floor, "F4", evidence=given)

    @pytest.mark.parametrize("text", ["U000204T:3=bad", "L0000125=bad"])
    def test_is_named_by_its_label_alone(self, text):
        code = text.partition(":")[0].partition("=")[0]
        right = n("U204") if code[0] == "U" else n("L1")
        with pytest.raises(UsageError, match="expected LOT:STROKE, or the serial label of a built piece"):
            Evidence.parse(text.replace(code, right))


def test_the_common_cause_of_bad_units_names_reels_part_lots_and_orders(floor):
    with floor.ledger.reading() as conn:
        judged = judged_discs(conn, None)
    by_sample = {one.sample: set(one.places) for one in judged.pieces}
    assert judged.unmade == 0
    assert by_sample[n("U202")] == {
        ("build", n("N2")),
        ("build", n("N1")),
        ("reel", n("F1")),
        ("part-lot", n("M1")),
        ("reel", n("F2")),
        ("part-lot", n("M2")),
        ("reel", n("F4")),
        ("part-lot", n("M3")),
    }
    assert ("reel", n("F3")) in by_sample[n("U203")]
    assert [one.sample for one in judged.pieces if one.bad] == [n("U202")]


def test_units_are_compared_with_units_and_not_with_discs():
    """Three good discs say nothing about a reel: one bad unit with it stands against one good unit without."""
    reel = {("reel", "F1"): (1, 0)}
    other = {("reel", "F2"): (1, 0)}
    discs = [ExposedDisc(f"S{n}", "L1", n, False, {("press", "W1"): (n, 0)}) for n in (1, 2, 3)]
    units = [ExposedDisc("U1", "N1", 1, True, reel), ExposedDisc("U2", "N1", 2, False, other)]
    found = common_cause(JudgedDiscs((*discs, *units), 0, 0))
    assert {one.code: one.table for one in found.candidates} == {
        "F1": ((1, 0), (0, 1)),
        "F2": ((0, 1), (1, 0)),
    }
    assert found.shared == ("press W1",)


def test_the_text_on_a_common_cause_says_what_each_thing_is_in():
    reel, press = {("reel", "F1"): (1, 0)}, {("press", "W1"): (1, 0)}
    units = [ExposedDisc(f"U{n}", "N1", n, n < 7, reel if n < 7 else {}) for n in range(1, 13)]
    alone = common_text(common_cause(JudgedDiscs(tuple(units), 0, 2)), "loose")
    assert alone.startswith(
        "6 of 12 judged built pieces are bad, defect loose.\nReel F1: 6 of 6 built pieces made with"
    )
    assert "Built pieces of one build order are alike" in alone
    assert "For 2 judged built pieces no record says" in alone
    assert "disc" not in alone
    discs = [ExposedDisc(f"S{n}", "L1", n, False, press) for n in (1, 2, 3)]
    both = common_text(common_cause(JudgedDiscs((*units, *discs), 0, 0)), "loose")
    assert both.startswith("6 of 15 judged pieces (3 discs, 12 built pieces) are bad, defect loose.\n")
    assert "Reel F1: 6 of 6 built pieces made with it are bad, 0 of 6 without it." in both
    assert "Every judged piece of its sort was made with press W1: nothing to compare." in both

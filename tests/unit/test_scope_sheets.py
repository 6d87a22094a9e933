"""The scope of a station or a person stays readable on paper, however much it touched: not above twelve sheets."""

from dataclasses import replace

import pypdfium2
import pytest
from support_scope import scope_doc

from tracelink.facts.scope_cause import Boundary, JudgedDisc, TierLine
from tracelink.facts.scope_discs import Container, Group, Identifier
from tracelink.facts.scope_records import LotSums, RelatedLot, SumLine
from tracelink.genealogy.containment.in_plant import InPlant
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.report.format.document import Bullets
from tracelink.report.format.document_pdf import document_pdf
from tracelink.report.format.table import Table
from tracelink.report.scope.pictures import ScopePictures
from tracelink.report.scope.sections import scope_sections
from tracelink.report.scope.tables_folded import on_sheet, samples_folded, tiers_folded

MOST_SHEETS = 12
AT = "2031-03-{:02}T08:00:00.000+01:00"
LOTS = [f"L{number:06}0" for number in range(1, 41)]


def judged(number, good):
    lot = LOTS[number % len(LOTS)]
    when = AT.format(1 + number % 28)
    return JudgedDisc(
        f"S{number:06}0", lot, number, f"T{number:06}0", number, good, "" if good else "scratch", 100 + number,
        when, when, "Ada Example", "mass 140.1 g",
    )  # fmt: skip


def tier(name, lot, reason):
    strokes = StrokeSet.from_strokes(range(1, 900, 3))
    return TierLine(name, lot, strokes, len(strokes), reason)


def carton(number):
    on = f"{number // 40:018}"
    return Container(
        "carton", f"{number:018}", "closed", LOTS[number % 40], 25, 0, 25, 1.0, True, (on,) if number % 9 else (),
        "", "", "", False, None, (),
    )  # fmt: skip


@pytest.fixture(scope="module")
def wide():
    """What a tool room, where everything begins, comes to: hundreds of tools, samples, pallets and lots."""
    document, _ = scope_doc(cause="W0000031")
    codes = tuple(f"T{number:06}0" for number in range(300))
    evidence = tuple(judged(number, number % 20 != 0) for number in range(600))
    names = [(TierName.PROVEN, "bad"), (TierName.POSSIBLE, "touched"), (TierName.CLEARED, "good")]
    why = "How judged discs speak for each life stands in the reasons."
    return replace(
        document,
        trigger=replace(document.trigger, evidence=evidence, suspects=codes, lots=tuple(LOTS)),
        boundaries=tuple(Boundary("stamper", code, 1, 900, None, None, why, ()) for code in codes),
        tiers=tuple(tier(name, lot, reason) for name, reason in names for lot in LOTS),
        samples=replace(document.samples, shown=tuple(f"Of lot {lot} some were judged." for lot in LOTS)),
        containers=tuple(carton(number) for number in range(800)),
        groups=tuple(Group("pallet", f"{number:018}", 1000, 0, 900, 1.0, True, False) for number in range(100)),
        identifiers=tuple(
            Identifier(f"stamper {code}", "matrix text", f"EX-{place % 30}-A1") for place, code in enumerate(codes)
        )
        + tuple(Identifier(f"lot {lot}", "title on the sleeve", f"Title {lot}") for lot in LOTS),
        balances=tuple(LotSums(lot, (SumLine("pressed", 900, 900, 0),), 0, (f"{lot} adds up.",)) for lot in LOTS),
        related=tuple(RelatedLot(lot, "Moth Parliament", "set-up", "L0000010", 900, False) for lot in LOTS * 5),
        in_plant=tuple(
            InPlant(one.code, "carton", "closed", one.lot, 25, 0, 25, one.stands_in, None, "")
            for one in map(carton, range(900))
        ),
    )  # fmt: skip


def on_paper(document):
    return scope_sections(
        document, ScopePictures(family="", lives=(), lives_left_out=300, places="", forward="")
    )


@pytest.fixture(scope="module")
def paper(wide):
    return on_paper(wide)


def blocks(paper, title):
    return next(one.blocks for one in paper.sections if title in one.title)


def test_a_scope_of_hundreds_of_tools_and_pallets_has_at_most_twelve_sheets(paper):
    pdf = pypdfium2.PdfDocument(document_pdf(paper))
    count = len(pdf)
    pdf.close()
    assert 5 < count <= MOST_SHEETS


def test_many_judged_discs_are_told_lot_by_lot_but_the_bad_ones_one_by_one(wide):
    bad, good = samples_folded(wide.trigger.evidence)
    assert len(bad.rows) == 30
    assert {row[0] for row in bad.rows} == {one.sample for one in wide.trigger.evidence if not one.good}
    assert sum(row[1] for row in good.rows) == 570
    assert good.foot == (("together", 570, ""),)


def test_a_disc_that_speaks_for_both_of_its_sides_is_counted_once(wide):
    twice = [
        one for each in wide.trigger.evidence for one in (each, replace(each, life="T9999990", position=7))
    ]
    bad, good = samples_folded(twice)
    assert (len(bad.rows), good.foot[0][1]) == (30, 570)


def test_few_judged_discs_are_told_one_by_one(wide):
    [table] = samples_folded(wide.trigger.evidence[:25])
    assert len(table.rows) == 25


def test_a_tier_of_many_lots_is_one_row_and_its_discs_add_up(wide):
    table = tiers_folded(wide)
    assert [(row[0], row[1], row[3]) for row in table.rows] == [
        (name, "several", 40 * 300) for name in ("proven", "possible", "cleared")
    ]
    few = tiers_folded(replace(wide, tiers=wide.tiers[:3]))
    assert [row[1] for row in few.rows] == LOTS[:3]


def test_what_is_left_out_is_said_with_its_number(paper):
    said = " ".join(one.text for one in blocks(paper, "What is suspected") if hasattr(one, "text"))
    [shown] = [one for one in blocks(paper, "What is suspected") if isinstance(one, Bullets)]
    assert f"{len(LOTS) - len(shown.items)} more of these; the JSON has every one." in said
    [free] = [
        one
        for one in blocks(paper, "Holds")
        if isinstance(one, Table) and one.caption == "Suspect stock not on hold"
    ]
    said = " ".join(one.text for one in blocks(paper, "Holds") if hasattr(one, "text"))
    assert f"{900 - len(free.rows)} more rows; the workbook and the JSON list every one." in said


def test_a_list_is_whole_up_to_its_limit_and_an_example_above_it():
    assert [on_sheet(count, 12) for count in (0, 11, 12, 13, 500)] == [0, 11, 12, 4, 4]


def test_one_text_that_marks_many_tools_is_one_row(paper):
    [table] = [one for one in blocks(paper, "How to know them") if isinstance(one, Table)]
    # 30 texts and 40 titles are more than a sheet has, so that the first are there as examples.
    assert len(table.rows) == on_sheet(70, 45)
    assert table.rows[0] == ("stamper T0000000, T0000300 and 8 more", "matrix text: EX-0-A1")

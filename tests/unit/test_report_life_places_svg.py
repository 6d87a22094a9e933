"""The stroke life and the places as pictures."""

from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from support_asking import contain
from support_each import each
from support_report import BAD_STAMPER, HEAD, LOT, NOW, OTHER, real_lot

from tracelink.genealogy.containment.held import PlaceTotal
from tracelink.genealogy.flow.pool_bounds import Bound
from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.suspects.closure import Axis, Stretch, closure_of
from tracelink.genealogy.suspects.evidence import judged_on
from tracelink.report.format import svg as svg_module
from tracelink.report.pictures.places_svg import places_svg
from tracelink.report.pictures.stroke_life_svg import WIDTH, stroke_life_svg
from tracelink.report.pictures.tags import Tag, placed, rows

SVG = "{http://www.w3.org/2000/svg}"


def life(records, cause, shape):
    scope = contain(records, cause, shape)
    closure = closure_of(records, cause)
    judgements = [fact for lot in closure.lots for fact in records.judgements_of(lot)]
    return stroke_life_svg(
        closure.axes[0],
        title=f"Life of <{cause}>",
        head=HEAD,
        at=NOW,
        tiers=scope.tiers,
        judged=judged_on(closure.axes[0], judgements, None),
        segments=[segment for lot in closure.lots for segment in records.segments_of(lot)],
    )


def texts(svg):
    return [element.text or "" for element in ET.fromstring(svg).iter(f"{SVG}text")]


def test_a_life_shows_lots_presses_samples_and_tiers_across_a_remount():
    shown = texts(life(real_lot(), BAD_STAMPER, Shape.FROM_ONSET))
    assert f"lot {LOT} on press W0000031, its strokes 1-800" in shown
    assert f"lot {OTHER} on press W0000032, its strokes 1-220" in shown
    assert {"good 701", "BAD 801"} <= set(shown)
    assert "cleared 1-701: 701 discs" in shown
    assert "possible 702-800: 99 discs" in shown
    assert "proven 801-1020: 220 discs" in shown
    assert "stroke in the life of stamper T0000101" in shown
    assert any("Printed 2031-03-14 16:05 +01:00" in text for text in shown)


def test_tiers_differ_by_pattern():
    root = ET.fromstring(life(real_lot(), BAD_STAMPER, Shape.FROM_ONSET))
    # In the band and in the legend: full for proven, lined for possible.
    filled = [element for element in root.iter(f"{SVG}rect") if element.get("fill") == svg_module.ACCENT]
    lined = [element for element in root.iter(f"{SVG}path") if "v" in element.get("d", "")]
    assert len(filled) == 2
    assert len(lined) == 2


@each("cause", [BAD_STAMPER, "T0000201", LOT, "W0000031", "C0000007"])
@each("shape", [Shape.FROM_ONSET, Shape.WHOLE_LIFE, Shape.INTERMITTENT])
def test_every_cause_and_shape_is_well_formed_and_stays_on_the_sheet(cause, shape):
    root = ET.fromstring(life(real_lot(), cause, shape))
    for element in root.iter(f"{SVG}rect"):
        assert float(element.get("x")) + float(element.get("width")) <= WIDTH + 0.2


def test_discs_laid_end_to_end_are_called_so():
    shown = texts(life(real_lot(), "C0000007", Shape.INTERMITTENT))
    assert "discs with compound C0000007, laid end to end: neighbours say nothing about one another" in shown


def test_a_hundred_samples_leave_only_the_two_that_matter_labelled():
    axis = Axis("T1", "stamper", (Stretch("L1", StrokeSet.between(1, 2000), 0),), ordered=True)
    facts = [JudgementFact(f"S{n}", "L1", 20 * n, n < 80, None, n) for n in range(1, 101)]
    svg = stroke_life_svg(axis, title="t", head=HEAD, at=NOW, judged=judged_on(axis, facts, None))
    labels = [text for text in texts(svg) if text.startswith(("good ", "BAD "))]
    assert labels == ["good 1580", "BAD 1600"]
    # Every mark is there all the same, and one more of each kind in the legend.
    assert len(list(ET.fromstring(svg).iter(f"{SVG}circle"))) == 79 + 1


def test_strokes_without_a_record_are_outlined_and_in_no_tier():
    axis = Axis("T1", "stamper", (Stretch("L1", StrokeSet.between(1, 100), 50),), ordered=True)
    root = ET.fromstring(stroke_life_svg(axis, title="t", head=HEAD, at=NOW))
    dashed = [element for element in root.iter(f"{SVG}rect") if element.get("stroke-dasharray")]
    assert len(dashed) == 1
    assert float(dashed[0].get("x")) == pytest.approx(24, abs=0.1)


def test_a_tool_that_pressed_nothing_says_so():
    axis = Axis("T1", "stamper", (), ordered=True)
    assert "No stroke of it is in the records." in texts(stroke_life_svg(axis, title="t", head=HEAD, at=NOW))


def test_labels_of_a_row_never_overlap():
    tags = [Tag(x, "label number " + "x" * (x % 7)) for x in range(0, 400, 13)]
    found = placed(tags, 0, 500)
    assert len(found) == len(tags)
    assert rows(found) > 1
    for row in range(rows(found)):
        spans = sorted(
            (one.left, one.left + svg_module.text_width(one.tag.words, 11)) for one in found if one.row == row
        )
        assert all(a[1] <= b[0] for a, b in pairwise(spans))


PLACES = (
    PlaceTotal("carton closed", Bound(500, 10, 60, None, True)),
    PlaceTotal("sample sample", Bound(3, 1, 1, None, True)),
    PlaceTotal("shipped", Bound(1200, 0, 40, None, False)),
    PlaceTotal("unaccounted", Bound(-3, 0, 0, None, True)),
    PlaceTotal("total", Bound(1700, 50, 80, None, True)),
)


def test_places_add_up_visibly():
    shown = texts(places_svg(PLACES, title="Where <they> are", head=HEAD, at=NOW))
    assert "total (lines add up to 1\u202f700, difference ±0)" in shown
    assert "affected in all: 50 to 80" in shown
    assert "−3" in shown
    assert "sample" in shown
    assert any("wider than the records force" in text for text in shown)
    assert any("Printed 2031-03-14 16:05 +01:00" in text for text in shown)


def test_places_that_do_not_add_up_show_the_difference():
    shown = texts(places_svg((*PLACES[:3], PLACES[4]), title="t", head=HEAD, at=NOW))
    assert "total (lines add up to 1\u202f703, difference +3)" in shown


def test_bars_are_as_long_as_their_numbers():
    root = ET.fromstring(places_svg(PLACES, title="t", head=HEAD, at=NOW))
    bars = [
        (element.get("fill") == svg_module.ACCENT, float(element.get("width")))
        for element in root.iter(f"{SVG}rect")
        if element.get("stroke") == svg_module.ACCENT and float(element.get("x")) > 200
    ]
    longest = max(width for _, width in bars)
    assert (False, longest) in bars
    assert (True, pytest.approx(longest / 6, abs=0.1)) in bars
    assert (False, pytest.approx(longest * 4 / 6, abs=0.1)) in bars


def test_places_without_any_suspect_are_drawn_too():
    ET.fromstring(
        places_svg((PlaceTotal("total", Bound(0, 0, 0, None, True)),), title="t", head=HEAD, at=NOW)
    )

"""Discs put into points, what changed with a level, and the containment that a warning ends in."""

import random

import pytest

from tracelink.errors import UsageError
from tracelink.genealogy.charting.charted_discs import (
    ChartedDisc,
    ChartingRules,
    baseline_of,
    points_of,
)
from tracelink.genealogy.charting.process_chart import FrozenBaseline, process_chart
from tracelink.genealogy.charting.proposed_scope import proposal
from tracelink.genealogy.charting.stage_before import StageEvidence, stages_before
from tracelink.genealogy.model.shapes import Shape
from tracelink.quality.charts.control_chart import ChartKind, ChartTuning
from tracelink.quality.charts.run_rules import RuleSet
from tracelink.quality.level_change import ChangeShape

HOW = ChartingRules(RuleSet.WESTERN_ELECTRIC, ChartTuning(0.2, 3, 0.5, 5), 20)


def disc(place, value=0.0, *, outside=False, judged=False, **made_with):
    return ChartedDisc(f"S{place}", "L1", place, place, value, outside, made_with, judged)


def charted(values, *, kind=ChartKind.INDIVIDUALS, size=1, limit=5.0, quiet=20, **made):
    """A chart of which the first values are the baseline."""
    discs = [
        disc(place, value, outside=value > limit, **{name: of(place) for name, of in made.items()})
        for place, value in enumerate(values, 1)
    ]
    points = points_of(kind, discs[:quiet], size)[0]
    least = min(20, len(points))
    frozen = FrozenBaseline(1, "T1", baseline_of(kind, points, least))
    return process_chart(kind, size, discs, frozen, HOW)


def noisy(seed, *, quiet=20, then=20, step=0.0, jump=0.0):
    chance = random.Random(seed)
    after = [jump + step * number for number in range(1, then + 1)]
    return [chance.gauss(0, 0.5) + shift for shift in [0.0] * quiet + after]


class TestPoints:
    def test_every_disc_is_one_where_single_values_are_charted(self):
        assert points_of(ChartKind.EWMA, [disc(1), disc(2)], 5) == ([(disc(1),), (disc(2),)], 0)

    @pytest.mark.parametrize(
        ("kind", "points", "left"), [("xbar-r", 2, 2), ("np", 2, 2), ("p", 3, 0), ("u", 3, 0)]
    )
    def test_groups_leave_over_what_makes_no_whole_point(self, kind, points, left):
        found, left_over = points_of(ChartKind(kind), [disc(place) for place in range(1, 13)], 5)
        assert (len(found), left_over) == (points, left)

    def test_a_group_of_one_is_refused(self):
        with pytest.raises(
            UsageError, match="a chart of xbar-s of 1 disc for each point: expected 2 or more"
        ):
            points_of(ChartKind.XBAR_S, [disc(1)], 1)


class TestStageBefore:
    def test_what_changed_with_the_level_is_named_with_its_evidence(self):
        before = [disc(place, press="W1", compound="C1") for place in range(1, 6)]
        after = [disc(place, press="W1", compound="C2") for place in range(6, 10)]
        assert stages_before(before, after) == (StageEvidence("compound", "C2", 4, 4, 0, 5),)

    def test_what_changed_nearly_then_comes_after_what_changed_just_then(self):
        before = [disc(place, gauge="G1", compound="C2" if place == 5 else "C1") for place in range(1, 6)]
        after = [disc(place, gauge="G2", compound="C2") for place in range(6, 10)]
        assert [one.kind for one in stages_before(before, after)] == ["gauge", "compound"]

    def test_nothing_is_named_where_nothing_recorded_changed(self):
        assert stages_before([disc(1, press="W1")], [disc(2, press="W1")]) == ()

    def test_a_step_finds_the_compound_that_made_it(self):
        found = charted(noisy(4, jump=3.0), compound=lambda place: "C1" if place <= 20 else "C2")
        assert found.onset.shape is ChangeShape.STEP
        assert found.onset.after.place <= 20 < found.onset.by.place + 1
        assert found.onset.stages[0].code == "C2"


class TestProposal:
    def test_there_is_none_while_no_disc_is_outside(self):
        found = charted(noisy(1, step=0.2), limit=99)
        assert found.signalled
        assert proposal(found, "T1", "noise", by_stroke=True) is None

    def test_there_is_none_where_the_chart_does_not_warn(self):
        found = charted(noisy(4), limit=0.8)
        assert any(one.outside for point in found.points for one in point)
        assert (found.signalled, proposal(found, "T1", "noise", by_stroke=True)) == ((), None)

    def test_from_onset_where_every_disc_after_the_first_is_outside(self):
        found = charted(noisy(2, jump=9.0))
        asked = proposal(found, "T1", "noise", by_stroke=True)
        assert (asked.shape, asked.window, asked.scattered) == (Shape.FROM_ONSET, None, False)
        assert (asked.after, asked.by) == (20, 21)
        assert asked.words[:5] == ("T1", "--shape", "from-onset", "--evidence", "L1:21=bad:noise")

    def test_a_window_where_values_scatter_round_the_limit(self):
        values = [*noisy(3, jump=5.0)[:38], 4.0, 6.0]
        found = charted(values)
        asked = proposal(found, "T1", "noise", by_stroke=True)
        assert (asked.shape, asked.scattered) == (Shape.WINDOW, True)
        assert asked.window == (asked.after + 1, 40)
        # A press has no strokes of its own that a window could name.
        assert proposal(found, "W1", "noise", by_stroke=False).window is None

    def test_judged_discs_need_no_evidence(self):
        found = charted(noisy(2, jump=9.0))
        assert proposal(found, "T1", None, by_stroke=True).evidence == ()


def test_bad_discs_are_charted_by_share():
    judged = [float(place % 10 == 0) for place in range(1, 101)] + [1.0] * 20
    found = charted(judged, kind=ChartKind.P, size=5, limit=0.5, quiet=100)
    assert found.frozen.baseline.centre == pytest.approx(0.1)
    assert found.signalled[:1] == (21,)


def test_nothing_to_chart():
    empty = process_chart(ChartKind.INDIVIDUALS, 1, [], None, HOW)
    assert (empty.points, empty.chart, empty.signalled, empty.onset) == ((), None, (), None)

"""Control charts against published values, and what they say where data do not allow limits."""

from math import sqrt
from statistics import NormalDist

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ndtr
from scipy.stats import binom, poisson
from support_campaign import tries
from support_run_lengths import cusum_run_length, cusum_run_lengths, run_lengths
from support_vectors import by_id, load

from tracelink.errors import UsageError
from tracelink.quality.cannot_tell import CannotTell, Doubt
from tracelink.quality.charts.chart_baseline import counted_baseline, measured_baseline
from tracelink.quality.charts.chart_constants import c4, d2, d3, deviation_limits, range_limits
from tracelink.quality.charts.control_chart import (
    ChartBaseline,
    ChartKind,
    ChartTuning,
    ControlLimits,
    Tally,
)
from tracelink.quality.charts.counted_chart import counted_chart
from tracelink.quality.charts.exact_limits import TAIL, discs_for_runs, exact_limits, too_few
from tracelink.quality.charts.measured_chart import cusum, ewma, ewma_limits, measured_chart
from tracelink.quality.charts.run_rules import RuleSet, RunRule, Signal, run_signals
from tracelink.report.pages.chart_text import few_sentences

TUNING = ChartTuning(weight=0.3, width=3, slack=0.5, decision=5)
WESTERN, NELSON = RuleSet.WESTERN_ELECTRIC, RuleSet.NELSON


def cases(*kinds):
    return pytest.mark.parametrize("case", load("charts", *kinds), ids=by_id)


def near(case, value):
    return pytest.approx(value, abs=case["tolerance"])


def singles(values):
    return [(value,) for value in values]


def chart_of(kind, groups, rules=WESTERN):
    baseline = measured_baseline(kind, groups, 2)
    return baseline, measured_chart(baseline, groups, rules, TUNING)


def points(panel):
    return sorted({signal.point for signal in panel.signals})


@cases("control_chart_constants")
def test_factors(case):
    n, expected = case["input"]["n"], case["expected"]
    low, high = range_limits(n)
    least, most = deviation_limits(n)
    found = {
        "d2": d2(n),
        "d3": d3(n),
        "c4": c4(n),
        "A2": 3 / (d2(n) * sqrt(n)),
        "A3": 3 / (c4(n) * sqrt(n)),
        "B3": least,
        "B4": most,
        "D3": low,
        "D4": high,
    }
    assert found == near(case, expected), case["source"]


@pytest.mark.parametrize("size", range(2, 11))
def test_the_mean_range_by_its_integral(size):
    """The mean range of normal values is the integral of the chance that they lie on both sides of a place."""
    mean, _error = quad(lambda at: 1 - ndtr(at) ** size - ndtr(-at) ** size, -9, 9)
    assert d2(size) == pytest.approx(mean, abs=0.0006)


@cases("individuals_chart")
def test_individuals(case):
    expected = case["expected"]
    baseline, chart = chart_of(ChartKind.INDIVIDUALS, singles(case["input"]["x"]))
    lines = chart.panels[0].limits[0]
    assert lines == ControlLimits(
        near(case, expected["LCL"]), near(case, expected["center"]), near(case, expected["UCL"])
    )
    assert baseline.sigma * d2(2) == near(case, expected["mr_bar"]), case["source"]
    assert points(chart.panels[0]) == expected["signals"]
    # By the printed factor 3.267 it is 6.1347, and one public copy of the page prints 6.1349; the unrounded factor of
    # the printed d2 and d3 is 3.2673.
    assert chart.panels[1].limits[0].upper == pytest.approx(6.1347, abs=0.001)
    assert chart.panels[1].limits[0].lower is None


@cases("ewma_chart")
def test_weighted_means(case):
    given, expected = case["input"], case["expected"]
    assert ewma(given["x"], given["target"], given["lam"]) == near(case, expected["z"]), case["source"]
    baseline = ChartBaseline(ChartKind.EWMA, given["target"], given["sigma"], 1, 100)
    tuning = ChartTuning(given["lam"], given["L"], 0.5, 5)
    # The published lower limit is cut off, not rounded: 47.41157.
    settled = ewma_limits(baseline, tuning, None)
    assert (settled.lower, settled.upper) == pytest.approx((expected["LCL"], expected["UCL"]), abs=1e-4)
    chart = measured_chart(baseline, singles(given["x"]), WESTERN, tuning)
    assert points(chart.panels[0]) == expected["signals"]
    assert chart.panels[0].limits[0].upper == pytest.approx(51.84851, abs=5e-5)


@cases("cusum")
def test_sums(case):
    given, expected = case["input"], case["expected"]
    above, below = cusum(given["x"], given["target"], given["k"])
    assert above == near(case, expected["S_hi"]), case["source"]
    assert below == near(case, expected["S_lo"]), case["source"]
    baseline = ChartBaseline(ChartKind.CUSUM, given["target"], 1.0, 1, 100)
    tuning = ChartTuning(0.3, 3, given["k"], given["h"])
    chart = measured_chart(baseline, singles(given["x"]), WESTERN, tuning)
    assert sorted(points(chart.panels[0]) + points(chart.panels[1])) == expected["signals"]
    assert chart.first_signal == expected.get("first_signal")


@cases("p_chart")
def test_share_bad(case):
    given, expected = case["input"], case["expected"]
    tallies = [Tally(count, given["n"]) for count in given["counts"]]
    baseline = counted_baseline(ChartKind.P, tallies, 2)
    panel = counted_chart(baseline, tallies, WESTERN).panels[0]
    lines = ControlLimits(
        near(case, expected["LCL"]), near(case, expected["center"]), near(case, expected["UCL"])
    )
    assert panel.limits == (lines,) * len(tallies), case["source"]
    assert beyond_limit(panel) == expected["signals"]


@cases("p_chart")
def test_number_bad_is_the_share_times_the_discs(case):
    given, expected = case["input"], case["expected"]
    tallies = [Tally(count, given["n"]) for count in given["counts"]]
    panel = counted_chart(counted_baseline(ChartKind.NP, tallies, 2), tallies, WESTERN).panels[0]
    assert panel.limits[0].upper == pytest.approx(expected["UCL"] * given["n"], abs=5e-5)
    assert beyond_limit(panel) == expected["signals"]


@cases("c_chart")
def test_defects(case):
    expected = case["expected"]
    tallies = [Tally(count, 1) for count in case["input"]["counts"]]
    panel = counted_chart(counted_baseline(ChartKind.C, tallies, 2), tallies, WESTERN).panels[0]
    lines = ControlLimits(
        near(case, expected["LCL"]), near(case, expected["center"]), near(case, expected["UCL"])
    )
    assert panel.limits[0] == lines, case["source"]
    assert beyond_limit(panel) == expected["signals"]


@cases("u_chart")
def test_defects_per_disc(case):
    given, expected = case["input"], case["expected"]
    tallies = [Tally(count, size) for count, size in zip(given["counts"], given["sizes"], strict=True)]
    baseline = counted_baseline(ChartKind.U, tallies, 2)
    panel = counted_chart(baseline, tallies, WESTERN).panels[0]
    assert baseline.centre == near(case, expected["center"])
    assert [lines.upper for lines in panel.limits] == near(case, expected["UCL"])
    assert [lines.lower for lines in panel.limits] == near(case, expected["LCL"])
    assert beyond_limit(panel) == expected["signals"]
    # One public file prints one pair of limits for the mean number of discs, 2.48034 and 0.32700. They do not
    # recompute: with 10.9 discs they are these.
    width = 3 * sqrt(baseline.centre / 10.9)
    assert (baseline.centre + width, baseline.centre - width) == near(
        case, (expected["avg_n_UCL"], expected["avg_n_LCL"])
    )
    assert baseline.centre + width != pytest.approx(2.48034, abs=5e-5)


@cases("xbar_r_chart")
def test_means_and_ranges(case):
    expected = case["expected"]
    _baseline, chart = chart_of(ChartKind.XBAR_R, groups_of(case))
    means, ranges = chart.panels
    lines = ControlLimits(
        near(case, expected["LCL_x"]), near(case, expected["xbarbar"]), near(case, expected["UCL_x"])
    )
    assert means.limits[0] == lines, case["source"]
    assert ranges.limits[0] == ControlLimits(
        None, near(case, expected["rbar"]), near(case, expected["UCL_r"])
    )
    assert (beyond_limit(means), points(ranges)) == (expected["signals"], expected["signals"])


@cases("xbar_s_chart")
def test_means_and_deviations(case):
    expected = case["expected"]
    _baseline, chart = chart_of(ChartKind.XBAR_S, groups_of(case))
    means, deviations = chart.panels
    assert (means.limits[0].lower, means.limits[0].upper) == near(
        case, (expected["LCL_x"], expected["UCL_x"])
    )
    assert deviations.limits[0] == ControlLimits(
        None, near(case, expected["sbar"]), near(case, expected["UCL_s"])
    ), case["source"]


def groups_of(case):
    return [tuple(group) for group in case["input"]["subgroups"]]


def beyond_limit(panel):
    return [signal.point for signal in panel.signals if signal.rule is RunRule.BEYOND_3S]


@cases("run_rules")
def test_run_rules(case):
    found = {}
    order = list(RuleSet.WESTERN_ELECTRIC.rules)
    for signal in run_signals(case["input"]["z"], WESTERN):
        found.setdefault(signal.point, []).append(order.index(signal.rule) + 1)
    assert [[point, rules] for point, rules in found.items()] == case["expected"], case["source"]


@pytest.mark.parametrize(
    ("distances", "rule", "point"),
    [
        pytest.param([0.1] * 9, RunRule.NINE_ONE_SIDE, 9, id="nine on one side"),
        pytest.param([-0.3, -0.2, -0.1, 0.1, 0.2, 0.3], RunRule.SIX_STEADY, 6, id="six rising"),
        pytest.param([0.5, -0.5] * 7, RunRule.FOURTEEN_ALTERNATING, 14, id="fourteen alternating"),
        pytest.param([0.9, -0.9, 0.2] * 5, RunRule.FIFTEEN_WITHIN, 15, id="fifteen near the centre"),
        pytest.param([1.1, -1.2, 1.3, -1.1, 1.1, 1.2, -1.3, 1.1], RunRule.EIGHT_BEYOND, 8, id="eight away"),
    ],
)
def test_rules_of_nelson(distances, rule, point):
    """Nelson (1984), from memory; the rows of points are made up here."""
    assert Signal(point, rule) in run_signals(distances, NELSON)
    assert rule not in {signal.rule for signal in run_signals(distances[:-1], NELSON)}
    assert Signal(point, rule) in run_signals([-distance for distance in distances], NELSON)


def test_six_with_two_alike_do_not_rise():
    assert run_signals([-0.3, -0.2, -0.1, -0.1, 0.2, 0.3], NELSON) == ()


@cases("arl")
def test_false_alarms_of_three_sigma(case):
    rate = 2 * (1 - NormalDist().cdf(case["input"]["limits"]))
    assert rate == pytest.approx(case["expected"]["false_alarm"], abs=1e-7)
    assert 1 / rate == near(case, case["expected"]["ARL0"]), case["source"]


@cases("run_rules_arl")
def test_false_alarms_of_all_western_electric_rules(case):
    """A simulation with a seed: by default a short one, with RUNOUT_CAMPAIGN a long one."""
    mean, error = run_lengths(WESTERN, runs=tries(400), seed=17)
    assert mean == pytest.approx(case["expected"], abs=3 * error + case["tolerance"]), case["source"]


@cases("cusum_arl")
def test_run_lengths_of_sums(case):
    """By the equation of the run length of our sums, on a grid (Brook and Evans' way), not by simulation."""
    given = case["input"]
    for shift, expected in zip(given["mu"], case["expected"], strict=True):
        found = cusum_run_length(given["k"], given["h"], shift, two_sided=given["sided"] == "two")
        # The published ones have three digits.
        assert found == pytest.approx(expected, abs=max(case["tolerance"] * expected / 100, 0.006)), shift


def test_run_lengths_of_sums_by_simulation():
    """The chart itself on made-up points, at the shifts at which it soon signals: short by default, long with RUNOUT_CAMPAIGN."""
    [case] = [case for case in load("charts", "cusum_arl") if case["input"]["sided"] == "two"]
    given = case["input"]
    for shift, expected in zip(given["mu"], case["expected"], strict=True):
        if expected > 30:
            continue
        mean, error = cusum_run_lengths(given["k"], given["h"], shift, runs=tries(60), seed=17)
        assert mean == pytest.approx(expected, abs=3.5 * error + 0.01), (shift, case["source"])


def test_baselines_that_say_nothing():
    values = singles([141.2] * 20)
    assert measured_baseline(ChartKind.INDIVIDUALS, values[:3], 20) == CannotTell(Doubt.TOO_FEW, 3, 20)
    assert measured_baseline(ChartKind.INDIVIDUALS, values, 20) == CannotTell(Doubt.ALL_ALIKE, 141.2, 0)
    assert measured_baseline(ChartKind.INDIVIDUALS, [], 20) == CannotTell(Doubt.TOO_FEW, 0, 20)
    good, bad = [Tally(0, 5)] * 20, [Tally(5, 5)] * 20
    assert counted_baseline(ChartKind.P, good, 20) == CannotTell(Doubt.ALL_GOOD, 100, 0)
    assert counted_baseline(ChartKind.NP, bad, 20) == CannotTell(Doubt.ALL_BAD, 100, 0)
    assert counted_baseline(ChartKind.C, good[:1], 20) == CannotTell(Doubt.TOO_FEW, 1, 20)


@pytest.mark.parametrize(
    ("ask", "sentence"),
    [
        (
            lambda: measured_baseline(ChartKind.XBAR_R, [(1.0, 2.0), (1.0, 2.0, 3.0)], 2),
            "groups of 2 to 3 values: expected as many in each group",
        ),
        (
            lambda: measured_baseline(ChartKind.XBAR_R, [(1.0,)] * 3, 2),
            "a chart of xbar-r of groups of 1: expected groups of 2 or more",
        ),
        (
            lambda: measured_baseline(ChartKind.EWMA, [(1.0, 2.0)] * 3, 2),
            "a chart of ewma of groups of 2: expected one value for each point",
        ),
        (
            lambda: measured_baseline(ChartKind.XBAR_R, [tuple(range(11))] * 3, 2),
            "a range of 11 values: expected groups of 2 to 10",
        ),
        (
            lambda: counted_baseline(ChartKind.P, [Tally(6, 5)], 1),
            "6 bad of 5 discs: expected no more than were looked at",
        ),
        (
            lambda: counted_baseline(ChartKind.U, [Tally(0, 0)], 1),
            "0 found on 0 discs: expected at least one disc",
        ),
        (
            lambda: counted_baseline(ChartKind.C, [Tally(1, 5), Tally(1, 6)], 1),
            "a chart of c of 5 to 6 discs for each point: expected as many for each; a chart of u takes what differs",
        ),
        (
            lambda: counted_chart(ChartBaseline(ChartKind.NP, 0.1, 0.0, 5, 20), [Tally(1, 6)], WESTERN),
            "points of 6 discs: expected 5, as in the baseline",
        ),
    ],
)
def test_groups_that_a_chart_cannot_take(ask, sentence):
    with pytest.raises(UsageError) as refused:
        ask()
    assert str(refused.value) == sentence


class TestCountsOfWhichFewAreExpected:
    """Chances of binomial and Poisson counts from scipy, at the tail that a normal variable has beyond three sigma."""

    @pytest.mark.parametrize(
        ("kind", "centre", "discs"),
        [
            ("np", 0.01, 5),
            ("np", 0.1, 5),
            ("np", 0.02, 100),
            ("np", 0.97, 60),
            ("np", 0.5, 5),
            ("c", 0.1, 1),
            ("c", 4.9, 1),
            ("c", 0.45, 10),
        ],
    )
    def test_limits_by_their_chances(self, kind, centre, discs):
        kind = ChartKind(kind)
        law = binom(discs, centre) if kind is ChartKind.NP else poisson(centre * discs)
        found = exact_limits(kind, centre, discs)
        assert too_few(kind, centre, discs)
        assert law.sf(found.upper) <= TAIL < law.sf(found.upper - 1)
        least = -1 if found.lower is None else found.lower - 1
        assert law.cdf(least) <= TAIL < law.cdf(least + 1)
        assert found.centre == pytest.approx(centre * discs)

    def test_one_bad_disc_of_five_is_none_where_one_in_a_hundred_is_bad(self):
        baseline = ChartBaseline(ChartKind.NP, 0.01, 0.0, 5, 25)
        panel = counted_chart(baseline, [Tally(bad, 5) for bad in (0, 1, 2, 0)], WESTERN).panels[0]
        assert panel.signals == (Signal(3, RunRule.BEYOND_LIMIT),)
        assert panel.limits[0] == ControlLimits(None, pytest.approx(0.05), 1.0)

    @pytest.mark.parametrize(("kind", "upper"), [("p", 0.2), ("u", 0.2)])
    def test_of_a_share_the_limits_are_shares(self, kind, upper):
        panel = counted_chart(
            ChartBaseline(ChartKind(kind), 0.01, 0.0, 0, 25), [Tally(1, 5)], WESTERN
        ).panels[0]
        assert panel.limits[0] == ControlLimits(None, pytest.approx(0.01), pytest.approx(upper))
        assert panel.signals == ()

    def test_many_points_without_a_bad_disc_are_no_run(self):
        baseline = ChartBaseline(ChartKind.NP, 0.01, 0.0, 5, 25)
        for rules in RuleSet:
            assert counted_chart(baseline, [Tally(0, 5)] * 40, rules).panels[0].signals == ()

    def test_a_point_of_few_stands_outside_of_a_run(self):
        """A part group at the end is judged by its own limits; the points around it keep their runs and numbers."""
        low = [Tally(9, 100)] * 8
        panel = counted_chart(
            ChartBaseline(ChartKind.P, 0.1, 0.0, 0, 25), [*low[:4], Tally(5, 5), *low[4:]], WESTERN
        ).panels[0]
        assert panel.signals == (
            Signal(5, RunRule.BEYOND_LIMIT),
            Signal(9, RunRule.EIGHT_ONE_SIDE),
        )

    @pytest.mark.parametrize(
        ("kind", "centre", "discs"), [("np", 0.02, 250), ("np", 0.9, 50), ("c", 5.0, 1), ("u", 0.25, 20)]
    )
    def test_five_are_enough(self, kind, centre, discs):
        kind = ChartKind(kind)
        assert discs_for_runs(kind, centre) == discs
        assert not too_few(kind, centre, discs)
        assert too_few(kind, centre, discs - 1)

    @pytest.mark.parametrize(
        ("kind", "centre", "discs", "sentences"),
        [
            (
                "np",
                0.7,
                2,
                [
                    "1.4 bad discs are expected at a point of 2 discs: too few to judge runs of points by; no such point warns.",
                    "For runs take points of 17 discs or more (--size).",
                ],
            ),
            (
                "c",
                0.4,
                1,
                [
                    "0.4 defects are expected at a point of 1 disc: too few to judge runs of points by; a point warns from 4 on.",
                    "For runs take a u chart with points of 13 discs or more (--size).",
                ],
            ),
            ("np", 0.1, 50, []),
            ("individuals", 0.1, 1, []),
        ],
    )
    def test_are_told(self, kind, centre, discs, sentences):
        assert few_sentences(ChartKind(kind), centre, discs) == sentences

    def test_false_alarms(self):
        """Counts of a steady process, with a seed: no more than a normal variable gives beyond three sigma."""
        chance = np.random.default_rng(17)
        for kind, centre, discs in (("np", 0.01, 5), ("np", 0.1, 5), ("c", 0.1, 1), ("u", 0.1, 5)):
            counts = (
                chance.binomial(discs, centre, 4000) if kind == "np" else chance.poisson(centre * discs, 4000)
            )
            baseline = ChartBaseline(ChartKind(kind), centre, 0.0, 0 if kind == "u" else discs, 25)
            panel = counted_chart(baseline, [Tally(int(count), discs) for count in counts], WESTERN).panels[0]
            assert len(panel.signals) / 4000 < 0.003, (kind, centre, discs)


def test_a_chart_of_more_defects_than_discs():
    """Defects are counted on discs; one disc may have several, so c and u have no upper bound, as p has."""
    tallies = [Tally(7, 5), Tally(9, 5)]
    assert isinstance(counted_baseline(ChartKind.U, tallies, 2), ChartBaseline)
    share = counted_chart(ChartBaseline(ChartKind.P, 0.9, 0.0, 0, 20), [Tally(5, 5)], WESTERN).panels[0]
    assert share.limits[0].upper == 1.0
    assert share.signals == ()

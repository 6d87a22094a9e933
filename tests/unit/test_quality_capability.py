"""Capability against published values, and why it is refused; the onset of a change of measured values."""

import random

import pytest
from support_campaign import tries
from support_vectors import by_id, load

from tracelink.errors import UsageError
from tracelink.quality.cannot_tell import CannotTell, Doubt
from tracelink.quality.capability import Tolerance, capability, chi_square_interval, nearer_limit
from tracelink.quality.charts.control_chart import ChartKind, ChartTuning
from tracelink.quality.level_change import ChangeShape, level_change

TUNING = ChartTuning(0.3, 3, 0.5, 5)


def cases(name, *kinds):
    return pytest.mark.parametrize("case", load(name, *kinds), ids=by_id)


def of(values, tolerance, least=30):
    return capability(ChartKind.INDIVIDUALS, [(value,) for value in values], tolerance, least, TUNING)


def normal(seed, many=60, mean=10.0, sigma=1.0):
    chance = random.Random(seed)
    return [chance.gauss(mean, sigma) for _ in range(many)]


@cases("charts", "capability")
def test_capability_of_groups(case):
    given, expected = case["input"], case["expected"]
    groups = [tuple(group) for group in given["subgroups"]]
    tolerance = Tolerance(given["lsl"], given["usl"])
    found = capability(ChartKind.XBAR_R, groups, tolerance, 30, TUNING)
    assert (found.cp.value, found.cpk.value) == pytest.approx(
        (expected["Cp"], expected["Cpk"]), abs=case["tolerance"]
    ), case["source"]
    assert found.cp.low < found.cp.value < found.cp.high
    assert found.ppk.value < found.cpk.value, "the process differs from group to group as well"


@cases("charts", "capability_summary")
def test_distance_from_the_nearer_limit(case):
    given, expected = case["input"], case["expected"]
    mean, s = given["mean"], given["s"]
    both = Tolerance(given["lsl"], given["usl"])
    found = (
        nearer_limit(both, mean, s),
        nearer_limit(Tolerance(None, both.upper), mean, s),
        nearer_limit(Tolerance(both.lower, None), mean, s),
    )
    wanted = (expected["Cpk"], expected["Cpu"], expected["Cpl"])
    assert found == pytest.approx(wanted, abs=case["tolerance"]), case["source"]


def test_one_limit_gives_the_nearer_index_only():
    found = of(normal(1), Tolerance(None, 14.0))
    assert (found.cp, found.pp) == (None, None)
    assert found.cpk.value == pytest.approx((14 - found.mean) / (3 * found.sigma))


@pytest.mark.parametrize(
    ("values", "tolerance", "answer"),
    [
        pytest.param(normal(1), Tolerance(None, None), CannotTell(Doubt.NO_LIMIT, 0, 1), id="no limit"),
        pytest.param(normal(1, 3), Tolerance(6, 14), CannotTell(Doubt.TOO_FEW, 3, 30), id="three values"),
        pytest.param([9.5] * 40, Tolerance(6, 14), CannotTell(Doubt.ALL_ALIKE, 9.5, 0), id="all alike"),
    ],
)
def test_data_without_a_capability(values, tolerance, answer):
    assert of(values, tolerance) == answer


def test_a_process_that_is_not_in_control_has_no_capability():
    drifting = [value + place * 0.1 for place, value in enumerate(normal(2))]
    found = of(drifting, Tolerance(0, 30))
    assert found.why is Doubt.NOT_IN_CONTROL
    assert 1 <= found.found <= len(drifting)


def test_values_that_are_not_normal_have_no_capability():
    """A row that never signals and lies at two ends, as a gauge with a coarse step reads."""
    found = of([9.0, 11.0, 10.9, 9.1] * 15, Tolerance(0, 20))
    assert found.why is Doubt.NOT_NORMAL
    assert found.found < found.needed == 0.01


def test_limits_the_wrong_way_round():
    with pytest.raises(UsageError, match="expected the lower one below the upper one"):
        Tolerance(14, 6)


def test_ends_of_the_variance_by_printed_values():
    """The 2.5 % and 97.5 % points of chi-square with 10 degrees of freedom: 3.247 and 20.483, as tables print them."""
    assert chi_square_interval(10, 0.95) == pytest.approx((3.247, 20.483), abs=0.0005)


def test_intervals_hold_the_truth_about_as_often_as_they_say():
    """Values of a process whose Cp is 4/3; rows that are out of control by chance are left out, as they would be."""
    held, judged = {"cp": 0, "cpk": 0, "pp": 0, "ppk": 0}, 0
    for seed in range(tries(60)):
        found = of(normal(seed), Tolerance(6, 14))
        if isinstance(found, CannotTell):
            continue
        judged += 1
        for name in held:
            estimate = getattr(found, name)
            held[name] += estimate.low <= 4 / 3 <= estimate.high
    assert judged >= 0.6 * tries(60)
    assert all(each >= 0.85 * judged for each in held.values()), (held, judged)


@cases("quality", "change_point_mean")
def test_a_change_of_level(case):
    values, expected = case["input"]["x"], case["expected"]
    found = level_change(values, range(1, len(values) + 1))
    assert found.shape is ChangeShape.STEP
    assert found.before == expected["last_index_before"], case["source"]
    means = (found.mean_before, found.mean_after)
    assert means == pytest.approx((expected["mean_before"], expected["mean_after"]), abs=case["tolerance"])
    assert case["input"]["first_year"] + found.before - 1 == expected["year"]
    # The published interval, by another method, is 25 to 32.
    assert 25 <= found.earliest <= 28 <= found.latest <= 32


def test_the_onset_of_a_drift_is_where_it_begins_not_where_it_is_seen():
    chance = random.Random(5)
    values = [chance.gauss(0, 0.2) + max(0, stroke - 20) * 0.15 for stroke in range(1, 41)]
    found = level_change(values, range(1, 41))
    assert found.shape is ChangeShape.DRIFT
    assert found.earliest <= 20 <= found.latest
    assert found.latest - found.earliest <= 10


def test_onsets_hold_the_true_one_about_as_often_as_they_say():
    held = 0
    many = tries(60)
    for seed in range(many):
        chance = random.Random(seed)
        jump = 2.5 if seed % 2 else 0.0
        values = [
            chance.gauss(0, 1) + (jump or 0.4 * (stroke - 15)) * (stroke > 15) for stroke in range(1, 31)
        ]
        found = level_change(values, range(1, 31))
        held += found.earliest <= 15 <= found.latest
    assert held >= 0.87 * many, (held, many)


@pytest.mark.parametrize(
    ("values", "answer"),
    [
        pytest.param([], CannotTell(Doubt.TOO_FEW, 0, 5), id="nothing"),
        pytest.param([1.0], CannotTell(Doubt.TOO_FEW, 1, 5), id="one sample"),
        pytest.param([1.0] * 9, CannotTell(Doubt.ALL_ALIKE, 1.0, 0), id="all alike"),
    ],
)
def test_rows_without_an_onset(values, answer):
    assert level_change(values, range(len(values))) == answer


def test_a_row_that_fits_without_rest():
    found = level_change([1.0] * 5 + [2.0] * 5, range(10))
    assert (found.shape, found.earliest, found.before, found.latest) == (ChangeShape.STEP, 5, 5, 5)

"""Two inspectors and one gauge in several hands, against published values and an independent library."""

import random
from math import sqrt

import pytest
from support_campaign import tries
from support_vectors import by_id, load

from tracelink.errors import UsageError
from tracelink.quality.agreement.gauge_study import gauge_study
from tracelink.quality.agreement.kappa import cohen_kappa
from tracelink.quality.cannot_tell import CannotTell, Doubt


def cases(*kinds):
    return pytest.mark.parametrize("case", load("agreement", *kinds), ids=by_id)


def near(case, value):
    return pytest.approx(value, abs=case["tolerance"])


def readings(table):
    return {
        (f"disc {disc}", f"person {person}"): values
        for disc, cells in enumerate(table, 1)
        for person, values in enumerate(cells, 1)
    }


@cases("cohen_kappa")
def test_agreement_beyond_chance(case):
    found, expected = cohen_kappa(case["input"]["table"]), case["expected"]
    assert (found.agreed, found.by_chance) == near(case, (expected["po"], expected["pe"])), case["source"]
    if expected["kappa"] is None:
        assert found.kappa is None
    else:
        assert found.kappa.value == near(case, expected["kappa"]), case["source"]


@cases("kappa_interval")
def test_interval_of_the_agreement(case):
    kappa = cohen_kappa(case["input"]["table"], case["input"]["confidence"]).kappa
    assert [kappa.low, kappa.high] == near(case, case["expected"]), case["source"]


def test_nine_of_ten_agreed_and_a_third_of_the_bad_ones():
    """The paradox of kappa: agreement on bad discs is told apart, because good ones are many."""
    assert cohen_kappa([[85, 5], [5, 5]]).for_each == pytest.approx((85 / 95, 5 / 15))


def test_tables_without_an_answer():
    assert cohen_kappa([[0, 0], [0, 0]]) == CannotTell(Doubt.TOO_FEW, 0, 1)
    one_verdict = cohen_kappa([[0, 0], [0, 12]])
    assert (one_verdict.kappa, one_verdict.for_each) == (None, (None, 1.0))
    opposed = cohen_kappa([[0, 12], [0, 0]])
    assert opposed.kappa.value == 0.0
    for table in ([[1, 2]], [[1, -1], [0, 0]]):
        with pytest.raises(UsageError, match="expected as many columns as rows, and counts of 0 or more"):
            cohen_kappa(table)


@cases("gauge_study")
def test_study_of_a_gauge(case):
    study, expected = gauge_study(readings(case["input"]["readings"])), case["expected"]
    found = [[row.source, row.squares, row.freedom] for row in study.rows[:-1]]
    assert [row[0] for row in found] == [row[0] for row in expected["rows"]]
    for row, wanted in zip(found, expected["rows"], strict=True):
        assert row[1:] == near(case, wanted[1:]), case["source"]
    together = study.rows[2]
    assert together.f == pytest.approx(expected["interaction_f"], abs=1e-6)
    assert together.p == pytest.approx(expected["interaction_p"], rel=1e-5)
    variances = (study.repeatability.value, study.between_discs.value, study.gauge.value)
    published = (expected["repeatability"], expected["between"], expected["gauge"])
    assert variances == pytest.approx(published, abs=0.005), case["source"]
    assert study.reproducibility + study.repeatability.value == pytest.approx(study.gauge.value)
    assert study.categories == 7
    assert study.share_of_tolerance(18) == pytest.approx(6 * sqrt(study.gauge.value) / 18)


@cases("gauge_intervals")
def test_intervals_of_a_gauge(case):
    study = gauge_study(readings(case["input"]["readings"]), case["input"]["confidence"])
    found = {
        "between": [study.between_discs.low, study.between_discs.high],
        "gauge": [study.gauge.low, study.gauge.high],
    }
    for name, expected in case["expected"].items():
        assert found[name] == near(case, expected), case["source"]


def study_of(chance, *, discs, people, repeats, disc_sigma, person_sigma, sigma):
    """A study with known standard deviations."""
    by_person = [chance.gauss(0, person_sigma) for _ in range(people)]
    table = []
    for _ in range(discs):
        disc = chance.gauss(0, disc_sigma)
        table.append([[disc + one + chance.gauss(0, sigma) for _ in range(repeats)] for one in by_person])
    return gauge_study(readings(table))


def test_intervals_hold_the_truth_about_as_often_as_they_say():
    """100 made-up studies by default; RUNOUT_CAMPAIGN asks for more."""
    chance, many, held = random.Random(17), tries(100), [0, 0, 0]
    for _ in range(many):
        study = study_of(chance, discs=8, people=3, repeats=3, disc_sigma=3, person_sigma=1, sigma=1)
        truths = ((study.repeatability, 1.0), (study.gauge, 2.0), (study.between_discs, 9.0))
        for place, (estimate, truth) in enumerate(truths):
            held[place] += estimate.low <= truth <= estimate.high
    assert all(0.87 * many <= each for each in held), held


def test_discs_and_people_without_an_effect_together_go_to_the_repeats():
    study = study_of(random.Random(3), discs=6, people=2, repeats=4, disc_sigma=2, person_sigma=0, sigma=0.5)
    assert study.pooled
    assert [row.source for row in study.rows] == ["discs", "people", "repeats", "all"]
    assert study.rows[2].freedom == 48 - 1 - 5 - 1


@pytest.mark.parametrize(
    ("table", "answer"),
    [
        pytest.param([[[1.0, 1.1], [1.0, 1.2]]], CannotTell(Doubt.TOO_FEW, 1, 2), id="one disc"),
        pytest.param([[[1.0, 1.1]], [[1.0, 1.2]]], CannotTell(Doubt.TOO_FEW, 1, 2), id="one person"),
        pytest.param([[[1.0], [1.1]], [[1.0], [1.2]]], CannotTell(Doubt.TOO_FEW, 1, 2), id="one repeat"),
        pytest.param([[[1.0] * 2] * 2] * 2, CannotTell(Doubt.ALL_ALIKE, 1.0, 0), id="all alike"),
        pytest.param([], CannotTell(Doubt.TOO_FEW, 0, 2), id="nothing"),
    ],
)
def test_studies_that_say_nothing(table, answer):
    assert gauge_study(readings(table)) == answer


def test_a_study_with_a_hole_is_refused():
    with pytest.raises(UsageError) as refused:
        gauge_study({("S1", "Ida"): [1.0, 2.0], ("S1", "June"): [1.0, 2.0], ("S2", "Ida"): [1.0, 2.0]})
    assert str(refused.value) == (
        "June measured disc S2 0 times, Ida measured disc S1 2 times: expected that everybody measures every disc as "
        "often"
    )


def test_a_gauge_that_always_reads_the_same_on_one_disc():
    study = gauge_study(readings([[[1.0, 1.0], [1.0, 1.0]], [[2.0, 2.0], [2.0, 2.0]]]))
    assert (study.gauge.value, study.categories, study.share_of_spread) == (0.0, None, 0.0)

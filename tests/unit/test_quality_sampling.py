"""Sampling plans against the published tables, and what the numbers of a plan mean against other ways to count."""

from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from scipy.stats import binom, hypergeom
from support_vectors import by_id, load

from tracelink.errors import UsageError
from tracelink.quality.sampling.attribute_plan import (
    SampleOutcome,
    SamplingPlan,
    attribute_plan,
    follow_arrows,
)
from tracelink.quality.sampling.attribute_tables import (
    AQLS,
    LEVELS,
    Arrow,
    InspectionSeverity,
    cell,
    code_letter,
    letters_of,
    sample_size,
)
from tracelink.quality.sampling.operating_characteristic import share_within, within_of_lot
from tracelink.quality.sampling.severity_switching import (
    InspectedLot,
    Switching,
    SwitchingRules,
    after_lot,
    after_lots,
)
from tracelink.quality.sampling.zero_acceptance import zero_plan

WITHIN, BETWEEN, REACHED = SampleOutcome
ALL_AQLS = "0.010, 0.015, 0.025, 0.040, 0.065, 0.10, 0.15, 0.25, 0.40, 0.65, 1.0, 1.5, 2.5, 4.0, 6.5, 10"
GOOD, BAD = InspectedLot(WITHIN), InspectedLot(REACHED)


VERY_LARGE = 10**9
"""A lot of so many discs is as good as a steady process."""


def within_of_process(size, acceptance, share):
    return within_of_lot(VERY_LARGE, round(share * VERY_LARGE), size, acceptance)


def cases(*kinds, of="sampling"):
    return pytest.mark.parametrize("case", load(of, *kinds), ids=by_id)


def in_json(found):
    return found.value if isinstance(found, Arrow) else list(found)


@cases("table_column")
def test_every_cell_of_the_tables(case):
    severity, aql = InspectionSeverity(case["input"]["severity"]), case["input"]["aql"]
    rows = letters_of(aql, severity)
    cells = {letter: in_json(cell(letter, aql, severity)) for letter in rows}
    assert cells == case["expected"]["cells"], case["source"]
    resolved = {}
    for letter in case["expected"]["resolved"]:
        used, numbers = follow_arrows(letter, aql, severity)
        resolved[letter] = [used, sample_size(used, severity), *numbers]
    assert resolved == case["expected"]["resolved"], case["source"]


def test_the_columns_are_all_there():
    assert len(load("sampling", "table_column")) == len(AQLS) * len(InspectionSeverity) == 48


@cases("code_letters")
def test_every_code_letter(case):
    level, rows = case["input"]["level"], case["input"]["rows"]
    assert "".join(code_letter(first, level) for first, _ in rows) == case["expected"], case["source"]
    assert "".join(code_letter(last or 10**9, level) for _, last in rows) == case["expected"], case["source"]


def test_the_levels_are_all_there():
    assert {case["input"]["level"] for case in load("sampling", "code_letters")} == {*LEVELS}


@cases("code_letter")
def test_code_letters_at_the_edge_of_a_row(case):
    assert code_letter(case["input"]["lot_size"], case["input"]["level"]) == case["expected"], case["source"]


@cases("sample_sizes")
def test_every_sample_size(case):
    severity = InspectionSeverity(case["input"]["severity"])
    assert {letter: sample_size(letter, severity) for letter in case["expected"]} == case["expected"]


@cases("sampling_plan_lookup")
def test_the_plan_of_a_lot(case):
    given = case["input"]
    plan = attribute_plan(
        given["lot_size"], given["level"], given["aql"], InspectionSeverity(given["severity"])
    )
    assert {
        "code_letter": plan.letter,
        "letter_used": plan.used,
        "n": plan.size,
        "table_n": plan.table_size,
        "inspect_all": plan.whole_lot,
        "Ac": plan.acceptance,
        "Re": plan.rejection,
    } == case["expected"], case["source"]


def test_a_lot_no_larger_than_the_sample_is_looked_at_whole():
    plan = attribute_plan(20, "II", "0.10", InspectionSeverity.NORMAL)
    assert (plan.size, plan.table_size, plan.whole_lot, plan.used) == (20, 125, True, "K")
    assert attribute_plan(126, "II", "0.10", InspectionSeverity.NORMAL).whole_lot is False
    assert attribute_plan(125, "II", "0.10", InspectionSeverity.NORMAL).whole_lot is True


def test_an_aql_is_found_by_its_value_and_named_as_in_the_table():
    assert {
        attribute_plan(500, "II", given, InspectionSeverity.NORMAL).aql
        for given in ("1", "1.0", "1.00", " 01.0 ")
    } == {"1.0"}


def test_the_gap_of_a_reduced_plan():
    plan = attribute_plan(1000, "II", "1.5", InspectionSeverity.REDUCED)
    assert [plan.outcome(bad) for bad in range(5)] == [WITHIN, WITHIN, BETWEEN, BETWEEN, REACHED]
    normal = attribute_plan(1000, "II", "1.5", InspectionSeverity.NORMAL)
    assert [normal.outcome(bad) for bad in (0, 3, 4, 80)] == [WITHIN, WITHIN, REACHED, REACHED]


@cases("c0_hypergeometric", of="quality")
def test_a_plan_that_allows_no_bad_disc(case):
    given = case["input"]
    plan = zero_plan(
        given["lot"], Fraction(100 * given["defectives"], given["lot"]), round(100 * given["confidence"])
    )
    assert (plan.size, plan.acceptance, plan.rejection) == (case["expected"], 0, 1), case["source"]
    missed = within_of_lot(given["lot"], given["defectives"], plan.size, 0)
    assert missed <= 1 - given["confidence"] + 1e-12
    assert within_of_lot(given["lot"], given["defectives"], plan.size - 1, 0) > 1 - given["confidence"]


def lots(letters):
    return [GOOD if letter == "A" else BAD for letter in letters]


def severity_before_each(given, rules):
    state, used = Switching(), []
    for lot in given:
        used.append("discontinued" if state.discontinued else state.severity.value)
        state = after_lot(state, lot, rules)
    return used, "discontinued" if state.discontinued else state.severity.value


@cases("switching")
def test_switching(case):
    given = case["input"]
    rules = SwitchingRules(end_rejected=given["discontinue_after_rejects_on_tightened"])
    used, following = severity_before_each(lots(given["lots"]), rules)
    assert {"severity_used": used, "next": following} == case["expected"], case["source"]


def test_a_resubmitted_lot_does_not_count():
    again = replace(BAD, resubmitted=True)
    assert after_lots([BAD, again, again], SwitchingRules()).severity is InspectionSeverity.NORMAL
    assert after_lots([BAD, again, BAD], SwitchingRules()).severity is InspectionSeverity.TIGHTENED


def test_inspection_ends_by_the_rule_that_was_set():
    tightened = lots("RR")
    by_count = SwitchingRules(0, 10)
    nine = [*tightened, *lots("AAAARAAAA")]
    assert not after_lots(nine, by_count).discontinued
    assert after_lots([*nine, BAD], by_count).discontinued
    assert not after_lots([*tightened, *lots("R" * 30)], SwitchingRules(0)).discontinued
    four_and_back = [*tightened, *lots("RRRRAAAAA")]
    assert after_lots(four_and_back, SwitchingRules()) == Switching(InspectionSeverity.NORMAL)


def test_once_inspection_has_ended_no_lot_changes_that():
    ended = after_lots(lots("RR" + "R" * 5), SwitchingRules())
    assert ended.discontinued
    assert after_lot(ended, GOOD, SwitchingRules()) == ended


def test_reduced_inspection_begins_only_where_it_was_agreed_and_ends_at_the_first_doubt():
    ten = lots("A" * 10)
    rules = SwitchingRules(reduced_after=10)
    assert after_lots(ten, SwitchingRules()).severity is InspectionSeverity.NORMAL
    assert after_lots(ten[1:], rules).severity is InspectionSeverity.NORMAL
    assert after_lots(ten, rules).severity is InspectionSeverity.REDUCED
    assert after_lots([*ten, GOOD], rules).severity is InspectionSeverity.REDUCED
    unsteady = replace(GOOD, steady=False)
    assert after_lots([*ten[1:], unsteady], rules).severity is InspectionSeverity.NORMAL
    for doubt in (BAD, InspectedLot(BETWEEN), unsteady):
        assert after_lots([*ten, doubt], rules) == Switching(InspectionSeverity.NORMAL)


def share_within_by_walking(within_normal, within_tightened):
    """The long-run share of lots within their plan, by walking every state the switching rules can be in."""
    rules, states, steps = SwitchingRules(0), [Switching()], []
    for state in states:
        within = within_normal if state.severity is InspectionSeverity.NORMAL else within_tightened
        for lot, chance in ((GOOD, within), (BAD, 1 - within)):
            then = after_lot(state, lot, rules)
            # Only the last four lots and the next one decide, so the states are few.
            then = replace(then, lots=then.lots[-4:])
            if then not in states:
                states.append(then)
            steps.append((states.index(state), states.index(then), chance, lot is GOOD))
    moves = np.zeros((len(states), len(states)))
    for before, following, chance, _ in steps:
        moves[following, before] += chance
    settled = np.linalg.matrix_power(moves, 10**6)[:, 0]
    return sum(settled[before] * chance for before, _, chance, good in steps if good)


@cases("switching_scheme_pa")
def test_the_share_of_lots_within_the_plan_under_switching(case):
    given, expected, near = case["input"], case["expected"], case["tolerance"]
    normal = within_of_process(given["n"], given["Ac_normal"], given["p"])
    tightened = within_of_process(given["n"], given["Ac_tightened"], given["p"])
    assert (normal, tightened) == pytest.approx((expected["PN"], expected["PT"]), abs=near), case["source"]
    assert share_within_by_walking(normal, tightened) == pytest.approx(expected["scheme"], abs=near), case[
        "source"
    ]


@cases("oc_quantiles")
def test_how_bad_a_process_may_be(case):
    given = case["input"]
    # Defects per hundred discs (Poisson) are what defects per hundred tiny pieces come to, of which a disc has very many.
    pieces = 10**6 if given["model"] == "poisson" else 1
    found = [100 * pieces * share_within(pieces * given["n"], given["Ac"], chance) for chance in given["Pa"]]
    assert found == pytest.approx(case["expected"], abs=case["tolerance"]), case["source"]


@cases("oc_point")
def test_points_of_an_operating_characteristic(case):
    given = case["input"]
    found = [within_of_process(given["n"], given["Ac"], share) for share in given["points"]]
    # The one published for defects per hundred is by Poisson; the binomial is as near as its figures are rounded.
    near = 0.01 if given["model"] == "poisson" else case["tolerance"]
    assert found == pytest.approx(case["expected"], abs=near), case["source"]


def test_a_published_point_that_does_not_recompute():
    """The vignette of AQLSchemes 1.7-2 has .975 for 200 discs, 7 bad allowed, 1.3 % bad; it is .9950 by binomial and Poisson."""
    found = within_of_process(200, 7, 0.013)
    assert found == pytest.approx(binom.cdf(7, 200, 0.013), abs=1e-6)
    assert found == pytest.approx(0.9950, abs=5e-5)
    assert found != pytest.approx(0.975, abs=5e-4)


def test_the_operating_characteristic_as_scipy_has_it():
    for lot, size, acceptance in ((60, 8, 0), (1000, 80, 3), (1000, 32, 1), (3, 2, 1), (50, 50, 2)):
        numbers = np.unique(np.linspace(0, lot, 25).astype(int))
        found = [within_of_lot(lot, int(bad), size, acceptance) for bad in numbers]
        assert found == pytest.approx(hypergeom.cdf(acceptance, lot, numbers, size), abs=1e-9)
        shares = np.array([share_within(size, acceptance, chance) for chance in (0.99, 0.95, 0.5, 0.1)])
        if acceptance < size:
            assert binom.cdf(acceptance, size, shares) == pytest.approx((0.99, 0.95, 0.5, 0.1), abs=1e-9)


def test_a_plan_lets_no_more_through_the_worse_the_lot_is():
    plan = attribute_plan(500, "II", "1.5", InspectionSeverity.NORMAL)
    chances = [within_of_lot(500, bad, plan.size, plan.acceptance) for bad in range(501)]
    assert chances == sorted(chances, reverse=True)
    assert (chances[0], chances[plan.acceptance], chances[-1]) == (1.0, 1.0, 0.0)


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (
            lambda: attribute_plan(500, "II", "2", InspectionSeverity.NORMAL),
            f"AQL '2' is not in the tables: expected one of {ALL_AQLS}",
        ),
        (
            lambda: attribute_plan(500, "II", "1,5", InspectionSeverity.NORMAL),
            f"AQL '1,5' is not in the tables: expected one of {ALL_AQLS}",
        ),
        (
            lambda: attribute_plan(500, "IV", "1.5", InspectionSeverity.NORMAL),
            "inspection level 'IV': expected one of S-1, S-2, S-3, S-4, I, II, III",
        ),
        (
            lambda: attribute_plan(1, "II", "1.5", InspectionSeverity.NORMAL),
            "a lot of 1: expected 2 discs or more, the tables begin there",
        ),
        (
            lambda: attribute_plan(0, "II", "1.5", InspectionSeverity.NORMAL),
            "a lot of 0: expected 2 discs or more, the tables begin there",
        ),
        (lambda: zero_plan(0, Fraction(1), 95), "a lot of 0: expected 1 disc or more"),
        (
            lambda: zero_plan(10, Fraction(100), 95),
            "a share of 100 bad in a hundred: expected 0.1 to 99.9",
        ),
        (lambda: zero_plan(10, Fraction(1), 100), "confidence is 100 %: expected 1 to 99"),
        (lambda: within_of_lot(200, 1, 300, 0), "a sample of 300 from a lot of 200: expected at most 200"),
        (lambda: within_of_lot(200, 201, 30, 0), "201 bad discs in a lot of 200: expected 0 to 200"),
        (lambda: share_within(8, 0, 1.1), "a chance of 1.1: expected 0 to 1"),
        (
            lambda: share_within(2, 2, 0.5),
            "2 bad allowed in a sample of 2: such a sample shows nothing",
        ),
        (lambda: SamplingPlan(9, 3, 0, 1).outcome(4), "4 bad in a sample of 3: expected 0 to 3"),
        (lambda: SamplingPlan(9, 3, 0, 1).outcome(-1), "-1 bad in a sample of 3: expected 0 to 3"),
    ],
)
def test_wrong_numbers_are_named(call, sentence):
    with pytest.raises(UsageError) as refused:
        call()
    assert str(refused.value) == sentence

"""The statistics room against published values, and against itself where nothing is published."""

import itertools
from math import comb

import pytest
from scipy.stats import hypergeom
from support_statistics import (
    clopper_pearson,
    fisher_less,
    fisher_two_sided,
    hypergeometric_size,
    plain_odds,
    stratified_two_sided,
    zero_failure_share,
    zero_failure_size,
)
from support_vectors import by_id, load

from tracelink.errors import UsageError
from tracelink.quality.changepoint import Rise, rise
from tracelink.quality.confidence import most_bad, share_at_most
from tracelink.quality.fourfold import (
    fisher_greater,
    half_added_odds,
    homogeneity,
    mantel_haenszel,
    stratified_greater,
)
from tracelink.quality.hopper import first_out_pieces, stirred_left, stirred_pieces
from tracelink.quality.many import benjamini_hochberg


def cases(*kinds):
    return pytest.mark.parametrize("case", load("quality", *kinds), ids=by_id)


def near(case, value=None):
    return pytest.approx(case["expected"] if value is None else value, abs=case["tolerance"])


def table(rows):
    return tuple(tuple(row) for row in rows)


@cases("c0_sample_size")
def test_zero_acceptance(case):
    assert zero_failure_size(case["input"]["confidence"], case["input"]["p"]) == case["expected"], case[
        "source"
    ]


@cases("c0_hypergeometric")
def test_zero_acceptance_in_a_lot(case):
    given = case["input"]
    size = hypergeometric_size(given["lot"], given["defectives"], given["confidence"])
    assert size == case["expected"], case["source"]


@cases("c0_hypergeometric")
def test_so_many_clean_ones_leave_room_for_fewer_bad_ones_only(case):
    """The two questions are one: n clean ones rule D bad ones out, and n - 1 do not."""
    lot, bad, confidence = (case["input"][name] for name in ("lot", "defectives", "confidence"))
    assert most_bad(lot, case["expected"], 0, confidence) < bad
    assert most_bad(lot, case["expected"] - 1, 0, confidence) >= bad


@pytest.mark.parametrize("looked_at", range(9))
def test_the_most_bad_ones_by_trying_every_lot_and_every_sample(looked_at):
    for found in range(looked_at + 1):
        fits = [
            bad
            for bad in range(9)
            if bad >= found
            and 8 - bad >= looked_at - found
            and sum(
                sum(sample) <= found
                for sample in itertools.combinations([1] * bad + [0] * (8 - bad), looked_at)
            )
            > 0.05 * comb(8, looked_at)
        ]
        assert most_bad(8, looked_at, found) == max(fits)


@cases("rule_of_three")
def test_the_rule_of_three_and_what_it_stands_for(case):
    if "n" in case["input"]:
        share = zero_failure_share(case["input"]["confidence"], case["input"]["n"])
        assert share == near(case, case["expected"]["exact"]), case["source"]
        assert share == pytest.approx(case["expected"]["approx"], rel=0.01)
    else:
        # The numerators of other confidences: n times the share, for many pieces.
        many = 10**8
        found = [many * zero_failure_share(each, many) for each in case["input"]["confidences"]]
        assert found == near(case), case["source"]


@cases("clopper_pearson")
def test_exact_interval(case):
    given = case["input"]
    assert list(clopper_pearson(given["x"], given["n"], given["confidence"])) == near(case), case["source"]


@cases("clopper_pearson_upper")
def test_exact_upper_limit(case):
    given = case["input"]
    assert share_at_most(given["x"], given["n"], given["confidence"]) == near(case), case["source"]


@pytest.mark.parametrize("found", range(5))
@pytest.mark.parametrize("looked_at", [5, 13, 40])
def test_the_most_bad_ones_of_a_larger_lot_by_another_library(looked_at, found):
    """The hypergeometric distribution of scipy: no code of ours stands in it."""
    lot = 60
    fits = [
        bad
        for bad in range(found, lot - (looked_at - found) + 1)
        if hypergeom.cdf(found, lot, bad, looked_at) > 0.05
    ]
    assert most_bad(lot, looked_at, found) == max(fits)


def test_one_piece_looked_at_shows_little():
    """The exact upper limit p of one piece: clean with a chance of 1 - p, which may be as low as 0.05."""
    assert share_at_most(0, 1) == pytest.approx(0.95)
    assert share_at_most(1, 1) == 1.0


def test_nothing_looked_at_shows_nothing():
    assert (zero_failure_share(0.95, 0), share_at_most(0, 0), most_bad(7, 0, 0)) == (1.0, 1.0, 7)
    assert most_bad(7, 7, 2) == 2
    assert clopper_pearson(5, 5)[1] == 1.0
    assert clopper_pearson(0, 5)[0] == 0.0


@cases("fisher_exact")
def test_fisher(case):
    by_side = {"greater": fisher_greater, "less": fisher_less, "two-sided": fisher_two_sided}
    found = by_side[case["input"]["alternative"]](table(case["input"]["table"]))
    assert found == near(case, case["expected"]["p"]), case["source"]


@cases("odds_ratio_haldane_anscombe")
def test_odds_ratio_with_a_half_added(case):
    odds = half_added_odds(table(case["input"]["table"]))
    assert odds.ratio == near(case, case["expected"]["odds_ratio"]), case["source"]
    assert [odds.low, odds.high] == near(case, case["expected"]["ci95"])


@cases("odds_ratio")
def test_plain_odds_ratio(case):
    odds = plain_odds(table(case["input"]["table"]))
    assert odds.ratio == near(case, case["expected"]["odds_ratio"]), case["source"]
    assert [odds.low, odds.high] == near(case, case["expected"]["ci95"])


@cases("benjamini_hochberg")
def test_benjamini_hochberg(case):
    adjusted = benjamini_hochberg(case["input"]["p"])
    assert adjusted == near(case, case["expected"]["adjusted"]), case["source"]
    assert sum(each <= case["input"]["q"] for each in adjusted) == case["expected"]["rejected"]
    backwards = benjamini_hochberg(case["input"]["p"][::-1])
    assert backwards == adjusted[::-1]


@cases("mantel_haenszel")
def test_mantel_haenszel(case):
    given = case["input"]
    found = mantel_haenszel([table(each) for each in given["strata"]], continuity=given["continuity"])
    assert found.chi2 == near(case, case["expected"]["chi2"]), case["source"]
    assert found.p == near(case, case["expected"]["p"])
    assert found.ratio == near(case, case["expected"]["common_or"])
    if "ci95" in case["expected"]:
        assert [found.low, found.high] == near(case, case["expected"]["ci95"])


@cases("mantel_haenszel_exact")
def test_mantel_haenszel_counted_exactly(case):
    strata = [table(each) for each in case["input"]["strata"]]
    assert stratified_two_sided(strata) == near(case, case["expected"]["p_two_sided"]), case["source"]
    assert stratified_greater(strata) == near(case, case["expected"]["p_greater"])


@cases("woolf_homogeneity")
def test_homogeneity(case):
    found = homogeneity([table(each) for each in case["input"]["strata"]])
    assert found == near(case, case["expected"]["p"]), case["source"]


def test_one_stratum_is_the_plain_test():
    for cells in itertools.product(range(4), repeat=4):
        one = (cells[:2], cells[2:])
        assert stratified_greater([one]) == pytest.approx(fisher_greater(one))
        assert fisher_greater(one) + fisher_less(one) >= 1.0


def test_strata_that_tell_nothing_are_refused_together_and_skipped_alone():
    empty = ((0, 6), (0, 5))
    with pytest.raises(
        UsageError, match="no stratum has bad and good pieces both with and without the thing"
    ):
        mantel_haenszel([empty])
    assert mantel_haenszel([empty, ((6, 0), (2, 4))]).telling == 1
    assert mantel_haenszel([((3, 0), (0, 3))]).ratio is None
    with pytest.raises(UsageError, match="table 6, 14, 0, 60 has an empty cell"):
        plain_odds(((6, 14), (0, 60)))


@cases("change_point_binomial")
def test_rise_of_bad_pieces(case):
    found = rise([bool(each) for each in case["input"]["results"]])
    assert found.before == case["expected"]["last_index_before"], case["source"]
    assert found.log_ratio == near(case, case["expected"]["log_lr"])
    assert found.p == near(case, case["expected"]["p_exact"])


@pytest.mark.parametrize("pieces", range(2, 9))
def test_the_chance_of_a_rise_by_listing_every_order(pieces):
    """Counted as paths and listed one by one: the same share, for every number of bad pieces."""
    for bad in range(pieces + 1):
        orders = [
            [place in chosen for place in range(pieces)]
            for chosen in itertools.combinations(range(pieces), bad)
        ]
        strengths = [rise(order).log_ratio for order in orders]
        for order, strength in zip(orders, strengths, strict=True):
            as_strong = sum(other >= strength - 1e-9 for other in strengths)
            assert rise(order).p == pytest.approx(as_strong / len(orders))


@pytest.mark.parametrize("results", [[False] * 4, [True] * 4, [True, False], [True, True, False, False]])
def test_without_a_rise_no_piece_stands_before_one(results):
    assert rise(results) == Rise(0, 0.0, 1.0)


def test_a_series_too_short_is_refused():
    with pytest.raises(UsageError, match="at least two judged pieces, found 1"):
        rise([True])


@cases("stirred_vessel")
def test_stirred_vessel(case):
    left = stirred_left(1000.0, case["input"]["volumes"], 1000)
    assert left == near(case, case["expected"]["left"]), case["source"]
    assert 1.0 - left == near(case, case["expected"]["F"])
    # Only the ratio counts: a hopper of half a gram thins out like one of a kilogram.
    assert stirred_left(0.5, case["input"]["volumes"] * 0.0005, 1000) == near(case, case["expected"]["left"])


@cases("tanks_in_series")
def test_tanks_in_series(case):
    """F of the published table; its density E and variance from what leaves between two pieces of a thousandth each."""
    given, expected = case["input"], case["expected"]
    hopper, tanks = 1000.0 * given["tau"], given["tanks"]

    def left(at):
        return stirred_left(hopper, 1.0, round(1000 * at), tanks)

    assert [1.0 - left(at) for at in given["t"]] == near(case, expected["F"]), case["source"]
    density = [(left(at - 0.001) - left(at + 0.001)) / 0.002 for at in given["t"]]
    assert density == pytest.approx(expected["E"], abs=2e-4)
    # Mean and second moment of a time that is never negative: integrals of what is left (trapezoids).
    shares = [left(at / 1000) for at in range(40_001)]
    mean = (sum(shares) - 0.5) / 1000
    second = 2 * sum(at * share for at, share in enumerate(shares)) / 1_000_000
    assert mean == pytest.approx(given["tau"], abs=1e-6)
    assert second - mean**2 == pytest.approx(expected["variance"], abs=1e-5)


@pytest.mark.parametrize("tanks", [1, 2, 5, 100])
def test_the_first_piece_below_a_share(tanks):
    for share in (0.5, 0.1, 0.01, 0.0001):
        found = stirred_pieces(2500, 160, share, tanks)
        assert stirred_left(2500, 160, found, tanks) < share <= stirred_left(2500, 160, found - 1, tanks)


@pytest.mark.parametrize("pieces", [1, 2, 3, 4, 8, 15, 16])
def test_a_piece_with_just_the_share_is_not_below_it(pieces):
    assert stirred_pieces(2500, 160, stirred_left(2500, 160, pieces)) == pieces + 1


def test_the_first_piece_at_all_may_be_below_the_share():
    assert stirred_left(2500, 160, 1) < 0.95
    assert stirred_pieces(2500, 160, 0.95) == 1


def test_a_hopper_of_less_than_a_gram_holds_what_it_holds():
    assert first_out_pieces(0.5, 0.25) == 2
    assert first_out_pieces(0.5, 0.2) == 3
    assert first_out_pieces(1, 1) == 1


@cases("hopper_lot_trace")
def test_the_worked_example_of_a_hopper(case):
    given = case["input"]
    hopper, piece = given["hopper_kg"] * 1000, given["piece_kg"] * 1000
    assert stirred_pieces(hopper, piece, given["threshold"]) == case["expected"]["pieces_until_below"]
    assert stirred_left(hopper, piece, 156) == near(case, case["expected"]["fraction_at_156"])
    assert hopper / piece == case["expected"]["tau_pieces"]
    assert first_out_pieces(hopper, piece) == 157, case["note"]


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: zero_failure_size(1.0, 0.1), "confidence is 1.0: expected more than 0 and less than 1"),
        (lambda: hypergeometric_size(10, 11, 0.9), "11 bad pieces in a lot of 10: expected 1 to 10"),
        (
            lambda: most_bad(10, 3, 4),
            "4 bad of 3 looked at in a lot of 10: expected 0 <= bad <= looked at <= lot",
        ),
        (lambda: clopper_pearson(0, 0), "0 bad of 0 pieces: expected at least one piece and 0 to 0 bad"),
        (lambda: stirred_pieces(0, 1, 0.1), "a hopper of 0 g and a piece of 1 g: expected both above 0"),
        (lambda: stirred_left(1, 0, 1), "a hopper of 1 g and a piece of 0 g: expected both above 0"),
        (lambda: first_out_pieces(1, -1), "a hopper of 1 g and a piece of -1 g: expected both above 0"),
        (lambda: share_at_most(3, 2), "3 bad of 2 pieces: expected at least one piece and 0 to 2 bad"),
        (lambda: stirred_left(1, 1, 1, 0), "a hopper like 0 stirred tanks: expected 1 to 100"),
        (lambda: stirred_pieces(1, 1, 0.5, 101), "a hopper like 101 stirred tanks: expected 1 to 100"),
        (
            lambda: stirred_pieces(1, 1, 1.0),
            "a share of 1.0 cannot be stopped at: expected more than 0 and less than 1",
        ),
        (lambda: fisher_greater(((-1, 2), (3, 4))), "table -1, 2, 3, 4: expected counts of 0 or more"),
    ],
)
def test_wrong_calls_are_named(call, sentence):
    with pytest.raises(UsageError) as refused:
        call()
    assert str(refused.value) == sentence

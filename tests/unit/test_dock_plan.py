"""How many cartons to open: the zero-failure plan against its published and derived values."""

import math
from fractions import Fraction

import pytest
from support_vectors import by_id, load

from tracelink.errors import UsageError
from tracelink.quality.zero_failure import zero_failure_n


@pytest.mark.parametrize("case", load("aggregation", "c0_sample_size"), ids=by_id)
def test_of_very_many(case):
    given = case["input"]
    assert zero_failure_n(round(given["p"] * 1000), round(given["confidence"] * 100)) == case["expected"]


@pytest.mark.parametrize("case", load("aggregation", "c0_hypergeometric"), ids=by_id)
def test_of_so_many(case):
    given = case["input"]
    permille = given["defectives"] * 1000 // given["lot"]
    n = zero_failure_n(permille, round(given["confidence"] * 100), given["lot"])
    assert n == case["expected"], case["source"]


@pytest.mark.parametrize("case", load("aggregation", "zero_failure_table"), ids=by_id)
def test_the_table(case):
    confidence = round(case["input"]["confidence"] * 100)
    found = {share: zero_failure_n(round(float(share) * 10), confidence) for share in case["expected"]}
    assert found == case["expected"], case["source"]


@pytest.mark.parametrize(
    ("permille", "expected"), [(Fraction(25), 119), (Fraction("25.5"), 116), (Fraction(26), 114)]
)
def test_a_share_between_two_thousandths_is_taken_as_it_is(permille, expected):
    """n = ln(1 - C) / ln(1 - p), rounded up: of 2.55 % at 95 % 115.97; 2.5 % would be 118.33 and 2.6 % 113.72."""
    assert (
        zero_failure_n(permille, 95) == expected == math.ceil(math.log(0.05) / math.log(1 - permille / 1000))
    )


def test_of_ten_thousand_it_is_the_first_number_for_which_the_hypergeometric_chance_is_small_enough():
    n = zero_failure_n(1, 99, 10_000)
    chances = [Fraction(math.comb(9_990, opened), math.comb(10_000, opened)) for opened in (n - 1, n)]
    assert chances[0] > Fraction(1, 100) >= chances[1]


def test_never_more_than_there_are():
    assert zero_failure_n(1, 99, 5) == 5
    assert zero_failure_n(500, 90, 1) == 1


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ((0, 95), "error rate is 0 in a thousand: expected 1 to 999"),
        ((1000, 95), "error rate is 1000 in a thousand: expected 1 to 999"),
        ((10, 0), "confidence is 0 %: expected 1 to 99"),
        ((10, 100), "confidence is 100 %: expected 1 to 99"),
        ((10, 95, 0), "there are 0 cartons: expected 1 or more"),
    ],
)
def test_numbers_out_of_range(given, sentence):
    with pytest.raises(UsageError) as caught:
        zero_failure_n(*given)
    assert str(caught.value) == sentence

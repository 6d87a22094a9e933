"""Codes in use that one swap turns into each other."""

import random
from itertools import combinations

from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.identity.confusable import ConfusablePair, confusable
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import CodeKind, PlantCode


def by_comparing_all(codes, reach):
    """The same answer the slow way: two texts alike but for two places that hold each other's character."""
    found = []
    for first, second in combinations(sorted(set(codes)), 2):
        if len(first) != len(second):
            continue
        unlike = [at for at in range(len(first)) if first[at] != second[at]]
        if len(unlike) == 2 and unlike[1] - unlike[0] <= reach:
            left, right = unlike
            if (first[left], first[right]) == (second[right], second[left]):
                found.append(ConfusablePair(first, second, left + 1, right - left))
    return found


def test_published_gtins_that_a_swap_turns_into_each_other():
    # GS1 Hong Kong's worked example, with the two swaps its check digit is blind to (see the check values m10-err).
    codes = ["6291041500213", "6291041050213", "9261041500213", "9501101531000"]
    near = ConfusablePair("6291041050213", "6291041500213", 8, 1)
    assert confusable(codes) == [near]
    assert confusable(codes, reach=2) == [near, ConfusablePair("6291041500213", "9261041500213", 1, 2)]


def test_plant_codes_with_the_blind_swap_of_their_check_character():
    codes = [PlantCode.build(CodeKind.SPINDLE, number).text for number in range(1, 1000)]
    pairs = confusable(codes)
    assert ConfusablePair("K000078L", "K000087L", 6, 1) in pairs
    assert pairs == by_comparing_all(codes, 1)
    # All spindle numbers to 999; of the swaps of two unlike digits among them only these check.
    assert len(pairs) == 4


def test_other_kinds_and_lengths_are_never_mixed_up():
    assert confusable(["", "A", "AB", "BA", "AB", "ABC", "K0001422"]) == [ConfusablePair("AB", "BA", 1, 1)]
    assert confusable([]) == []


def test_the_same_as_comparing_every_code_with_every_other():
    rng = random.Random(33)
    for reach in (1, 2):
        for _ in range(40):
            bodies = {"".join(rng.choices("0123", k=6)) for _ in range(60)}
            codes = [body + gs1_check_digit(body) for body in bodies]
            assert confusable(iter(codes), reach=reach) == by_comparing_all(codes, reach)


def test_a_range_of_cartons_is_compared_by_look_up():
    codes = [str(Sscc.build("2", "9520000", serial)) for serial in range(20_000)]
    pairs = confusable(codes, reach=2)
    # Four digits run from 0 to 9 and the one before them from 0 to 1; the check digit makes one more place.
    # Neighbours that differ by 5: three places with 5 values and 200 rests, and 1000 with the check digit. Two apart,
    # always blind: 1000 with the leading digit, two places with 45 values and 200 rests, 9000 with the check digit.
    apart = [pair.apart for pair in pairs]
    assert (apart.count(1), apart.count(2)) == (3 * 5 * 200 + 1000, 1000 + 2 * 45 * 200 + 9000)

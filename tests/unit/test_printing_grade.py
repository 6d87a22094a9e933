"""Grades after ISO/IEC 15416, checked against published thresholds and examples, and against profiles made by hand."""

import itertools
import random

import pytest
from barcode.charsets import code128, ean
from barcode.codex import Code128
from barcode.ean import EuropeanArticleNumber8, EuropeanArticleNumber13
from support_printing import GTIN, vector

from tracelink.printing import grade
from tracelink.printing.grade import Parameters, at_least, at_most, elements_of, letter, mean_grade, measured
from tracelink.printing.reference import decode_code128, decode_ean8, decode_ean13
from tracelink.printing.straight import linear_light


def parameters(rmax=90.0, rmin=5.0, ec_min=80.0, ern_max=0.0, decodability=100.0):
    return Parameters(rmax, rmin, ec_min, ern_max, decodability)


@pytest.mark.parametrize(
    ("name", "limits"),
    [
        ("symbol_contrast", grade.CONTRAST_AT_LEAST),
        ("modulation", grade.MODULATION_AT_LEAST),
        ("decodability", grade.DECODABILITY_AT_LEAST),
        ("defects_max", grade.DEFECTS_AT_MOST),
    ],
)
def test_the_limits_are_the_published_ones(name, limits):
    case = vector("pq-thresholds")
    assert dict(zip("ABCD", limits, strict=True)) == case["expected"][name], case["source"]


@pytest.mark.parametrize(
    ("value", "expected"), [(70, 4), (69.9, 3), (55, 3), (54, 2), (40, 2), (20, 1), (19, 0)]
)
def test_a_value_has_the_grade_whose_limit_it_reaches(value, expected):
    assert at_least(value, grade.CONTRAST_AT_LEAST) == expected


@pytest.mark.parametrize(("value", "expected"), [(15, 4), (15.1, 3), (20, 3), (25, 2), (30, 1), (30.1, 0)])
def test_defects_have_the_grade_within_whose_limit_they_stay(value, expected):
    assert at_most(value, grade.DEFECTS_AT_MOST) == expected


def test_modulation_is_as_in_the_sample_report():
    case = vector("pq-ex-1")
    given = case["input"]
    it = parameters(rmax=given["SC"], rmin=0.0, ec_min=given["ECmin"])
    assert it.modulation == pytest.approx(case["expected"]["MOD"]), case["source"]
    assert it.grades["MOD"] == case["expected"]["grade"]


def test_a_scan_line_is_as_good_as_its_worst_parameter():
    case = vector("pq-ex-2")
    given, expected = case["input"], case["expected"]
    it = Parameters(given["Rmax"], given["Rmin"], given["ECmin"], given["ERNmax"], given["decodability"])
    assert it.contrast == expected["SC"]
    assert it.threshold == expected["GT"]
    assert it.modulation == pytest.approx(expected["MOD"])
    assert it.defects == pytest.approx(expected["Defects"])
    assert it.grades == expected["grades"]
    assert it.grade == expected["scan_grade"]


def test_a_symbol_has_the_mean_of_its_scan_lines():
    case = vector("pq-ex-3")
    mean = mean_grade(case["input"]["scan_grades"])
    assert (mean, letter(mean)) == (case["expected"]["mean"], case["expected"]["letter"])
    assert len(case["input"]["scan_grades"]) == grade.SCAN_LINES


def test_letters_are_as_remembered():
    expected = vector("pq-letters")["expected"]
    for name, given in expected.items():
        if name == "F":
            assert letter(0.4) == "F"
            continue
        least, most = (float(part) for part in given.split("-"))
        assert letter(least) == letter(most) == name


@pytest.mark.parametrize(
    ("changed", "name"),
    [
        ({"rmin": 45.1}, "Rmin"),
        ({"ec_min": 14.9}, "ECmin"),
        ({"ern_max": 26.0}, "Defects"),
        ({"decodability": 24.0}, "decodability"),
        ({"decodability": None}, "decode"),
        ({"rmax": 24.0}, "SC"),
    ],
)
def test_each_parameter_can_fail_a_line(changed, name):
    assert parameters().grade == 4
    it = parameters(**changed)
    assert it.grade == it.grades[name] == 0


def test_a_profile_without_contrast_fails():
    assert measured([80.0] * 50, decode_code128).grade == 0


def profile(pattern, samples=8, dark=5.0, light=85.0, quiet=10):
    """Reflectances of modules, with one sample half way at each edge."""
    row = "0" * quiet + pattern + "0" * quiet
    levels = [dark if bit == "1" else light for bit in row for _ in range(samples)]
    return [(one + two) / 2 for one, two in itertools.pairwise(levels)]


def test_a_perfect_profile_measures_as_it_was_made():
    it = measured(profile(Code128("K001427Y").build()[0]), decode_code128)
    assert (it.rmax, it.rmin, it.ec_min, it.ern_max) == (85.0, 5.0, 80.0, 0.0)
    assert it.decodability == pytest.approx(100.0)
    assert it.grade == 4


def test_elements_lie_between_edges():
    elements = elements_of([80, 80, 80, 0, 0, 80, 80])
    assert [(each.is_bar, each.start, each.end) for each in elements] == [
        (False, 0.0, 2.5),
        (True, 2.5, 4.5),
        (False, 4.5, 6.0),
    ]
    assert [each.reflectances for each in elements] == [(80, 80, 80), (0, 0), (80, 80)]


def test_an_edge_lies_where_the_threshold_is_crossed():
    (before, bar, _) = elements_of([100, 100, 20, 0, 100])
    assert before.end == pytest.approx(1 + 50 / 80)
    assert bar.end == pytest.approx(3.5)


@pytest.mark.parametrize(
    ("inside", "ern"),
    [
        ([0, 40, 80, 80, 40, 0], 0),  # one peak
        ([0, 80, 60, 80, 0], 20),
        ([0, 70, 60, 80, 0], 20),  # highest peak less lowest valley
        ([0, 80, 70, 75, 50, 60, 0], 30),
    ],
)
def test_unevenness_is_between_peaks_and_valleys_only(inside, ern):
    light = [80, 80, 0, *inside, 0, 80, 80]
    assert measured(light, lambda widths: None).ern_max == ern
    dark = [80, 80, *(80 - value for value in inside), 80, 80]
    assert measured([0, *dark, 0], lambda widths: None).ern_max == ern


def test_a_spot_in_a_quiet_zone_is_a_defect():
    spotted = profile("11010010000")
    spotted[5] = 65.0
    assert measured(spotted, lambda widths: None).ern_max == 20.0
    at_the_edge = profile("11010010000")
    at_the_edge[0] = 65.0
    assert measured(at_the_edge, lambda widths: None).ern_max == 20.0


def widths(pattern, **how):
    return [element.width for element in elements_of(profile(pattern, **how))[1:-1]]


def pattern_of(values):
    return "".join(code128.CODES[value] for value in values) + code128.STOP + "11"


CODE_128_CASES = ["c128-1", "c128-2", "c128-3", "c128-5", "c128-6", "c128-7"]


@pytest.mark.parametrize("key", CODE_128_CASES)
def test_the_reference_decode_of_code_128_asks_for_the_published_check_character(key):
    case = vector(key)
    words, check = case["input"]["codewords"], case["expected"]["check"]
    decoded = decode_code128(widths(pattern_of([*words, check])))
    assert decoded.values == (*words, check), case["source"]
    assert decoded.modules == 11 * (len(words) + 2) + 2
    for wrong in range(103):
        if wrong != check:
            assert decode_code128(widths(pattern_of([*words, wrong]))) is None


def test_every_character_of_code_128_is_decoded():
    for value in range(103):
        start = 104
        check = (start + value) % 103
        assert decode_code128(widths(pattern_of([start, value, check]))).values == (start, value, check)


@pytest.mark.parametrize("gtin", [GTIN, "6291041500213", "9501101531000", "0416000336108", "5901234123457"])
def test_the_reference_decode_of_ean_13_reads_the_digits(gtin):
    decoded = decode_ean13(widths(EuropeanArticleNumber13(gtin[:12]).build()[0]))
    assert "".join(map(str, decoded.values)) == gtin
    assert (decoded.modules, round(decoded.decodability)) == (95, 100)


def test_every_digit_of_ean_13_is_decoded_in_every_set():
    chance = random.Random(7)
    for _ in range(200):
        body = "".join(chance.choice("0123456789") for _ in range(12))
        drawn = EuropeanArticleNumber13(body)
        assert "".join(map(str, decode_ean13(widths(drawn.build()[0])).values)) == drawn.get_fullcode()


def test_every_digit_of_ean_8_is_decoded():
    chance = random.Random(8)
    for _ in range(100):
        drawn = EuropeanArticleNumber8("".join(chance.choice("0123456789") for _ in range(7)))
        decoded = decode_ean8(widths(drawn.build()[0]))
        assert "".join(map(str, decoded.values)) == drawn.get_fullcode()
        assert (decoded.modules, round(decoded.decodability)) == (67, 100)


def test_an_ean_8_with_a_wrong_check_digit_or_a_left_digit_of_another_set_is_not_decoded():
    right = EuropeanArticleNumber8("9520012").build()[0]
    last = right[57:64]
    other = next(pattern for pattern in ean.CODES["C"] if pattern != last)
    assert decode_ean8(widths(right[:57] + other + right[64:])) is None
    for pattern in ean.CODES["B"]:
        assert decode_ean8(widths(right[:3] + pattern + right[10:])) is None


@pytest.mark.parametrize("taken", [slice(1, None), slice(None, -1), slice(0, 0)])
def test_what_lacks_an_element_is_not_decoded(taken):
    for decode, drawn in (
        (decode_code128, Code128("K001427Y")),
        (decode_ean13, EuropeanArticleNumber13(GTIN[:12])),
        (decode_ean8, EuropeanArticleNumber8("9520012")),
    ):
        assert decode(widths(drawn.build()[0])[taken]) is None


def test_one_symbol_is_not_decoded_as_the_other():
    assert decode_ean13(widths(Code128("K001427Y").build()[0])) is None
    assert decode_code128(widths(EuropeanArticleNumber13(GTIN[:12]).build()[0])) is None


def test_an_ean_with_a_wrong_check_digit_is_not_decoded():
    right = EuropeanArticleNumber13(GTIN[:12]).build()[0]
    last = right[85:92]
    other = next(pattern for pattern in ean.CODES["C"] if pattern != last)
    assert decode_ean13(widths(right[:85] + other + right[92:])) is None


def test_ink_that_spreads_lowers_decodability_and_not_edges():
    """Distances between similar edges stay, so only the bar widths tell; a quarter of a module is still read."""
    even = widths(Code128("K001427Y").build()[0])
    spread = [width + (2 if number % 2 == 0 else -2) for number, width in enumerate(even)]
    decoded = decode_code128(spread)
    assert decoded.values == decode_code128(even).values
    assert decoded.decodability == pytest.approx(100 * (1.75 - 3 * 0.25) / 1.75)


def test_a_bar_moved_by_a_quarter_module_halves_decodability():
    """A single edge moved changes two distances by 0.25 modules of the 0.5 to the next threshold."""
    moved = widths(Code128("K001427Y").build()[0])
    moved[6] += 2.0
    moved[7] -= 2.0
    assert decode_code128(moved).decodability == pytest.approx(50.0)


@pytest.mark.parametrize(
    ("pixel", "percent"), [(0, 0.0), (255, 100.0), (10, 0.3035), (128, 21.586), (188, 50.289)]
)
def test_greys_are_light_by_the_srgb_curve(pixel, percent):
    """Source: the formula of IEC 61966-2-1, worked out by hand for these greys."""
    assert linear_light(pixel) == pytest.approx(percent, abs=0.001)

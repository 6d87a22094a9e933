"""Symbols in dots: whole modules, quiet zones, sizes of the standards, what is refused."""

import pytest
from support_each import each
from support_printing import (
    GTIN,
    SHORT_GTIN,
    draw_code128,
    draw_data_matrix,
    draw_data_matrix_gs1,
    draw_ean8,
    draw_ean13,
    draw_gs1_128,
    runs,
    vector,
)

from tracelink.errors import IdentifierError, InvalidCheckCharacter, UsageError
from tracelink.printing import sizes
from tracelink.printing.sizes import bar_dots, millimetres, module_dots

DPIS = (203, 300, 600)
SSCC_PAIRS = [("00", "395123451234567895")]
CARTON_PAIRS = [("02", "0" + GTIN), ("37", "25"), ("10", "L000123S")]


@pytest.mark.parametrize(
    ("key", "rule"),
    [("size-ean13", sizes.EAN_13), ("size-ean8", sizes.EAN_8), ("size-gs1128", sizes.GS1_128)],
)
def test_the_limits_are_the_published_ones(key, rule):
    limits = vector(key)["expected"]
    assert rule.x_min_mm == limits["x_min_mm"]
    assert rule.x_max_mm == limits["x_max_mm"]
    assert rule.height_min_mm == limits.get("height_min_mm", limits["height_target_mm"])
    assert rule.quiet_left == limits.get("quiet_left_x", limits.get("quiet_x"))
    assert rule.quiet_right == limits.get("quiet_right_x", limits.get("quiet_x"))


def test_a_gs1_data_matrix_takes_one_and_a_half_times_the_linear_module():
    assert vector("size-dm")["expected"]["x_rule"] == "1.5 times the X allowed for linear symbols"
    linear = vector("size-ean13")["expected"]
    assert sizes.GS1_DATA_MATRIX.x_min_mm == pytest.approx(1.5 * linear["x_min_mm"])
    assert sizes.GS1_DATA_MATRIX.x_max_mm == pytest.approx(1.5 * linear["x_max_mm"])


@pytest.mark.parametrize(
    ("rule", "x_mm", "dpi", "dots"),
    [
        (sizes.CODE_128, 0.25, 203, 2),
        (sizes.CODE_128, 0.33, 300, 4),
        (sizes.CODE_128, 0.01, 203, 1),
        (sizes.GS1_128, 0.495, 203, 4),
        (sizes.GS1_128, 0.495, 300, 6),
        (sizes.GS1_128, 0.495, 600, 12),
        (sizes.EAN_13, 0.264, 203, 3),  # 2 dots are 0.250 mm, below the limit
        (sizes.EAN_13, 0.264, 300, 4),  # 3 dots are 0.254 mm
        (sizes.EAN_13, 0.66, 300, 7),  # 8 dots are 0.677 mm, above the limit
    ],
)
def test_modules_are_whole_dots_and_not_below_the_limit(rule, x_mm, dpi, dots):
    assert module_dots(rule, x_mm, dpi) == dots
    assert rule.x_min_mm <= millimetres(dots, dpi) <= rule.x_max_mm


def test_a_module_outside_the_rule_is_refused():
    with pytest.raises(UsageError) as caught:
        module_dots(sizes.EAN_13, 0.7, 300)
    assert str(caught.value) == "The module of EAN-13 must be 0.264 to 0.660 mm wide, found 0.7 mm."


def test_a_printer_too_coarse_for_the_rule_is_refused():
    with pytest.raises(UsageError) as caught:
        module_dots(sizes.EAN_13, 0.3, 30)
    assert str(caught.value) == (
        "EAN-13 cannot be printed at 30 dpi: its module must be 0.264 to 0.660 mm wide, and 1 dots are 0.847 mm."
    )


def test_bars_are_never_lower_than_asked_for():
    for dpi in DPIS:
        assert millimetres(bar_dots(sizes.GS1_128, 31.75, dpi), dpi) >= 31.75 - 1e-6
    assert bar_dots(sizes.CODE_128, 25.4, 300) == 300


@pytest.mark.parametrize(
    ("rule", "height", "sentence"),
    [
        (sizes.EAN_13, 18, "The bars of EAN-13 must be at least 18.28 mm high, found 18 mm."),
        (sizes.CODE_128, 0, "The bars of Code 128 must be at least more than 0 mm high, found 0 mm."),
    ],
)
def test_bars_too_low_are_refused(rule, height, sentence):
    with pytest.raises(UsageError) as caught:
        bar_dots(rule, height, 300)
    assert str(caught.value) == sentence


@each("dpi", DPIS)
@each(
    ("draw", "rule", "x_mm"),
    [
        (lambda dpi, x: draw_code128("K001427Y", dpi, x, 10, caption=False), sizes.CODE_128, 0.33),
        (lambda dpi, x: draw_code128("991234", dpi, x, 10, caption=False), sizes.CODE_128, 0.25),
        (lambda dpi, x: draw_gs1_128(CARTON_PAIRS, dpi, x, 31.75, caption=False), sizes.GS1_128, 0.495),
        (lambda dpi, x: draw_ean13(GTIN, dpi, x, 22.85, caption=False), sizes.EAN_13, 0.33),
    ],
    ids=["code128", "code128-99", "gs1-128", "ean13"],
)
def test_every_bar_is_whole_modules_and_the_quiet_zones_are_white(draw, rule, x_mm, dpi):
    image = draw(dpi, x_mm)
    module = module_dots(rule, x_mm, dpi)
    for row in (0, image.height // 2, image.height - 1):
        lengths = runs(image, row)
        assert all(length % module == 0 for length in lengths), lengths
        assert max(lengths[1:-1]) <= 4 * module
        assert (lengths[0], lengths[-1]) == (rule.quiet_left * module, rule.quiet_right * module)


@pytest.mark.parametrize(
    ("key", "pairs"), [("size-gs1128-width", SSCC_PAIRS), ("size-gs1128-width-2", [("01", "09501101530003")])]
)
def test_gs1_128_is_as_wide_as_published(key, pairs):
    expected = vector(key)["expected"]
    image = draw_gs1_128(pairs, 300, 0.495, 31.75, caption=False)
    assert image.width / module_dots(sizes.GS1_128, 0.495, 300) == expected["modules_with_quiet"]
    assert sum(runs(image, 0)[1:-1]) / 6 == expected["modules_without_quiet"]
    if "width_mm_at_x_0_495_with_quiet" in expected:
        assert image.width / 6 * 0.495 == pytest.approx(expected["width_mm_at_x_0_495_with_quiet"])


def test_ean_13_is_as_wide_as_published():
    expected = vector("size-ean13-nominal")["expected"]
    # 1539 dpi: 0.33 mm are 20 dots as nearly as can be, so that rounding does not hide a module too many.
    image = draw_ean13(GTIN, 1539, 0.33, expected["bar_height_mm"], caption=False)
    assert millimetres(image.width, 1539) == pytest.approx(expected["width_with_quiet_mm"], abs=0.01)
    assert millimetres(image.height, 1539) == pytest.approx(expected["bar_height_mm"], abs=0.02)
    lengths = runs(image, 0)
    assert millimetres(lengths[0], 1539) == pytest.approx(expected["quiet_left_mm"], abs=0.01)
    assert millimetres(lengths[-1], 1539) == pytest.approx(expected["quiet_right_mm"], abs=0.01)


def test_ean_8_has_67_modules_between_its_quiet_zones():
    """3 + 28 + 5 + 28 + 3: GS1 General Specifications, structure of an EAN-8 (from memory)."""
    image = draw_ean8(SHORT_GTIN, 300, 0.33, 18.23, caption=False)
    lengths = runs(image, 0)
    module = module_dots(sizes.EAN_8, 0.33, 300)
    assert (lengths[0], lengths[-1]) == (7 * module, 7 * module)
    assert sum(lengths[1:-1]) == 67 * module


@pytest.mark.parametrize("dpi", DPIS)
@pytest.mark.parametrize("x_mm", [0.264, 0.33, 0.66])
def test_the_digits_of_an_ean_8_stay_below_their_halves(dpi, x_mm):
    bare = draw_ean8(SHORT_GTIN, dpi, x_mm, 18.23, caption=False)
    whole = draw_ean8(SHORT_GTIN, dpi, x_mm, 18.23)
    module = module_dots(sizes.EAN_8, x_mm, dpi)
    assert whole.width == bare.width
    below = whole.crop((0, bare.height, whole.width, whole.height)).convert("L")
    halves = (7 + 3, 7 + 3 + 28), (7 + 3 + 28 + 5, 7 + 3 + 28 + 5 + 28)
    for first, last in halves:
        part = below.crop((first * module, 0, last * module, below.height)).point(lambda value: 255 - value)
        assert part.getbbox() is not None
    gaps = (0, halves[0][0]), (halves[0][1], halves[1][0]), (halves[1][1], 81)
    for first, last in gaps:
        assert below.crop((first * module, 0, last * module, below.height)).getextrema() == (255, 255)


@pytest.mark.parametrize("text", ["", "9520012", GTIN, "952001234"])
def test_an_ean_8_needs_8_digits(text):
    with pytest.raises(UsageError, match="EAN-8 needs 8 digits"):
        draw_ean8(text, 300, 0.33, 18.23)


def test_a_wrong_check_digit_of_an_ean_8_is_never_drawn():
    with pytest.raises(InvalidCheckCharacter):
        draw_ean8(SHORT_GTIN[:-1] + str((int(SHORT_GTIN[-1]) + 1) % 10), 300, 0.33, 18.23)


@pytest.mark.parametrize("dpi", DPIS)
def test_a_data_matrix_is_square_with_a_white_module_on_four_sides(dpi):
    for image, rule, x_mm in (
        (draw_data_matrix("T000064U", dpi, 0.75), sizes.DATA_MATRIX, 0.75),
        (draw_data_matrix_gs1([("01", "0" + GTIN), ("21", "A)B")], dpi, 0.6), sizes.GS1_DATA_MATRIX, 0.6),
    ):
        module = module_dots(rule, x_mm, dpi)
        assert image.width == image.height
        assert image.width % module == 0
        inner = image.convert("L").point(lambda value: 255 - value).getbbox()
        assert inner == (module, module, image.width - module, image.height - module)
        modules = image.resize((image.width // module,) * 2, 0)
        assert modules.resize(image.size, 0).tobytes() == image.tobytes()


@pytest.mark.parametrize("dpi", DPIS)
def test_a_caption_stands_below_the_bars_and_leaves_them_alone(dpi):
    bare = draw_code128("K001427Y", dpi, 0.33, 10, caption=False)
    whole = draw_code128("K001427Y", dpi, 0.33, 10)
    assert whole.crop((0, 0, *bare.size)).tobytes() == bare.tobytes()
    below = whole.crop((0, bare.height, whole.width, whole.height)).convert("L")
    assert below.getextrema() == (0, 255)


def test_a_caption_wider_than_its_bars_is_whole():
    bare = draw_code128("00", 203, 0.125, 10, caption=False)
    whole = draw_code128("00", 203, 0.125, 10)
    ink = (
        whole.crop((0, bare.height, whole.width, whole.height)).convert("L").point(lambda value: 255 - value)
    )
    assert whole.width >= bare.width
    assert ink.getbbox()[2] <= whole.width


@pytest.mark.parametrize("dpi", DPIS)
@pytest.mark.parametrize("x_mm", [0.264, 0.33, 0.66])
def test_the_digits_of_an_ean_stay_below_their_halves(dpi, x_mm):
    bare = draw_ean13(GTIN, dpi, x_mm, 22.85, caption=False)
    whole = draw_ean13(GTIN, dpi, x_mm, 22.85)
    module = module_dots(sizes.EAN_13, x_mm, dpi)
    assert whole.width == bare.width
    below = (
        whole.crop((0, bare.height, whole.width, whole.height)).convert("L").point(lambda value: 255 - value)
    )
    for gap in (11 + 3 - 1, 11 + 3 + 42 + 2, 11 + 95):  # in front of, between and behind the halves
        assert below.crop((gap * module, 0, (gap + 1) * module, below.height)).getbbox() is None
    assert below.crop((0, 0, 11 * module, below.height)).getbbox() is not None


def test_the_longest_gs1_128_is_48_characters():
    assert vector("size-gs1128-max")["expected"]["max_data_chars"] == 48
    with pytest.raises(UsageError) as caught:
        draw_gs1_128([*SSCC_PAIRS, *CARTON_PAIRS, ("21", "1")], 300, 0.495, 31.75)
    assert str(caught.value) == (
        "A GS1-128 holds at most 48 characters; (00)395123451234567895(02)09520000012342(37)25(10)L000123S(21)1 has "
        "55. Use two symbols."
    )


def test_the_widest_gs1_128_is_165_mm():
    assert vector("size-gs1128-max")["expected"]["max_length_with_quiet_mm"] == 165.1
    with pytest.raises(UsageError) as caught:
        draw_gs1_128([("00", "395123451234567895"), ("10", "abcdefghijklmnop")], 300, 0.495, 31.75)
    assert str(caught.value) == (
        "A GS1-128 is at most 165.1 mm wide; (00)395123451234567895(10)abcdefghijklmnop takes 190.0 mm at 300 dpi. "
        "Use two symbols."
    )


def test_a_wrong_check_digit_is_never_drawn():
    wrong = GTIN[:-1] + str((int(GTIN[-1]) + 1) % 10)
    for draw in (
        lambda: draw_ean13(wrong, 300, 0.33, 22.85),
        lambda: draw_gs1_128([("02", "0" + wrong), ("37", "1")], 300, 0.495, 31.75),
        lambda: draw_data_matrix_gs1([("01", "0" + wrong)], 300, 0.6),
    ):
        with pytest.raises(InvalidCheckCharacter):
            draw()


@pytest.mark.parametrize("text", ["", "952000001234", "09520000012342", "95200000123４2"])
def test_an_ean_needs_13_digits(text):
    with pytest.raises((UsageError, IdentifierError)):
        draw_ean13(text, 300, 0.33, 22.85)


@pytest.mark.parametrize("text", ["", "é", "A\x1dB", "A\n", "X" * 49])
def test_text_that_a_plain_symbol_should_not_hold_is_refused(text):
    with pytest.raises(UsageError) as caught:
        draw_code128(text, 300, 0.33, 10)
    assert (
        str(caught.value) == f"Code 128 on a label holds 1 to 48 printable ASCII characters, found {text!r}."
    )
    with pytest.raises(UsageError) as caught:
        draw_data_matrix(text, 300, 0.75)
    assert (
        str(caught.value)
        == f"A Data Matrix on a label holds 1 to 48 printable ASCII characters, found {text!r}."
    )


def test_a_bracket_that_the_writer_would_take_for_an_element_is_refused():
    with pytest.raises(UsageError) as caught:
        draw_data_matrix_gs1([("01", "0" + GTIN), ("21", "A(10)B")], 300, 0.6)
    assert str(caught.value) == (
        f"A GS1 DataMatrix whose value holds '(' cannot be drawn; found (01)0{GTIN}(21)A(10)B."
    )

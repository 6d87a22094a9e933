"""The proof of a label, made on its dots: what is wrong with the picture is found, whatever it was drawn from."""

from dataclasses import replace

import pytest
from PIL import ImageDraw
from support_each import each
from support_printing import DATA, code, vector

from tracelink.errors import LabelNotProven
from tracelink.printing import label as module
from tracelink.printing import sizes
from tracelink.printing.drawing import Extent
from tracelink.printing.label import make_label
from tracelink.printing.label_proof import measure
from tracelink.printing.layout import layout_names, load_layout

DPIS = (203, 300, 600)


def drawn(name, dpi=300):
    label = make_label(load_layout(name), DATA[name], dpi)
    return label, label.image()


def part_of(label):
    return next(part for part in label.parts if part.drawing.symbol is not None)


def box_of(label):
    """Return the box of the first symbol without its quiet zones, and its module."""
    part = part_of(label)
    extent = part.drawing.symbol
    left, top = part.left + extent.left, part.top + extent.top
    return left, top, left + extent.width, top + extent.height, extent.module


def refusal(label, image):
    with pytest.raises(LabelNotProven) as caught:
        measure(image, label.parts, label.layout.name, label.dpi)
    return str(caught.value)


@each("dpi", DPIS)
@each("name", layout_names())
def test_every_label_measures_as_its_standards_ask(name, dpi):
    label, image = drawn(name, dpi)
    measure(image, label.parts, name, dpi)


@pytest.mark.parametrize("side", ["before", "behind"])
@pytest.mark.parametrize("name", ["spindle-card", "sleeve-ean", "carton-label", "tool-tag"])
def test_one_black_dot_in_a_quiet_zone_is_found(name, side):
    label, image = drawn(name)
    left, top, right, bottom, module = box_of(label)
    rule = part_of(label).drawing.symbol.rule
    furthest = left - rule.quiet_left * module if side == "before" else right + rule.quiet_right * module - 1
    image.putpixel((furthest, (top + bottom) // 2), 0)
    quiet = rule.quiet_left if side == "before" else rule.quiet_right
    assert f"expected {quiet} modules of white {side} it, found a black dot there." in refusal(label, image)


def test_a_black_dot_just_outside_a_quiet_zone_is_no_fault():
    label, image = drawn("spindle-card")
    left, top, _right, _bottom, module = box_of(label)
    image.putpixel((left - 10 * module - 1, top), 0)
    measure(image, label.parts, "spindle-card", 300)


@pytest.mark.parametrize("where", ["above", "below"])
def test_a_matrix_has_its_quiet_zone_on_four_sides(where):
    label, image = drawn("tool-tag")
    left, top, _right, bottom, module = box_of(label)
    image.putpixel((left + 5, top - module if where == "above" else bottom + module - 1), 0)
    assert f"expected a module of white {where} it, found a black dot there." in refusal(label, image)


def test_a_quiet_zone_may_not_reach_over_the_edge():
    label, image = drawn("spindle-card")
    bottom = box_of(label)[3]
    narrow = image.crop((0, 0, image.width, bottom + 1))
    measure(narrow, label.parts, "spindle-card", 300)
    assert "found the edge of the label." in refusal(label, image.crop((0, 0, box_of(label)[2] + 5, bottom)))


def test_a_bar_one_dot_too_wide_is_found():
    label, image = drawn("spindle-card")
    left, top, _right, bottom, module = box_of(label)
    ImageDraw.Draw(image).line((left + 2 * module, top, left + 2 * module, bottom - 1), fill=0)
    assert refusal(label, image) == (
        f"Label spindle-card, symbol 1 (code-128): expected bars of whole modules of {module} dots, found one of "
        f"{2 * module + 1} dots. The label was not written."
    )


def test_a_bar_with_a_gap_is_found():
    label, image = drawn("spindle-card")
    left, top, _right, _bottom, _module = box_of(label)
    image.putpixel((left, top + 40), 1)
    assert "expected bars that are the same from top to bottom, found a bar that is broken." in refusal(
        label, image
    )


def test_a_matrix_module_out_of_the_grid_is_found():
    label, image = drawn("tool-tag")
    left, top, _right, _bottom, _module = box_of(label)
    image.putpixel((left, top), 1)
    assert "expected bars of whole modules" in refusal(label, image)


def test_modules_twice_as_wide_as_said_are_found():
    """Everything is a multiple of the module, and still it is not the module."""
    label, image = drawn("spindle-card")
    part = part_of(label)
    halved = Extent(**{**_fields(part.drawing.symbol), "module": part.drawing.symbol.module // 2})
    assert "expected a narrowest bar of 3 dots, found 6 dots." in refusal(_with(label, halved), image)


@pytest.mark.parametrize(
    ("rule", "sentence"),
    [
        (sizes.EAN_13, "expected bars of at least 18.28 mm, found 18.03 mm."),
        (
            sizes.SizeRule("narrow", 10, 10, x_min_mm=0.2, x_max_mm=0.5),
            "expected a module of 0.200 to 0.500 mm, found 0.508 mm.",
        ),
        (
            sizes.SizeRule("wide", 10, 10, x_min_mm=0.6),
            "expected a module of 0.600 to inf mm, found 0.508 mm.",
        ),
    ],
)
def test_a_size_outside_its_rule_is_found(rule, sentence):
    label, image = drawn("spindle-card")
    extent = part_of(label).drawing.symbol
    height = 213 if rule is sizes.EAN_13 else extent.height
    changed = Extent(**{**_fields(extent), "rule": rule, "height": height})
    assert sentence in refusal(_with(label, changed), image)


def test_the_module_of_a_logistic_label_has_its_own_limit():
    limits = vector("size-gs1128-logistic")["expected"]
    assert sizes.GS1_128_LOGISTIC.x_max_mm == limits["x_max_mm"]
    assert sizes.GS1_128_LOGISTIC.x_min_mm == limits["x_min_mm"]
    assert sizes.GS1_128_LOGISTIC.height_min_mm == limits["height_min_mm"]
    assert sizes.GS1_128_LOGISTIC.quiet_left == sizes.GS1_128_LOGISTIC.quiet_right == limits["quiet_x"]
    for name in ("carton-label", "pallet-label"):
        label, _image = drawn(name)
        rules = {part.drawing.symbol.rule for part in label.parts if part.drawing.symbol}
        assert rules == {sizes.GS1_128_LOGISTIC}


def test_a_label_is_measured_before_it_is_written(tmp_path, monkeypatch):
    label, image = drawn("spindle-card")
    left, top, *_ = box_of(label)
    image.putpixel((left - 1, top), 0)
    monkeypatch.setattr(module.Label, "image", lambda self: image)
    with pytest.raises(LabelNotProven, match="modules of white before it"):
        module.write_label(
            tmp_path / "label.png", load_layout("spindle-card"), {"code": code("K", 1427)}, 300
        )
    assert not list(tmp_path.iterdir())


def _fields(extent):
    return {name: getattr(extent, name) for name in Extent.__dataclass_fields__}


def _with(label, extent):
    part = part_of(label)
    changed = replace(part, drawing=replace(part.drawing, symbol=extent))
    return replace(label, parts=tuple(changed if each is part else each for each in label.parts))

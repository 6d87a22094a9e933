"""Labels of a batch: what is found on a single label is found on each of them, and each arrangement is read whole once."""

from copy import deepcopy
from dataclasses import replace

import pytest
from PIL import ImageDraw
from support_each import each
from support_printing import DATA, code, draw_code128

from tracelink.devices import images
from tracelink.errors import LabelNotProven
from tracelink.identity.gs1.sscc import Sscc
from tracelink.printing import label_proof
from tracelink.printing.batch_proof import BatchProof
from tracelink.printing.drawing import Drawing
from tracelink.printing.label import Label, make_label
from tracelink.printing.layout import layout_names, load_layout

CARTON, PALLET, SPINDLE, TOOL = "carton-label", "pallet-number", "spindle-card", "tool-tag"
FREE = (200, 600)
"""Where nothing is for a hand's breadth on the label of a pallet."""


def sscc(number):
    return Sscc.build("1", "9520000", number).digits


def made(name, **other):
    return make_label(load_layout(name), {**DATA[name], **other}, 203)


@pytest.fixture(scope="module")
def begun():
    batch = BatchProof()
    for name in (CARTON, PALLET, SPINDLE, TOOL):
        batch.proven(made(name))
    return batch


@pytest.fixture
def proof(begun):
    """A batch in which one label of each kind used here was proven."""
    return deepcopy(begun)


@pytest.fixture
def whole(monkeypatch):
    """Return the labels that are read whole from here on."""
    read = []
    real = Label.proven
    monkeypatch.setattr(Label, "proven", lambda label: read.append(label) or real(label))
    return read


def spoil(monkeypatch, change):
    """Let what is drawn be changed before it is proven."""
    real = Label.put_on

    def spoilt(label, paper):
        real(label, paper)
        change(label, paper)

    monkeypatch.setattr(Label, "put_on", spoilt)


def refusal(proof, label):
    with pytest.raises(LabelNotProven) as caught:
        proof.proven(label)
    return str(caught.value)


def symbols_of(label):
    return [part for part in label.parts if part.drawing.symbol is not None]


@each("name", layout_names())
def test_every_label_is_proven_a_second_time_on_its_areas_alone(name):
    batch = BatchProof()
    first, again = batch.proven(made(name)), batch.proven(made(name))
    assert first.tobytes() == again.tobytes() == made(name).image().tobytes()


def test_labels_that_differ_in_numbers_are_read_whole_once(proof, whole):
    for number in range(100, 105):
        label = made(CARTON, sscc=sscc(number), count=str(number)[1:])
        assert proof.proven(label).tobytes() == label.image().tobytes()
    assert whole == []


def test_codes_that_differ_in_their_check_character_are_read_whole_once(proof, whole):
    codes = [code("K", number) for number in range(1430, 1440)]
    assert len({text[-1] for text in codes if not text[-1].isdigit()}) > 3
    for text in codes:
        if not text[-1].isdigit():
            proof.proven(made(SPINDLE, code=text))
    assert whole == []


def test_every_symbol_of_every_label_is_read_by_both(proof, monkeypatch):
    read = {"zxing": [], "zbar": []}
    zxing, zbar = images._zxing, images.read_linear

    def noted(who, real):
        def reading(flat):
            found = real(flat)
            read[who].append(found)
            return found

        return reading

    monkeypatch.setattr(images, "_zxing", noted("zxing", zxing))
    monkeypatch.setattr(images, "read_linear", noted("zbar", zbar))
    labels = [made(CARTON, sscc=sscc(number)) for number in (101, 102)]
    for label in labels:
        proof.proven(label)
    expected = [scan for label in labels for scan in label.expected.scans]
    assert [[each.line for each in found] for found in read["zxing"]] == [[scan] for scan in expected]
    assert read["zbar"] == [{("CODE128", scan[3:].encode())} for scan in expected]


@pytest.mark.parametrize(
    "other",
    [
        {"title": "Moth Parliament"},
        {"title": "|| | ||| || | |||"},
        {"lot": code("L", 1_234_567)},
        {"count": "1250"},
        {"unit": "pieces"},
    ],
)
def test_another_word_length_or_symbol_is_another_arrangement(other, proof, whole):
    label = made(CARTON, **other)
    proof.proven(label)
    proof.proven(label)
    assert whole == [label]


def test_the_same_on_another_printer_is_another_arrangement(proof, whole):
    label = make_label(load_layout(SPINDLE), DATA[SPINDLE], 300)
    proof.proven(label)
    assert whole == [label]


def test_what_was_not_proven_whole_counts_for_no_other(monkeypatch, whole):
    batch = BatchProof()
    dirty = [True]

    def beside(label, image):
        if dirty.pop():
            image.paste(draw_code128("A", 203, 0.25, 5, caption=False), FREE)
        dirty.append(False)

    spoil(monkeypatch, beside)
    assert "found ']C0A', ']C1" in refusal(batch, made(PALLET))
    batch.proven(made(PALLET))
    assert len(whole) == 2


def test_bars_that_are_no_symbol_of_the_layout_are_another_arrangement(proof, whole):
    """A second symbol drawn as mere lines: the label is read whole, and it is found there."""
    label = made(PALLET)
    (other,) = symbols_of(made(SPINDLE))
    lines = replace(other, drawing=replace(other.drawing, symbol=None), left=FREE[0], top=FREE[1])
    more = replace(label, parts=(*label.parts, lines))
    assert "does not read back" in refusal(proof, more)
    assert whole == [more]


def test_each_symbol_must_say_what_is_expected_of_it(proof):
    label = made(CARTON)
    first, second = label.expected.scans
    swapped = replace(label, expected=replace(label.expected, scans=(second, first)))
    assert refusal(proof, swapped) == (
        f"Label carton-label, symbol 1 (gs1-128) does not read back: expected {second!r}, found {first!r}. "
        "The label was not written."
    )


@pytest.mark.parametrize("which", [0, 1])
def test_a_symbol_with_the_number_of_another_label_is_found(which, proof):
    label, other = made(CARTON), made(CARTON, sscc=sscc(4712), count="26")
    wrong = symbols_of(other)[which]
    parts = tuple(wrong if part.name == wrong.name else part for part in label.parts)
    assert f"{wrong.name} does not read back" in refusal(proof, replace(label, parts=parts))


@pytest.mark.parametrize("name", [CARTON, SPINDLE])
def test_readers_that_disagree_on_one_symbol_are_named(name, proof, monkeypatch):
    monkeypatch.setattr(images, "read_linear", lambda grey: set())
    assert refusal(proof, made(name)).startswith(
        f"Label {name}, {symbols_of(made(name))[0].name}: the two readers do not agree."
    )


@pytest.mark.parametrize("which", [0, 1])
def test_a_dot_in_a_quiet_zone_is_found(which, proof, monkeypatch):
    def dirty(label, image):
        part = symbols_of(label)[which]
        image.putpixel((part.left + part.drawing.symbol.left - 1, part.top + 100), 0)

    spoil(monkeypatch, dirty)
    assert "expected 10 modules of white before it, found a black dot there." in refusal(proof, made(CARTON))


@pytest.mark.parametrize("row", [0, label_proof.ROWS_READ, -1])
def test_a_scratch_in_any_row_of_the_bars_is_found(row, proof, monkeypatch):
    """Few of their rows are read, because they were measured to be all the same."""

    def scratched(label, image):
        part = symbols_of(label)[0]
        extent = part.drawing.symbol
        image.putpixel((part.left + extent.left, part.top + extent.top + row % extent.height), 1)

    spoil(monkeypatch, scratched)
    assert "found a bar that is broken." in refusal(proof, made(SPINDLE))


def test_a_matrix_with_many_wrong_modules_is_found(proof, monkeypatch):
    def spoilt(label, image):
        part = symbols_of(label)[0]
        extent = part.drawing.symbol
        left, top = part.left + extent.left, part.top + extent.top
        box = (left + extent.module, top + extent.module, left + extent.width // 2, top + extent.height // 2)
        ImageDraw.Draw(image).rectangle((*box[:2], box[2] - 1, box[3] - 1), fill=0)

    spoil(monkeypatch, spoilt)
    assert "does not read back" in refusal(proof, made(TOOL))


def test_the_rows_that_are_read_are_those_of_the_finished_picture(proof, monkeypatch):
    """Not of what it was drawn from: a picture in which the symbol is missing is refused."""
    monkeypatch.setattr(Label, "put_on", lambda label, paper: None)
    monkeypatch.setattr("tracelink.printing.batch_proof.measure", lambda *given: None)
    assert "found nothing" in refusal(proof, made(SPINDLE))


def test_a_part_without_a_symbol_is_not_read(proof, monkeypatch):
    read = []
    real = images.read_each
    monkeypatch.setattr(images, "read_each", lambda image: read.append(image.size) or real(image))
    label = made(SPINDLE)
    proof.proven(label)
    extent = symbols_of(label)[0].drawing.symbol
    assert isinstance(symbols_of(label)[0].drawing, Drawing)
    assert read == [(extent.width + 20 * extent.module, label_proof.ROWS_READ)]

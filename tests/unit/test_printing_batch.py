"""Batches from CSV files: whole or not at all, and every faulty line named."""

from contextlib import contextmanager
from types import SimpleNamespace

import pypdfium2
import pytest
from click.testing import CliRunner
from support_printing import code

from tracelink.cli.label import label as command
from tracelink.devices.images import read_image
from tracelink.errors import UsageError
from tracelink.printing import batch as module
from tracelink.printing.batch import Batch, BatchDone, BatchForm, Row, read_rows, write_batch
from tracelink.printing.label import Label
from tracelink.printing.layout import load_layout

LAYOUT = load_layout("plant-code")


class Bar:
    def __init__(self):
        self.length, self.done = None, 0

    @contextmanager
    def __call__(self, length):
        self.length = length
        yield SimpleNamespace(update=self._update)

    def _update(self, steps):
        self.done += steps


def csv_file(tmp_path, content):
    path = tmp_path / "rows.csv"
    path.write_bytes(content if isinstance(content, bytes) else content.encode("utf-8"))
    return path


def rows_of(*numbers):
    return [Row(line, {"code": code("C", n), "what": "Compound"}) for line, n in enumerate(numbers, start=2)]


def made(out, rows, form):
    return write_batch(out, Batch(LAYOUT, rows, 203, form), Bar())


def test_rows_are_what_the_file_says(tmp_path):
    content = 'what,code\n"Black, silo 2",C0000887\n\n , \n"Ten ""inch""",C0000897\n'
    assert read_rows(csv_file(tmp_path, content), LAYOUT) == [
        Row(2, {"what": "Black, silo 2", "code": "C0000887"}),
        Row(5, {"what": 'Ten "inch"', "code": "C0000897"}),
    ]


def test_a_spreadsheets_semicolons_and_byte_order_mark_are_understood(tmp_path):
    content = b"\xef\xbb\xbfcode;what\r\nC0000887;Black, silo 2\r\n"
    assert read_rows(csv_file(tmp_path, content), LAYOUT) == [
        Row(2, {"code": "C0000887", "what": "Black, silo 2"})
    ]


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        ("", "FILE: the heading of label plant-code must name code, what; found nothing."),
        ("code\nC1\n", "FILE: the heading of label plant-code must name code, what; found code."),
        (
            "code,what,what\n1,2,3\n",
            "FILE: the heading of label plant-code must name code, what; found code, what, what.",
        ),
        ("code,what\n", "FILE: expected 1 to 100,000 lines below the heading, found 0."),
        ("code,what\nC1\n", "FILE line 2: expected 2 fields, found 1."),
        ("code,what\nC1,2\nC1,2,3\n", "FILE line 3: expected 2 fields, found 3."),
        (b"code,what\nC1,\xff\n", "FILE is not UTF-8 text: byte 13 cannot be read."),
        ('code,what\n"C1,2\n', "FILE line 2 is not CSV: unexpected end of data."),
    ],
)
def test_a_file_that_is_not_what_it_must_be_is_refused(content, sentence, tmp_path):
    path = csv_file(tmp_path, content)
    with pytest.raises(UsageError) as caught:
        read_rows(path, LAYOUT)
    assert str(caught.value).replace(str(path), "FILE") == sentence


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(UsageError, match=r"none.csv cannot be read: No such file or directory\."):
        read_rows(tmp_path / "none.csv", LAYOUT)


def test_a_folder_has_a_picture_for_each_line(tmp_path):
    out, bar = tmp_path / "labels", Bar()
    done = write_batch(out, Batch(LAYOUT, rows_of(88, 89, 90), 203, BatchForm.PICTURES), bar)
    assert done == BatchDone(3, (), ())
    assert (bar.length, bar.done) == (3, 3)
    assert {path.name: read_image(path) for path in out.iterdir()} == {
        "000002.png": [f"]C0{code('C', 88)}"],
        "000003.png": [f"]C0{code('C', 89)}"],
        "000004.png": [f"]C0{code('C', 90)}"],
    }


@pytest.mark.parametrize(("form", "pages"), [(BatchForm.PAGES, 3), (BatchForm.SHEETS, 1)])
def test_a_pdf_has_all_labels(form, pages, tmp_path):
    out = tmp_path / "labels.pdf"
    assert made(out, rows_of(88, 89, 90), form) == BatchDone(3, (), ())
    document = pypdfium2.PdfDocument(out)
    assert len(document) == pages
    document.close()
    once = out.read_bytes()
    made(out, rows_of(88, 89, 90), form)
    assert out.read_bytes() == once


@pytest.mark.parametrize("form", BatchForm)
def test_one_faulty_line_leaves_nothing(form, tmp_path):
    rows = [*rows_of(88), Row(3, {"code": "C0000880", "what": "x"}), Row(4, {"code": "", "what": "x"})]
    done = made(tmp_path / "out", rows, form)
    assert done.labels == 0
    assert [sentence[: len("Line 3: Label plant-code, code")] for sentence in done.faults] == [
        "Line 3: Label plant-code, code",
        "Line 4: Label plant-code, code",
    ]
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("form", BatchForm)
def test_a_label_that_is_not_proven_is_a_faulty_line(form, tmp_path, monkeypatch):
    """Whether it is the first, which is read whole, or one that is arranged like those before it."""
    real = Label.put_on
    asked, drawn = code("C", 89), code("C", 90)

    def put_on(self, paper):
        wrong = self.expected.scans == (f"]C0{asked}",)
        real(module.make_label(LAYOUT, {"code": drawn, "what": "Compound"}, 203) if wrong else self, paper)

    monkeypatch.setattr(Label, "put_on", put_on)
    done = made(tmp_path / "out", rows_of(89, 88, 89), form)
    said = f"expected ']C0{asked}', found ']C0{drawn}'. The label was not written."
    assert done == BatchDone(
        0,
        (
            f"Line 2: Label plant-code does not read back: {said}",
            f"Line 4: Label plant-code, symbol 1 (code-128) does not read back: {said}",
        ),
        (),
    )
    assert not list(tmp_path.iterdir())


def test_equal_labels_are_made_and_mentioned(tmp_path):
    done = made(tmp_path / "out.pdf", rows_of(88, 89, 88, 88), BatchForm.PAGES)
    assert done == BatchDone(
        4, (), ("Line 4 carries the same codes as line 2.", "Line 5 carries the same codes as line 2.")
    )


def test_a_folder_that_is_there_is_not_touched(tmp_path):
    out = tmp_path / "labels"
    out.mkdir()
    (out / "mine.txt").write_text("kept")
    with pytest.raises(UsageError) as caught:
        made(out, rows_of(88), BatchForm.PICTURES)
    assert str(caught.value) == f"{out} is there already: expected a folder that is not there yet."
    assert [path.name for path in out.iterdir()] == ["mine.txt"]


@pytest.mark.parametrize("form", [BatchForm.PICTURES, BatchForm.PAGES])
def test_a_broken_run_leaves_nothing(form, tmp_path, monkeypatch):
    """Whatever happens in the middle, such as a key pressed to stop it."""
    real = module.make_label

    def broken(layout, data, dpi):
        if data["code"] == code("C", 89):
            raise KeyboardInterrupt
        return real(layout, data, dpi)

    monkeypatch.setattr(module, "make_label", broken)
    before = tmp_path / "out.pdf"
    before.write_bytes(b"the batch before")
    with pytest.raises(KeyboardInterrupt):
        made(before if form is BatchForm.PAGES else tmp_path / "out", rows_of(88, 89), form)
    assert [path.name for path in tmp_path.iterdir()] == ["out.pdf"]
    assert before.read_bytes() == b"the batch before"


def run(*words):
    return CliRunner().invoke(command, [str(word) for word in words], standalone_mode=False)


def test_the_command_lists_faulty_lines_and_fails(tmp_path):
    path = csv_file(tmp_path, f"code,what\n{code('C', 88)},a\nC1,b\n")
    result = run("batch", "plant-code", path, tmp_path / "out.pdf")
    assert isinstance(result.exception, UsageError)
    assert str(result.exception) == f"1 of 2 lines cannot be printed; {tmp_path}/out.pdf was not written."
    assert result.stderr.startswith(f"{path}: Line 3: Label plant-code, code (the code): 'C1' is not a plant")
    assert not (tmp_path / "out.pdf").exists()


def test_the_command_writes_a_batch(tmp_path):
    path = csv_file(tmp_path, f"code,what\n{code('C', 88)},a\n{code('C', 89)},b\n")
    result = run("batch", "plant-code", path, tmp_path / "out", "--format", "png", "--dpi", "203")
    assert result.stdout == f"{tmp_path}/out: 2 labels\n"
    assert len(list((tmp_path / "out").iterdir())) == 2


def test_a_sheet_of_pictures_is_refused(tmp_path):
    path = csv_file(tmp_path, f"code,what\n{code('C', 88)},a\n")
    result = run("batch", "plant-code", path, tmp_path / "out", "--format", "png", "--sheet")
    assert str(result.exception) == "--sheet goes with --format pdf: expected one of the two"


def test_the_draw_command_writes_a_page_or_a_picture_and_nothing_else(tmp_path):
    text = code("C", 88)
    for name in ("label.png", "label.pdf"):
        result = run("draw", "plant-code", tmp_path / name, f"code={text}", "what=Compound")
        assert result.stdout == f"{tmp_path}/{name}: ]C0{text}\n"
        assert (tmp_path / name).exists()
    result = run("draw", "plant-code", tmp_path / "label.jpg", f"code={text}", "what=Compound")
    assert str(result.exception) == f"{tmp_path}/label.jpg: expected a file name that ends in .png or .pdf"
    result = run("draw", "plant-code", tmp_path / "other.png", "code")
    assert str(result.exception) == "'code': expected FIELD=VALUE"
    assert not (tmp_path / "other.png").exists()

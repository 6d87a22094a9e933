"""Many labels from a CSV file: every line is judged and every label proven before anything is there under its name.

A batch is whole or not at all: if one line cannot be printed, all faulty lines are reported and no file is left, so
that nobody takes a part for the whole and prints the rest twice.
"""

import csv
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from enum import Enum
from pathlib import Path
from typing import Any

from tracelink.errors import LabelNotProven, UsageError
from tracelink.plainfile import plain_text
from tracelink.printing.batch_proof import BatchProof
from tracelink.printing.label import Label, make_label, save_png
from tracelink.printing.layout import LabelLayout
from tracelink.printing.output import whole_file, whole_folder
from tracelink.printing.sheet import sheet_of

MOST_ROWS = 100_000
"""Beyond this a file is a mistake, and a PDF of it would not fit into the memory."""


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the file that is to become a label."""

    line: int
    """Its number in the file, the heading counted."""
    data: Mapping[str, str]
    """A value for each field."""


class BatchForm(Enum):
    """What a batch becomes."""

    PICTURES = "a folder of PNG files numbered by their lines"
    PAGES = "a PDF with a label on each page"
    SHEETS = "a PDF with several labels on each A4 page"


@dataclass(frozen=True, slots=True)
class Batch:
    """What is to be printed."""

    layout: LabelLayout
    """The label."""
    rows: Sequence[Row]
    """A label for each."""
    dpi: int
    """Dots per inch of the printer."""
    form: BatchForm
    """Form of the output."""


@dataclass(frozen=True, slots=True)
class BatchDone:
    """What came of a batch."""

    labels: int
    """Labels made; 0 if a line was faulty."""
    faults: tuple[str, ...]
    """A sentence for each line that cannot be printed."""
    repeated: tuple[str, ...]
    """A sentence for each line that carries the same codes as one before it."""


class _Faulty(Exception):  # noqa: N818  # no error: it carries the sentences out of the half-made output
    """Some lines cannot be printed."""


Progress = Callable[[int], AbstractContextManager[Any]]
"""Given the number of labels, a progress bar with `update(n)`."""


def read_rows(file: Path, layout: LabelLayout) -> list[Row]:
    """Read the lines of a CSV file.

    Args:
        file: UTF-8, fields parted by commas or, if the heading has no comma, by semicolons. The heading names each
            field of the layout once and nothing else; lines without any text are passed over.
        layout: the label.

    Returns:
        At least one row.

    Raises:
        UsageError: the file cannot be read, or its heading or a line has the wrong columns.
    """
    try:
        text = plain_text(file)
    except OSError as error:
        raise UsageError(f"{file} cannot be read: {error.strerror}.") from error
    except UnicodeDecodeError as error:
        raise UsageError(f"{file} is not UTF-8 text: byte {error.start} cannot be read.") from error
    heading = text.partition("\n")[0]
    delimiter = ";" if ";" in heading and "," not in heading else ","
    reader = csv.reader(text.splitlines(keepends=True), delimiter=delimiter, strict=True)
    try:
        names = next(reader, [])
        _require_names(file, names, layout)
        rows = [_row(file, reader.line_num, names, cells) for cells in reader if any(map(str.strip, cells))]
    except csv.Error as error:
        raise UsageError(f"{file} line {reader.line_num} is not CSV: {error}.") from error
    if not 1 <= len(rows) <= MOST_ROWS:
        raise UsageError(f"{file}: expected 1 to {MOST_ROWS:,} lines below the heading, found {len(rows):,}.")
    return rows


def write_batch(out: Path, batch: Batch, progress: Progress) -> BatchDone:
    """Make a label of each row.

    Args:
        out: the PDF, replaced in one step if it is there; or the folder, which must not be there yet.
        batch: what to print.
        progress: see `Progress`.

    Returns:
        How many labels were made, or which lines are faulty. With a faulty line nothing is written.

    Raises:
        UsageError: the place cannot be written to, or labels of this size do not go on a sheet.
    """
    faults: list[str] = []
    repeats = _Repeats()
    write = _pictures if batch.form is BatchForm.PICTURES else _pdf
    with progress(len(batch.rows)) as bar:
        try:
            with write(out, batch) as add:
                for row in batch.rows:
                    faults += _add(add, batch, row, repeats)
                    bar.update(1)
                _require_none(faults)
        except _Faulty:
            return BatchDone(0, tuple(faults), tuple(repeats.sentences))
    return BatchDone(len(batch.rows), (), tuple(repeats.sentences))


def _require_none(faults: Sequence[str]) -> None:
    if faults:
        raise _Faulty


_Add = Callable[[int, Label], None]
"""Given the line and a label that is not proven yet, prove it and put it into the output."""


@contextmanager
def _pdf(out: Path, batch: Batch) -> Iterator[_Add]:
    from tracelink.printing.pdf import PdfPages  # noqa: PLC0415  # a folder of pictures needs no page writer

    layout = batch.layout
    grid = (
        sheet_of(layout.width_mm, layout.height_mm, layout.name) if batch.form is BatchForm.SHEETS else None
    )
    with whole_file(out, f"Labels {layout.name}") as part:
        pages, proof = PdfPages(part, f"Labels {layout.name}", grid), BatchProof()

        def add(_line: int, label: Label) -> None:
            proof.proven(label)
            pages.add(label)

        yield add
        pages.save()


@contextmanager
def _pictures(out: Path, batch: Batch) -> Iterator[_Add]:
    proof = BatchProof()
    with whole_folder(out, f"Labels {batch.layout.name}") as part:
        yield lambda line, label: save_png(proof.proven(label), part / f"{line:06}.png", label.dpi)


def _add(add: _Add, batch: Batch, row: Row, repeats: "_Repeats") -> list[str]:
    """Put a row into the output; return why that cannot be done, or nothing."""
    try:
        label = make_label(batch.layout, row.data, batch.dpi)
        add(row.line, label)
    except (UsageError, LabelNotProven) as error:
        return [f"Line {row.line}: {error}"]
    repeats.note(row.line, label.expected.scans)
    return []


class _Repeats:
    """Lines that carry the same codes as one before: right for two sides of a pallet, wrong for two copies."""

    def __init__(self) -> None:
        self.sentences: list[str] = []
        self._first: dict[tuple[str, ...], int] = {}

    def note(self, line: int, scans: tuple[str, ...]) -> None:
        """Remember what a line's label says."""
        first = self._first.setdefault(scans, line)
        if first != line:
            self.sentences.append(f"Line {line} carries the same codes as line {first}.")


def _require_names(file: Path, names: Sequence[str], layout: LabelLayout) -> None:
    if sorted(names) != sorted(layout.fields):
        raise UsageError(
            f"{file}: the heading of label {layout.name} must name {', '.join(layout.fields)}; "
            f"found {', '.join(names) or 'nothing'}."
        )


def _row(file: Path, line: int, names: Sequence[str], cells: Sequence[str]) -> Row:
    if len(cells) != len(names):
        raise UsageError(f"{file} line {line}: expected {len(names)} fields, found {len(cells)}.")
    return Row(line, dict(zip(names, cells, strict=True)))

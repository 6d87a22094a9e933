"""The card of a station: every act that can be scanned there, on one A4 page, what stops first and largest."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tracelink.errors import UsageError
from tracelink.printing.act_meanings import ActRow, acts_of
from tracelink.printing.label import Label, make_label
from tracelink.printing.layout import LabelLayout, load_layout
from tracelink.printing.output import whole_file
from tracelink.printing.pdf import PdfPages
from tracelink.printing.sheet import A4_MM

FIRST, ROW, REASON = "act-first", "act-row", "reason-row"
"""Layouts of the first act of a card, of all others, and of the plant's reasons."""
HEADING_MM = 7.0
"""Height of the heading's type, to be read from two metres with ease."""

_TOP_MM = 15.0
"""White above the first act, for the heading."""
_COLUMNS = 2
_EDGE_MM = 3.0
"""White left and right, which most printers cannot reach (common practice)."""

_AREA_NAMES = {
    "tool": "Tool room",
    "press": "Press",
    "lab": "Laboratory and quality",
    "line": "Packing line",
    "dock": "Dock",
    "process": "Process steps",
    "assembly": "Parts, boards and units",
}


@dataclass(frozen=True, slots=True)
class ReasonRow:
    """One of the plant's reasons on a card."""

    code: str
    """Plant code that is scanned."""
    text: str
    acts: tuple[str, ...]
    """Words of the acts that it is a reason for."""


def write_acts(
    path: Path,
    area: str,
    dpi: int,
    progress: Callable[[int], AbstractContextManager[Any]],
    reasons: Sequence[ReasonRow] = (),
) -> Sequence[str]:
    """Write the card of a kind of station as a PDF and return the words on it, and the texts of reasons.

    All acts are on one page; the plant's reasons are below them, or on a page of their own where they do not fit.

    Args:
        path: the PDF, replaced in one step if it is there.
        area: tool, press, lab, line, dock, process or assembly.
        dpi: dots per inch of the printer.
        progress: given a number of labels, a progress bar.
        reasons: of the plant, for acts of this area.

    Raises:
        UsageError: there is no such area, its acts are too many for a page, or the file cannot be written.
        LabelNotProven: an act does not read back; no file was written.
    """
    rows = acts_of(area)
    first, row = load_layout(FIRST), load_layout(ROW)
    heading = f"{_AREA_NAMES[area]}: actions"
    below = _TOP_MM + first.height_mm
    corners = [(0.0, _TOP_MM), *_corners(row, len(rows) - 1, below)]
    used = below + -(-(len(rows) - 1) // _COLUMNS) * row.height_mm
    with whole_file(path, heading) as part, progress(len(rows) + len(reasons)) as bar:
        pages = PdfPages(part, heading)
        pages.head(heading, HEADING_MM, A4_MM, _TOP_MM)
        for place, (act, corner) in enumerate(zip(rows, corners, strict=True)):
            pages.put(_proven(row if place else first, act, dpi), corner, A4_MM)
            bar.update(1)
        _put_reasons(pages, f"{_AREA_NAMES[area]}: reasons", used, _reason_labels(reasons, dpi, bar))
        pages.end_page()
        pages.save()
    return [act.word for act in rows] + [reason.text for reason in reasons]


def _reason_labels(reasons: Sequence[ReasonRow], dpi: int, bar: Any) -> Iterator[Label]:
    layout = load_layout(REASON)
    for reason in reasons:
        label = make_label(
            layout, {"code": reason.code, "text": reason.text, "acts": ", ".join(reason.acts)}, dpi
        )
        label.proven()
        bar.update(1)
        yield label


def _put_reasons(pages: PdfPages, heading: str, used_mm: float, labels: Iterable[Label]) -> None:
    """Put reasons below what is used of the page under way if all fit there, else on pages of their own."""
    waiting = list(labels)
    if not waiting:
        return
    layout = waiting[0].layout
    columns = int(A4_MM[0] // layout.width_mm)
    top = used_mm
    while waiting:
        lines = int((A4_MM[1] - top - _TOP_MM) // layout.height_mm)
        if top == used_mm and lines * columns < len(waiting):
            pages.end_page()
            top = 0.0
            continue
        pages.head(heading, HEADING_MM, A4_MM, _TOP_MM, top)
        for number, label in enumerate(waiting[: lines * columns]):
            line, column = divmod(number, columns)
            pages.put(label, (column * layout.width_mm, top + _TOP_MM + line * layout.height_mm), A4_MM)
        waiting = waiting[lines * columns :]
        if waiting:
            pages.end_page()


def _corners(layout: LabelLayout, count: int, top_mm: float) -> list[tuple[float, float]]:
    """Return where labels stand below `top_mm`: two columns, read down the left one first."""
    lines = -(-count // _COLUMNS)
    if top_mm + lines * layout.height_mm > A4_MM[1]:
        raise UsageError(
            f"{count} acts do not fit below each other on an A4 page; make label {layout.name} lower."
        )
    return [
        (_EDGE_MM + number // lines * layout.width_mm, top_mm + number % lines * layout.height_mm)
        for number in range(count)
    ]


def _proven(layout: LabelLayout, row: ActRow, dpi: int) -> Label:
    label = make_label(layout, {"act": row.word, "meaning": row.meaning}, dpi)
    label.proven()
    return label

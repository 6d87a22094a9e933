"""The family tree of a thing as one picture: columns from the code asked about, each kind with its own shape."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from tracelink.genealogy.model.facts import JudgementFact
from tracelink.genealogy.model.tree import Tree
from tracelink.ledger.count_words import counted
from tracelink.report.format import svg
from tracelink.report.format.plain import imprint
from tracelink.report.pictures.boxes import Frame, drawn, frame_of
from tracelink.report.pictures.family import MOST_OF_A_KIND, Family, family_of
from tracelink.report.pictures.family_samples import BAD
from tracelink.report.pictures.fold_cartons import with_cartons_in_pallets
from tracelink.report.pictures.layers import LayeredBoxes, arrange

_MARGIN = 16.0
_GAP, _NARROW_GAP = 52.0, 14.0
_WIDEST, _TALLEST = 1150.0, 700.0
"""Pixels of a picture whose smallest letters are 7 points high when it is made to fit a sheet (own measure on A4)."""

_CLOSER = (MOST_OF_A_KIND, 8, 4, 2)
"""Boxes of one kind at most, tried in turn until a picture fits a sheet."""
_TOP = 40.0
_LEAST_WIDTH = 560.0
_LINE_HEIGHT = 15.0


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Where everything stands on the sheet."""

    layout: LayeredBoxes
    frames: Mapping[str, Frame]
    left: tuple[float, ...]
    """Left edge of each column."""
    width: tuple[float, ...]
    """Width of each column."""
    gap: float
    """Room between columns."""

    @property
    def right(self) -> float:
        """Width of the whole picture."""
        return max(_LEAST_WIDTH, self.left[-1] + self.width[-1] + _MARGIN)

    @property
    def fits(self) -> bool:
        """True if its letters stay large enough on a sheet of paper."""
        return self.right <= _WIDEST and self.layout.height <= _TALLEST - 2 * _TOP

    def ends(self, name: str) -> tuple[float, float, float]:
        """Left end, right end and height of a box or waypoint."""
        column = self.layout.column_of[name]
        left = self.left[column]
        return left, left + self.width[column], self.layout.middle[name] + _TOP


def genealogy_svg(  # noqa: PLR0913 - one argument for each thing that is drawn
    tree: Tree,
    *,
    title: str,
    head: tuple[int, str],
    at: str,
    judgements: Iterable[JudgementFact] = (),
    marked: str | None = None,
    for_sheet: bool = False,
    links: Callable[[tuple[str, ...]], str | None] | None = None,
) -> str:
    """Draw a walk.

    Args:
        tree: the walk; what is many and alike is drawn as one box with its count, first and last code.
        title: one line above the picture that says which question it answers.
        head: last journal sequence the walk saw, and its hash.
        at: when it was drawn, RFC 3339 with offset.
        judgements: the lab's judgements to mark on samples, stampers and lots.
        marked: the code with the heavy outline; None marks the root.
        for_sheet: put more into one box where its letters would be too small on a sheet of paper.
        links: for a page in a browser, where the box of some codes leads to; None for nowhere.

    Returns:
        A whole SVG that needs nothing else; the same input gives the same bytes.
    """
    judged = list(judgements)
    family = family_of(tree, judged)
    sheet = _sheet(family, _GAP)
    if for_sheet and not sheet.fits:
        tree = with_cartons_in_pallets(tree)
        family, sheet = _closer(tree, judged)
    notes = _notes(family, sheet.layout, tree)
    # The question above a small family can be wider than the family.
    width = max(sheet.right, svg.text_width(title, 14) + 2 * _MARGIN)
    notes = [
        line for note in [*notes, imprint(head, at)] for line in svg.broken(note, width - 2 * _MARGIN, 11)
    ]
    below = _TOP + sheet.layout.height + 2 * _LINE_HEIGHT
    parts = [
        svg.text(_MARGIN, 22, title, font_size=14, font_weight="bold"),
        *_drawn_lines(family, sheet),
        *(
            _led(
                drawn(box, sheet.frames[key], *_corner(sheet, key), is_root=key == (marked or tree.root)),
                None if links is None else links(box.codes),
            )
            for key, box in family.boxes.items()
        ),
        *svg.paragraph(_MARGIN, below, notes, font_size=11),
    ]
    return svg.picture(width, below + _LINE_HEIGHT * len(notes), title, parts, is_linked=links is not None)


def _led(box: str, address: str | None) -> str:
    return box if address is None else svg.linked(address, box)


def _closer(tree: Tree, judged: Sequence[JudgementFact]) -> tuple[Family, _Sheet]:
    """The picture with the most boxes that fits a sheet; the one with the fewest if none does."""
    for most in _CLOSER:
        family = family_of(tree, judged, most=most)
        sheet = _sheet(family, _NARROW_GAP)
        if sheet.fits:
            break
    return family, sheet


def _sheet(family: Family, gap: float) -> _Sheet:
    frames = {key: frame_of(box) for key, box in family.boxes.items()}
    layout = arrange(
        {key: frame.height for key, frame in frames.items()},
        [(line.parent, line.child) for line in family.lines],
    )
    widths = tuple(max(frames[key].width for key in column) for column in layout.columns)
    # Boxes of a column share its width, so that its edges line up.
    frames = {key: replace(frame, width=widths[layout.column_of[key]]) for key, frame in frames.items()}
    left = [_MARGIN]
    for width in widths[:-1]:
        left.append(left[-1] + width + gap)
    return _Sheet(layout, frames, tuple(left), widths, gap)


def _corner(sheet: _Sheet, key: str) -> tuple[float, float]:
    left, _, middle = sheet.ends(key)
    return left, middle - sheet.frames[key].height / 2


def _drawn_lines(family: Family, sheet: _Sheet) -> Iterable[str]:
    circles = set(sheet.layout.circles)
    for line in family.lines:
        if (line.parent, line.child) in circles:
            yield _bow(sheet, line.parent, line.child)
            continue
        chain = [line.parent, *sheet.layout.routes[line.parent, line.child], line.child]
        style: dict[str, str | float] = {"stroke": svg.FAINT, "stroke_width": 1.2}
        if line.ended:
            style["stroke_dasharray"] = "5 4"
        if family.boxes[line.child].verdict == BAD:
            style |= {"stroke": svg.ACCENT, "stroke_width": 2.5}
        yield svg.path(_curve(sheet, chain), **style)


def _curve(sheet: _Sheet, chain: list[str]) -> str:
    """From the right of one box, level through every waypoint's column, to the left of the next."""
    _, x, y = sheet.ends(chain[0])
    data = f"M{x:.1f},{y:.1f}"
    for name in chain[1:]:
        left, right, middle = sheet.ends(name)
        # Bends lie in the gap between columns, where no box stands.
        bend = left - sheet.gap / 2
        data += f"H{left - sheet.gap:.1f}C{bend:.1f},{y:.1f} {bend:.1f},{middle:.1f} {left:.1f},{middle:.1f}"
        if name != chain[-1]:
            data += f"H{right:.1f}"
        y = middle
    return data


def _bow(sheet: _Sheet, start: str, end: str) -> str:
    """A line that closes a circle: dotted, under the boxes."""
    left, right, y = sheet.ends(start)
    other_left, other_right, other_y = sheet.ends(end)
    x, other_x = (left + right) / 2, (other_left + other_right) / 2
    low = max(y, other_y) + 60
    data = f"M{x:.1f},{y:.1f}C{x:.1f},{low:.1f} {other_x:.1f},{low:.1f} {other_x:.1f},{other_y:.1f}"
    return svg.path(data, stroke=svg.ACCENT, stroke_width=2, stroke_dasharray="1 4")


def _notes(family: Family, layout: LayeredBoxes, tree: Tree) -> list[str]:
    notes: list[str] = []
    if len(family.boxes) == 1:
        notes.append("No link found in the records.")
    if family.collapsed:
        notes.append("A box with a count stands for several items; the table lists each of them.")
    if any(line.ended for line in family.lines):
        notes.append("Broken line: was there and was taken out again.")
    if layout.circles:
        notes.append(
            "Dotted line: according to the records this leads back to itself, which is impossible. Find out why."
        )
    if tree.conflicts:
        said = counted(len(tree.conflicts), "recorded movement")
        notes.append(f"{said} cannot be true together with the others; the table beside says which.")
    return notes

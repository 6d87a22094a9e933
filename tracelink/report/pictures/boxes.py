"""One box of a family tree: its shape says the kind to the eye, its heading says it in words."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from tracelink.report.format import svg
from tracelink.report.pictures.family import Box
from tracelink.report.pictures.family_samples import BAD, GOOD, UNJUDGED

_PAD_X = 16.0
_PAD_Y = 7.0
_HEADING, _NAME, _NOTE = 12, 12, 10.5
_LINE = 14.0
_WIDEST_NOTE = 190.0
_MARK = 5.0
_ON_HOLD = "on hold:"
_MOST_LINES = 4
"""Of one note in a box; more make a box that no page has room for (own trial with long titles)."""


@dataclass(frozen=True, slots=True)
class Frame:
    """The room that a box takes, and its lines of text."""

    width: float
    """Pixels."""
    height: float
    """Pixels."""
    heading: str
    """The first line."""
    names: tuple[str, ...]
    """Lines in the code font."""
    notes: tuple[str, ...]
    """Small lines, broken to the width."""


def frame_of(box: Box) -> Frame:
    """Measure a box. Codes are never broken; notes are, between words."""
    said = box.verdict or ("cleared" if box.is_cleared else "")
    heading = f"{box.heading}: {said}" if said else box.heading
    notes = tuple(line for note in box.notes for line in _few(svg.broken(note, _WIDEST_NOTE, _NOTE)))
    widths = [svg.text_width(heading, _HEADING) + (4 * _MARK if box.verdict else 0)]
    widths += [svg.text_width(name, _NAME, mono=True) for name in box.names]
    widths += [svg.text_width(note, _NOTE) for note in notes]
    height = _LINE * (1 + len(box.names) + len(notes)) + 2 * _PAD_Y
    return Frame(max(widths) + 2 * _PAD_X, height, heading, box.names, notes)


def _few(lines: list[str]) -> list[str]:
    """The first lines of a long note: a title may be a sentence, and the tables have it in full."""
    return lines if len(lines) <= _MOST_LINES else [*lines[: _MOST_LINES - 1], f"{lines[_MOST_LINES - 1]} …"]


def drawn(box: Box, frame: Frame, x: float, y: float, *, is_root: bool) -> str:
    """Draw a box with its upper left corner at (x, y); the root of the tree has a heavy outline."""
    weight = 2.5 if is_root else 1.2
    colour = svg.ACCENT if box.verdict == BAD else svg.INK
    if box.verdict == BAD:
        weight = 2.5
    elif box.is_cleared:
        colour, weight = svg.FAINT, 0.8
    shape = _SHAPES.get(box.kind, _plain)(x, y, frame.width, frame.height)
    style: dict[str, str | float] = {"stroke": colour, "stroke_width": weight, "fill": "#FFFFFF"}
    if box.kind in {"scrap", "counter", "place"}:
        style["stroke_dasharray"] = "3 3"
    parts = [svg.path(shape, **style)]
    if len(box.codes) > 1:
        # A second sheet peeps out behind: this is a stack of things.
        behind = _SHAPES.get(box.kind, _plain)(x + 4, y + 4, frame.width, frame.height)
        parts.insert(0, svg.path(behind, **style))
    left, base = x + _PAD_X, y + _PAD_Y + 11
    parts.append(svg.text(left, base, frame.heading, font_size=_HEADING, font_weight="bold"))
    parts += _marked(box.verdict, x + frame.width - _PAD_X - _MARK, base - 4)
    for name in frame.names:
        base += _LINE
        parts.append(svg.text(left, base, name, font_size=_NAME, font_family=svg.MONO))
    for note in frame.notes:
        base += _LINE
        weighty = {"font_weight": "bold"} if BAD in note.split() or _ON_HOLD in note else {}
        parts.append(svg.text(left, base, note, font_size=_NOTE, **weighty))
    return "".join(parts)


def _marked(verdict: str, x: float, y: float) -> list[str]:
    if verdict == BAD:
        return [svg.cross(x, y, _MARK)]
    if verdict == GOOD:
        return [svg.ring(x, y, _MARK)]
    return [svg.text(x - 3, y + 4, "?", font_weight="bold")] if verdict == UNJUDGED else []


def _plain(x: float, y: float, width: float, height: float) -> str:
    return f"M{x:.1f},{y:.1f}h{width:.1f}v{height:.1f}h{-width:.1f}z"


def _tool(x: float, y: float, width: float, height: float) -> str:
    """Round ends: a tool is a disc of metal."""
    r = min(14.0, height / 2)
    return (
        f"M{x + r:.1f},{y:.1f}h{width - 2 * r:.1f}a{r:.1f},{r:.1f} 0 0 1 {r:.1f},{r:.1f}v{height - 2 * r:.1f}"
        f"a{r:.1f},{r:.1f} 0 0 1 {-r:.1f},{r:.1f}h{2 * r - width:.1f}a{r:.1f},{r:.1f} 0 0 1 {-r:.1f},{-r:.1f}"
        f"v{2 * r - height:.1f}a{r:.1f},{r:.1f} 0 0 1 {r:.1f},{-r:.1f}z"
    )


def _lot(x: float, y: float, width: float, height: float) -> str:
    """A double outline: everything after it is of this lot."""
    return _plain(x, y, width, height) + _plain(x + 4, y + 4, width - 8, height - 8)


def _spindle(x: float, y: float, width: float, height: float) -> str:
    """A base plate."""
    return (
        _plain(x, y, width, height) + f"M{x - 5:.1f},{y + height:.1f}h{width + 10:.1f}v3h{-width - 10:.1f}z"
    )


def _sample(x: float, y: float, width: float, height: float) -> str:
    """Pointed ends."""
    tip = 9.0
    return (
        f"M{x + tip:.1f},{y:.1f}h{width - 2 * tip:.1f}l{tip:.1f},{height / 2:.1f}l{-tip:.1f},{height / 2:.1f}"
        f"h{2 * tip - width:.1f}l{-tip:.1f},{-height / 2:.1f}z"
    )


def _pallet(x: float, y: float, width: float, height: float) -> str:
    """Feet."""
    feet = "".join(
        f"M{x + at * width:.1f},{y + height:.1f}v6h{0.14 * width:.1f}v-6" for at in (0.04, 0.43, 0.82)
    )
    return _plain(x, y, width, height) + feet


def _shipment(x: float, y: float, width: float, height: float) -> str:
    """An arrow: it leaves."""
    tip = 12.0
    return f"M{x:.1f},{y:.1f}h{width - tip:.1f}l{tip:.1f},{height / 2:.1f}l{-tip:.1f},{height / 2:.1f}h{tip - width:.1f}z"


def _carton(x: float, y: float, width: float, height: float) -> str:
    """A flap."""
    return _plain(x, y, width, height) + f"M{x:.1f},{y + 5:.1f}h{width:.1f}"


def _material(x: float, y: float, width: float, height: float) -> str:
    """A cut corner: pellets, labels and sleeves come from outside."""
    cut = 9.0
    return f"M{x:.1f},{y:.1f}h{width - cut:.1f}l{cut:.1f},{cut:.1f}v{height - cut:.1f}h{-width:.1f}z"


_SHAPES: dict[str, Callable[[float, float, float, float], str]] = {
    **dict.fromkeys(("lacquer", "copper", "father", "mother", "stamper"), _tool),
    **dict.fromkeys(("compound", "label", "sleeve-batch"), _material),
    "lot": _lot,
    "spindle": _spindle,
    "sample": _sample,
    "carton": _carton,
    "pallet": _pallet,
    "shipment": _shipment,
}

"""The pictures of this room on a sheet of a PDF: the same elements, drawn as lines and text and not as pixels.

It draws what svg.py makes and nothing else: rectangles, lines, circles, paths and text. An element or a path
command that it does not know is a fault of this program and raises, so that no part of a picture goes missing.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from math import atan2, degrees, hypot, sqrt
from typing import Any
from xml.etree.ElementTree import Element, fromstring

from reportlab.lib.colors import HexColor
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable

from tracelink.report.format import svg
from tracelink.report.format.pdf_text import BOLD, MONO, RUNNING, FontRun, Setter, width_of

_POINTS = 0.75
"""A pixel is 1/96 inch, a point 1/72."""

_LETTERS, _RIM = 0, 1
"""How text is painted: filled, or as an outline (PDF 32000-1, table 106)."""

_TOKEN = re.compile(r"([A-Za-z])|(-?[0-9]+(?:\.[0-9]+)?)")
_NAMESPACE = "{http://www.w3.org/2000/svg}"
_COUNTS = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "A": 7, "Z": 0}


class SvgFlowable(Flowable):  # type: ignore[misc]  # reportlab ships no types
    """A picture in the flow of a document, made smaller where it would not fit the sheet.

    Args:
        picture: an SVG of this room.
        setter: sets its text; asked at once, so that what it cannot print is known before the sheets are made.
        tallest: points that it may be high.
    """

    def __init__(self, picture: str, setter: Setter, tallest: float) -> None:
        super().__init__()
        # Only pictures of this room come here; they hold no entity, and every text in them is escaped.
        self._root = fromstring(picture)  # noqa: S314
        self._setter = setter
        self._tallest = tallest
        self._width, self._height = float(self._root.get("width", 0)), float(self._root.get("height", 0))
        self._scale = _POINTS
        for element in self._root.iter(f"{_NAMESPACE}text"):
            setter.runs(element.text or "", RUNNING, shown=True)

    def wrap(self, width: float, _height: float) -> tuple[float, float]:
        """The room it takes; not less because a sheet is nearly full, as it then goes to the next one."""
        self._scale = min(_POINTS, width / self._width, self._tallest / self._height)
        return self._width * self._scale, self._height * self._scale

    def draw(self) -> None:
        """Draw every element, the lowest first."""
        canvas = self.canv
        canvas.saveState()
        canvas.scale(self._scale, self._scale)
        # From here on as in SVG: the origin in the upper left corner, y downwards.
        canvas.transform(1, 0, 0, -1, 0, self._height)
        for element in self._root:
            name = element.tag.removeprefix(_NAMESPACE)
            if name != "title":
                self._drawn(canvas, name, element)
        canvas.restoreState()

    def _drawn(self, canvas: Canvas, name: str, element: Element) -> None:
        if name == "text":
            self._text(canvas, element)
            return
        canvas.saveState()
        fill, stroke = _style(canvas, element)
        _SHAPES[name](canvas, element, {"fill": int(fill), "stroke": int(stroke)})
        canvas.restoreState()

    def _text(self, canvas: Canvas, element: Element) -> None:
        size = float(element.get("font-size", 12))
        font = BOLD if element.get("font-weight") == "bold" else RUNNING
        if element.get("font-family") == svg.MONO:
            font = MONO
        runs = self._setter.runs(element.text or "", font, shown=True)
        part = {"middle": 0.5, "end": 1.0}.get(element.get("text-anchor", ""), 0.0)
        x = float(element.get("x", 0)) - part * width_of(runs, size)
        canvas.saveState()
        canvas.translate(x, float(element.get("y", 0)))
        canvas.scale(1, -1)
        if element.get("stroke", "none") != "none":
            # The rim that keeps letters readable where a line passes behind them: under the letters, not over.
            canvas.saveState()
            canvas.setStrokeColor(HexColor(element.get("stroke")))
            canvas.setLineWidth(float(element.get("stroke-width", 1)))
            _say(canvas, runs, size, _RIM)
            # How text is painted outlives its object; without this the letters would be a rim as well.
            canvas.restoreState()
        _say(canvas, runs, size, _LETTERS)
        canvas.restoreState()


def _say(canvas: Canvas, runs: list[FontRun], size: float, mode: int) -> None:
    line = canvas.beginText(0, 0)
    line.setTextRenderMode(mode)
    for run in runs:
        line.setFont(run.font, size)
        line.textOut(run.text)
    canvas.drawText(line)


def _style(canvas: Canvas, element: Element) -> tuple[bool, bool]:
    """Set colours and lines; return whether it is filled and whether it has an outline."""
    fill, stroke = element.get("fill", svg.INK), element.get("stroke", "none")
    if fill != "none":
        canvas.setFillColor(HexColor(fill))
    if stroke != "none":
        canvas.setStrokeColor(HexColor(stroke))
    canvas.setLineWidth(float(element.get("stroke-width", 1)))
    dashes = element.get("stroke-dasharray")
    if dashes:
        canvas.setDash([float(one) for one in dashes.split()])
    return fill != "none", stroke != "none"


def _numbers(element: Element, *names: str) -> Iterator[float]:
    for name in names:
        yield float(element.get(name, 0))


def _rect(canvas: Canvas, element: Element, how: dict[str, int]) -> None:
    canvas.rect(*_numbers(element, "x", "y", "width", "height"), **how)


def _line(canvas: Canvas, element: Element, how: dict[str, int]) -> None:
    if how["stroke"]:
        canvas.line(*_numbers(element, "x1", "y1", "x2", "y2"))


def _circle(canvas: Canvas, element: Element, how: dict[str, int]) -> None:
    canvas.circle(*_numbers(element, "cx", "cy", "r"), **how)


def _path(canvas: Canvas, element: Element, how: dict[str, int]) -> None:
    pen = _PathPen(canvas.beginPath())
    for command, numbers in _commands(element.get("d", "")):
        pen.go(command, numbers)
    canvas.drawPath(pen.path, **how)


_SHAPES: dict[str, Callable[[Canvas, Element, dict[str, int]], None]] = {
    "rect": _rect,
    "line": _line,
    "circle": _circle,
    "path": _path,
}


def _commands(data: str) -> Iterator[tuple[str, list[float]]]:
    """The commands of a path, each with its numbers; a letter may be followed by several sets."""
    command, numbers = "", list[float]()
    for letter, number in _TOKEN.findall(data):
        if letter:
            command = letter
            if command in "Zz":
                yield command, []
            continue
        numbers.append(float(number))
        if len(numbers) == _COUNTS[command.upper()]:
            yield command, numbers
            numbers = []


class _PathPen:
    """Follows a path; lower-case commands count from where the pen is."""

    def __init__(self, path: Any) -> None:
        self.path = path
        self._x = self._y = 0.0
        self._start = (0.0, 0.0)

    def go(self, command: str, numbers: list[float]) -> None:
        if command in "Zz":
            self.path.close()
            self._x, self._y = self._start
            return
        letter = command.upper()
        if command.islower():
            numbers = self._absolute(letter, numbers)
        if letter == "A":
            self._arc(numbers)
        elif letter == "C":
            self.path.curveTo(*numbers)
        elif letter == "M":
            self.path.moveTo(*numbers)
        elif letter in "LHV":
            numbers = {"L": numbers, "H": [numbers[0], self._y], "V": [self._x, numbers[0]]}[letter]
            self.path.lineTo(*numbers)
        self._x, self._y = numbers[-2:]
        if letter == "M":
            self._start = (self._x, self._y)

    def _absolute(self, letter: str, numbers: list[float]) -> list[float]:
        if letter == "H":
            return [numbers[0] + self._x]
        if letter == "V":
            return [numbers[0] + self._y]
        if letter == "A":
            return [*numbers[:5], numbers[5] + self._x, numbers[6] + self._y]
        return [number + (self._y if place % 2 else self._x) for place, number in enumerate(numbers)]

    def _arc(self, numbers: list[float]) -> None:
        """A part of a circle, less than half of it, clockwise as the eye sees it: all that boxes need.

        Source: SVG 1.1, appendix F.6.5, from the ends of an arc to its centre, for equal radii.
        """
        radius, _, _, large, sweep, x, y = numbers
        if large or not sweep:
            raise ValueError(f"arc with flags {large:g} {sweep:g}: expected 0 1")
        dx, dy = (x - self._x) / 2, (y - self._y) / 2
        half = hypot(dx, dy)
        up = sqrt(max(0.0, radius**2 - half**2)) / half
        cx, cy = self._x + dx - up * dy, self._y + dy + up * dx
        begin = degrees(atan2(self._y - cy, self._x - cx))
        extent = (degrees(atan2(y - cy, x - cx)) - begin) % 360
        self.path.arcTo(cx - radius, cy - radius, cx + radius, cy + radius, begin, extent)

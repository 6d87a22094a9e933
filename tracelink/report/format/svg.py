"""A little SVG: elements as text, escaped once and here.

Numbers are rounded to a tenth of a pixel, so that the same records give the same bytes. No element needs an
`id`, so that several pictures can stand in one page; patterns are therefore drawn line by line.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from html import escape

from tracelink.report.format.plain import visible

INK = "#000000"
"""Everything but the accent."""

ACCENT = "#D55E00"
"""The one accent: vermillion of the colour-blind-safe set. Source: Okabe and Ito (2008), Color Universal Design."""

ACCENT_TEXT = "#A84300"
"""The accent for letters: 6.1 : 1 against white, where the accent itself has 3.9 (WCAG 2.2, 1.4.3 asks for 4.5)."""

FAINT = "#767676"
"""Lines that only guide the eye; 4.5 : 1 against white, so they still print."""

SANS = "Helvetica, Arial, 'DejaVu Sans', 'Liberation Sans', sans-serif"
"""Fonts that a reader's machine has; none is fetched."""

MONO = "'DejaVu Sans Mono', 'Liberation Mono', Menlo, Consolas, monospace"
"""For codes: 0 and O, 1 and l differ."""

_HATCH_STEP = 4.0


def el(name: str, attributes: dict[str, str | float], *inside: str) -> str:
    """One element.

    Args:
        name: the tag.
        attributes: `_` in a name becomes `-`; values are escaped, numbers rounded.
        inside: elements or already escaped text.
    """
    shown = "".join(
        f' {key.replace("_", "-")}="{escape(_value(value), quote=True)}"' for key, value in attributes.items()
    )
    return f"<{name}{shown}>{''.join(inside)}</{name}>" if inside else f"<{name}{shown}/>"


def text(x: float, y: float, words: str, **attributes: str | float) -> str:
    """A line of text with its baseline at `y`; scanned characters are made visible and escaped."""
    return el("text", {"x": x, "y": y, **attributes}, escape(visible(words)))


def rect(x: float, y: float, width: float, height: float, **attributes: str | float) -> str:
    """A rectangle; outlined in ink and filled white unless told otherwise."""
    style: dict[str, str | float] = {"fill": "#FFFFFF", "stroke": INK, **attributes}
    return el("rect", {"x": x, "y": y, "width": width, "height": height, **style})


def line(x1: float, y1: float, x2: float, y2: float, **attributes: str | float) -> str:
    """A straight line in ink unless told otherwise."""
    return el("line", {"x1": x1, "y1": y1, "x2": x2, "y2": y2, "stroke": INK, **attributes})


def path(data: str, **attributes: str | float) -> str:
    """A path in ink without filling unless told otherwise."""
    style: dict[str, str | float] = {"fill": "none", "stroke": INK, **attributes}
    return el("path", {"d": data, **style})


def hatched(x: float, y: float, width: float, height: float) -> str:
    """A rectangle with upright lines: told from a full and an empty one in grey as well as in colour."""
    count = int(width / _HATCH_STEP)
    marks = "".join(
        f"M{_value(x + (number + 1) * width / (count + 1))},{_value(y)}v{_value(height)}"
        for number in range(count)
    )
    inside = path(marks, stroke=ACCENT, stroke_width=1) if marks else ""
    return rect(x, y, width, height, stroke=ACCENT) + inside


def full(x: float, y: float, width: float, height: float) -> str:
    """A rectangle filled with the accent."""
    return rect(x, y, width, height, fill=ACCENT, stroke=ACCENT)


def cross(x: float, y: float, size: float) -> str:
    """A bad disc: two strokes of the accent."""
    arms = f"M{_value(x - size)},{_value(y - size)}L{_value(x + size)},{_value(y + size)}"
    arms += f"M{_value(x - size)},{_value(y + size)}L{_value(x + size)},{_value(y - size)}"
    return path(arms, stroke=ACCENT, stroke_width=3)


def ring(x: float, y: float, radius: float) -> str:
    """A good disc: a ring."""
    return el(
        "circle", {"cx": x, "cy": y, "r": radius, "fill": "#FFFFFF", "stroke": INK, "stroke_width": 1.5}
    )


def linked(address: str, *inside: str) -> str:
    """Elements that lead somewhere: for pages in a browser only, as no sheet of paper knows them.

    Args:
        address: where to.
        inside: the elements; their text is what the link is called.
    """
    return el("a", {"href": address}, *inside)


def picture(width: float, height: float, name: str, parts: Iterable[str], *, is_linked: bool = False) -> str:
    """A whole picture that stands alone or in a page.

    Args:
        width: in pixels.
        height: in pixels.
        name: what it shows, for readers who cannot see it.
        parts: its elements, the lowest first.
        is_linked: true if some of them are links, which readers who cannot see it must reach one by one.
    """
    attributes: dict[str, str | float] = {
        "xmlns": "http://www.w3.org/2000/svg",
        "width": width,
        "height": height,
        "viewBox": f"0 0 {_value(width)} {_value(height)}",
        "role": "group" if is_linked else "img",
        "aria_label": visible(name),
        "font_family": SANS,
        "font_size": 12,
        "fill": INK,
    }
    ground = rect(0, 0, width, height, stroke="none")
    title = el("title", {}, escape(visible(name)))
    return el("svg", attributes, title, ground, *parts) + "\n"


def text_width(words: str, size: float = 12, *, mono: bool = False) -> float:
    """How wide a text is at most, near enough, in any of the fonts above.

    The widest of them is DejaVu. Measured on its font files: 0.602 of the size for every character of the code
    font; in the bold running font 0.64 on average for small letters, 0.70 for digits, 0.75 for capitals, and
    0.57 to 0.60 for whole sentences, as spaces are narrow. Wide characters of East Asia take a whole size.

    Returns:
        Pixels.
    """
    shown = visible(words)
    wide = sum(unicodedata.east_asian_width(character) in "WF" for character in shown)
    if mono:
        return size * (0.602 * (len(shown) - wide) + wide)
    capitals = sum(character.isupper() for character in shown)
    return size * (0.64 * (len(shown) - wide - capitals) + 0.75 * capitals + wide)


def broken(words: str, width: float, size: float = 12) -> list[str]:
    """Break running text into lines that fit, between words; a word wider than that keeps a line to itself."""
    lines: list[str] = []
    # Not at the narrow spaces inside a number, which `split()` would take for ends of words.
    for word in filter(None, words.split(" ")):
        if lines and text_width(f"{lines[-1]} {word}", size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def paragraph(x: float, y: float, lines: Sequence[str], **attributes: str | float) -> list[str]:
    """Lines of text, 15 pixels apart, the first with its baseline at `y`."""
    return [text(x, y + 15 * number, words, **attributes) for number, words in enumerate(lines)]


def _value(value: str | float) -> str:
    if isinstance(value, str):
        return value
    return f"{value:.1f}".removesuffix(".0")

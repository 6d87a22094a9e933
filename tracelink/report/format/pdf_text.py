"""Text on its way into a PDF: fonts that travel with the program, and no character that turns into a box.

Three fonts come with libraries that are installed anyway, so that a document looks and measures the same on every
machine: Bitstream Vera and its bold (with reportlab) for running text, DejaVu Sans Mono (with the barcode library),
which was made to go with them, for codes and for what Vera lacks: Greek, Cyrillic and most of accented Latin. What
neither has, and what is written from right to left, which this way of setting text would turn round, is shown by
its number; the document then says which characters those are.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from html import escape
from pathlib import Path

import reportlab
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from tracelink.printing.lettering import FACE
from tracelink.report.format.plain import visible

RUNNING = "RunoutRunning"
"""Running text."""

BOLD = "RunoutBold"
"""What must not be overlooked."""

MONO = "RunoutMono"
"""Codes: 0 and O, 1 and l differ."""

_FOLDER = Path(reportlab.__file__).parent / "fonts"
_FILES = {RUNNING: _FOLDER / "Vera.ttf", BOLD: _FOLDER / "VeraBd.ttf", MONO: FACE}
_RIGHT_TO_LEFT = frozenset({"R", "AL", "RLE", "RLO", "RLI"})
_SAME_WIDTH = str.maketrans({"\u202f": "\u00a0"})
"""The narrow space between groups of digits is in neither font; a space that does not break is."""


@dataclass(frozen=True, slots=True)
class FontRun:
    """Characters of one font."""

    font: str
    """Its name."""
    text: str
    """The characters."""


class Setter:
    """Divides text into runs, and remembers what it had to show by number."""

    def __init__(self) -> None:
        _register()
        self._widths: dict[tuple[str, str, float], float] = {}
        self.replaced: dict[str, None] = {}
        """The characters that are in no font, in the order they were met."""

    def runs(self, words: str, font: str, *, shown: bool = False) -> list[FontRun]:
        """Divide a text.

        Args:
            words: the text.
            font: what to set it in where that has the character.
            shown: whether control characters are shown by their numbers already, as in pictures: a second time
                would double the backslashes.
        """
        if words.isascii() and words.isprintable() and (shown or "\\" not in words):
            # Most text of a document; every font has it.
            return [FontRun(font, words)] if words else []
        found: list[FontRun] = []
        plain = words if shown else visible(words)
        for character in unicodedata.normalize("NFC", plain).translate(_SAME_WIDTH):
            for run in self._set(character, font):
                if found and found[-1].font == run.font:
                    found[-1] = FontRun(run.font, found[-1].text + run.text)
                else:
                    found.append(run)
        return found

    def _set(self, character: str, font: str) -> Iterator[FontRun]:
        wanted = next((name for name in (font, MONO) if ord(character) in _glyphs(name)), None)
        if wanted is None or unicodedata.bidirectional(character) in _RIGHT_TO_LEFT:
            self.replaced[character] = None
            number = ord(character)
            yield FontRun(font, f"\\u{number:04x}" if number < 0x10000 else f"\\U{number:08x}")
        else:
            yield FontRun(wanted, character)

    def markup(self, words: str, font: str, *, shown: bool = False) -> str:
        """The text as markup of a paragraph, with everything escaped; see `runs`."""
        return "".join(
            escape(run.text, quote=False)
            if run.font == font
            else f'<font name="{run.font}">{escape(run.text, quote=False)}</font>'
            for run in self.runs(words, font, shown=shown)
        )

    def width(self, words: str, font: str, size: float) -> float:
        """How wide a text is, in points; the cells of a long table say the same again and again."""
        key = (words, font, size)
        if key not in self._widths:
            self._widths[key] = width_of(self.runs(words, font), size)
        return self._widths[key]

    def sentence(self) -> str:
        """Which characters were shown by number; empty if none was."""
        if not self.replaced:
            return ""
        names = ", ".join(
            f"\\u{ord(one):04x} ({unicodedata.name(one, 'without a name')})" for one in self.replaced
        )
        return f"Characters that this PDF cannot print stand as their numbers; the page (--html) shows them: {names}."


def width_of(runs: Iterable[FontRun], size: float) -> float:
    """How wide runs are, in points."""
    return float(sum(pdfmetrics.stringWidth(run.text, run.font, size) for run in runs))


@cache
def _glyphs(font: str) -> frozenset[int]:
    _register()
    return frozenset(pdfmetrics.getFont(font).face.charToGlyph)


@cache
def _register() -> None:
    for name, file in _FILES.items():
        pdfmetrics.registerFont(TTFont(name, str(file)))
    pdfmetrics.registerFontFamily(RUNNING, normal=RUNNING, bold=BOLD, italic=RUNNING, boldItalic=BOLD)

"""Text on labels: one monospaced face, sized by the height of its capitals.

Monospaced because codes are compared by eye, character under character; and because the face comes with the
barcode library, so that a label looks the same on every machine, with no font installed.
"""

import functools
import math
import textwrap
from dataclasses import dataclass
from importlib.resources import files

from PIL import Image, ImageDraw, ImageFont

from tracelink.errors import UsageError
from tracelink.printing.sizes import whole_dots

_CAPITAL = 1493 / 2048
"""Height of a capital in DejaVu Sans Mono, as part of the type size (OS/2 table of the font file)."""

_ABOVE = 0.3
_BELOW = 0.35
"""Room for the accent on a capital and for descenders, in heights of a capital."""

_NO_CHARACTER = "\U0010ffff"


FACE = files("barcode") / "fonts" / "DejaVuSansMono.ttf"
"""The one face of all labels."""


@dataclass(frozen=True, slots=True)
class TextLine:
    """One line of text in its place, in dots."""

    text: str
    left: int
    baseline: int
    """Where the letters stand, from the top."""
    width: int
    """Pixels from the left edge of the first letter to the right edge of the last."""
    size: int
    """Type size."""


@dataclass(frozen=True, slots=True)
class Lettering:
    """Text of one size for one printer."""

    letter_mm: float
    """Height of a capital."""

    dpi: int
    """Dots per inch of the printer."""

    @property
    def line_dots(self) -> int:
        """Height of one line, with room for accents and descenders."""
        return whole_dots(self.letter_mm * (_ABOVE + 1 + _BELOW), self.dpi)

    def width(self, text: str) -> int:
        """Return how many dots wide one line of text is."""
        return _width(text, self._size)

    def wrap(self, text: str, room: int, lines: int) -> list[str] | None:
        """Break text at spaces into at most `lines` lines of at most `room` dots; None if it does not fit."""
        # A character's advance need not be whole dots, so a long line can be off by more than one of them.
        characters = int(room / _advance(self._size))
        if characters < 1:
            return None
        wrapped = textwrap.wrap(text, characters, break_long_words=False, break_on_hyphens=False)
        fits = len(wrapped) <= lines and all(self.width(line) <= room for line in wrapped)
        return wrapped if fits else None

    def shorten(self, text: str, room: int, lines: int) -> list[str] | None:
        """Like `wrap`, but a text too long visibly loses its end to "..."; None if not even that fits."""
        for end in range(len(text), 0, -1):
            kept = text if end == len(text) else text[:end].rstrip() + "..."
            wrapped = self.wrap(kept, room, lines)
            if wrapped is not None:
                return wrapped
        return None

    def words(self, text: str, left: int, top: int) -> TextLine:
        """Return one line of text in its place; left and top are those of the line's box, in dots."""
        baseline = top + whole_dots(self.letter_mm * (_ABOVE + 1), self.dpi)
        return TextLine(text, left, baseline, self.width(text), self._size)

    @property
    def _size(self) -> int:
        return max(1, round(whole_dots(self.letter_mm, self.dpi) / _CAPITAL))


@functools.cache
def _advance(size: int) -> float:
    """Return how far one letter is from the next, in dots; need not be whole."""
    return _face(size).getlength("0")


@functools.lru_cache(maxsize=1024)
def _width(text: str, size: int) -> int:
    return math.ceil(_face(size).getlength(text))


def write_words(image: Image.Image, words: TextLine, left: int, top: int) -> None:
    """Write words in black on a 1-bit picture; left and top are the corner of the part they belong to."""
    ink = _line_ink(words.text, words.size)
    image.paste(0, (left + words.left + ink.left, top + words.baseline + ink.top), ink.dots)


@dataclass(frozen=True, slots=True)
class _Ink:
    """Letters as dots, and where they are from the point on the baseline at which they begin."""

    dots: Image.Image
    """1 bit a dot, 1 is black."""
    left: int
    top: int


@functools.lru_cache(maxsize=32)
def _line_ink(text: str, size: int) -> _Ink:
    """Return a line; most lines of a label stand on the next one too."""
    if not text.isascii():
        # Marks that stand over a letter, and scripts that run to the left, are not letters one beside the other.
        return _drawn(text, size)
    advance = _advance(size)
    placed = [
        (math.floor(place * advance + 0.5) + ink.left, ink)
        for place, letter in enumerate(text)
        if (ink := _letter_ink(letter, size))
    ]
    left = min((at for at, _ in placed), default=0)
    top = min((ink.top for _, ink in placed), default=0)
    right = max((at + ink.dots.width for at, ink in placed), default=1)
    bottom = max((ink.top + ink.dots.height for _, ink in placed), default=1)
    dots = Image.new("1", (right - left, bottom - top), 0)
    for at, ink in placed:
        dots.paste(1, (at - left, ink.top - top), ink.dots)
    return _Ink(dots, left, top)


@functools.lru_cache(maxsize=512)
def _letter_ink(letter: str, size: int) -> _Ink | None:
    return None if letter == " " else _drawn(letter, size)


def _drawn(text: str, size: int) -> _Ink:
    left, top, right, bottom = (round(side) for side in _face(size).getbbox(text, mode="1", anchor="ls"))
    dots = Image.new("1", (max(1, right - left), max(1, bottom - top)), 0)
    ImageDraw.Draw(dots).text((-left, -top), text, font=_face(size), fill=1, anchor="ls")
    return _Ink(dots, left, top)


def require_printable(text: str, place: str) -> None:
    """Raise UsageError if the face has no glyph for a character: an empty box on a label says nothing.

    Args:
        text: what is to be printed.
        place: where, for the sentence.
    """
    for character in text:
        if not _has_glyph(character):
            raise UsageError(
                f"{place}: {text!r} cannot be printed: the labels' type has no character {character!r}."
            )


@functools.lru_cache(maxsize=1024)
def _has_glyph(character: str) -> bool:
    # Pillow does not list the glyphs of a font. A missing one is drawn as the box that stands for all of them.
    if character == " ":
        return True
    drawn = bytes(_face(32).getmask(character))
    return drawn not in {b"", bytes(_face(32).getmask(_NO_CHARACTER))}


@functools.lru_cache(maxsize=64)
def _face(size: int) -> ImageFont.FreeTypeFont:
    return ImageFont.truetype(str(FACE), size)

"""A document before it has a form: sections of blocks that the page and the PDF print alike.

What stands here is text and numbers and pictures as SVG; how large, in which font and on which sheet is for the
renderers. So the page and the PDF of the same document cannot say different things.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracelink.report.format.table import Table


@dataclass(frozen=True, slots=True)
class FactList:
    """Names and values, one under the other."""

    pairs: tuple[tuple[str, str], ...]
    """(name, value)."""


@dataclass(frozen=True, slots=True)
class BigFigures:
    """The few figures that answer the question, in large type, side by side."""

    figures: tuple[tuple[str, str], ...]
    """(figure, what it counts)."""


@dataclass(frozen=True, slots=True)
class TextBlock:
    """A paragraph."""

    text: str
    """Sentences."""


@dataclass(frozen=True, slots=True)
class FramedNote:
    """A paragraph in a frame: not to be overlooked."""

    text: str
    """Sentences."""
    loud: bool = False
    """True if somebody has to act on it."""


@dataclass(frozen=True, slots=True)
class Bullets:
    """Sentences one by one."""

    items: tuple[str, ...]
    """The sentences."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture; its table stands beside it."""

    svg: str
    """Made by this room, which escapes its own text."""
    told: str = ""
    """The same in words, for readers who cannot see it; the table beside it says the rest."""


@dataclass(frozen=True, slots=True)
class Ticks:
    """Empty boxes for a pen: nothing is chosen by the program."""

    title: str
    """Heading above the boxes."""
    items: tuple[str, ...]
    """One for each box."""


@dataclass(frozen=True, slots=True)
class Lines:
    """Empty lines for a pen."""

    names: tuple[str, ...]
    """Words before each line."""


Block = FactList | BigFigures | TextBlock | FramedNote | Bullets | Table | Picture | Ticks | Lines


@dataclass(frozen=True, slots=True)
class Section:
    """A heading with what belongs under it."""

    title: str
    """The heading."""
    blocks: tuple[Block, ...]
    """Blocks, in reading order."""
    fresh: bool = False
    """True if it begins a new sheet of paper."""


@dataclass(frozen=True, slots=True)
class Document:
    """The whole."""

    kind: str
    """What sort of document it is, for the line above the title."""
    title: str
    """The title."""
    imprint: str
    """Records and time that the document was made from, in short."""
    footer: str
    """The same in full, for the end of the page and the foot of every sheet."""
    sections: tuple[Section, ...]
    """Sections, in reading order."""

"""What the terminal can show: colours as far as it has them, blocks where its letters are not ASCII alone."""

import os
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from typing import TextIO


class Colours(Enum):
    """How a terminal is told a colour."""

    NONE = "none"
    SIXTEEN = "sixteen"
    PALETTE = "palette"
    TRUE = "true"


@dataclass(frozen=True, slots=True)
class Paint:
    """A ground and the letters on it, for every kind of terminal."""

    ground: tuple[int, int, int]
    ink: tuple[int, int, int]
    palette: tuple[int, int]
    """The nearest of 256 colours, ground and ink."""
    sixteen: tuple[int, int]
    """The nearest of 16 colours, as the numbers that set ground and ink."""


@dataclass(frozen=True, slots=True)
class Terminal:
    """What is known of the terminal at the output."""

    colours: Colours
    dumb: bool
    """It takes no instruction at all: lines of text only."""
    blocks: bool
    """It shows block characters."""

    def painted(self, text: str, paint: Paint, *, reverse: bool) -> str:
        """Return a text on its ground; without colours a reversed one is light on dark turned round."""
        if self.dumb or not text:
            return text
        if self.colours is Colours.NONE:
            return f"\x1b[7m{text}\x1b[0m" if reverse else text
        return f"{_on(self.colours, paint)}{text}\x1b[0m"

    def bold(self, text: str) -> str:
        """Return a text in bold letters."""
        return text if self.dumb or not text else f"\x1b[1m{text}\x1b[0m"


def _on(colours: Colours, paint: Paint) -> str:
    if colours is Colours.SIXTEEN:
        return f"\x1b[{paint.sixteen[0]};{paint.sixteen[1]}m"
    if colours is Colours.PALETTE:
        return f"\x1b[48;5;{paint.palette[0]}m\x1b[38;5;{paint.palette[1]}m"
    ground, ink = (";".join(map(str, colour)) for colour in (paint.ground, paint.ink))
    return f"\x1b[48;2;{ground}m\x1b[38;2;{ink}m"


def terminal_of(out: TextIO, variables: Mapping[str, str] = os.environ) -> Terminal:
    """Return what the terminal at `out` can show.

    Args:
        out: a terminal.
        variables: of the environment: TERM, COLORTERM, NO_COLOR.

    Source:
        https://no-color.org for NO_COLOR; TERM=dumb and the names in TERM and COLORTERM are common practice.
    """
    name = variables.get("TERM", "")
    dumb = name == "dumb"
    encoding = (getattr(out, "encoding", None) or "utf-8").replace("-", "").lower()
    return Terminal(_colours(name, variables), dumb, not dumb and encoding == "utf8")


def _colours(name: str, variables: Mapping[str, str]) -> Colours:
    if variables.get("NO_COLOR") or name == "dumb":
        return Colours.NONE
    if variables.get("COLORTERM", "") in ("truecolor", "24bit") or name.endswith("-direct"):
        return Colours.TRUE
    return Colours.PALETTE if "256color" in name else Colours.SIXTEEN

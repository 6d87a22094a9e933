"""How counts, differences and choices are written in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

_NARROW_SPACE = "\u202f"
_FIRST_CODES = 12


@dataclass(frozen=True, slots=True)
class PieceWords:
    """What people call the pieces in question, their numbers, and what those are numbers of."""

    one: str
    """One piece: `disc`."""
    number: str
    """Its number: `stroke`."""
    whole: str
    """What it is a number of: `lot`."""
    made: str
    """How the pieces came to it: `pressed`."""
    not_on: str
    """Where those are that nothing was booked of since."""

    @property
    def many(self) -> str:
        """Several pieces."""
        return f"{self.one}s"

    @property
    def holders(self) -> str:
        """What a consignee has them in: cartons, or units with a serial label."""
        if self.whole != OF_DISCS.whole:
            return "units"
        return "cartons" if self.one == OF_DISCS.one else "cartons or units"

    @property
    def numbers(self) -> str:
        """Several numbers."""
        return f"{self.number}s"

    @property
    def wholes(self) -> str:
        """Several wholes."""
        return f"{self.whole}s"


OF_DISCS = PieceWords("disc", "stroke", "lot", "pressed", "unaccounted: counted, not booked on")
"""A lot of discs: what codes that name no part or piece speak of."""
_REEL = PieceWords("part", "position", "reel", "taped", "on the reel, or not booked on")
_ORDER = PieceWords("piece", "number", "build order", "built", "not yet handled by their own labels")
_SEVERAL = PieceWords("piece", "number", "lot", "made", "not booked on")
"""Parts and pieces, or discs and parts, together."""

# By the first letter of a code. That of identity is not asked: it would be imported for the help of `trace`.
_PIECES = {
    "F": _REEL,
    "M": PieceWords("part", "position", "part lot", "received", "not booked on"),
    "N": _ORDER,
    "U": _ORDER,
}


def grouped(number: float) -> str:
    """A count or another figure for a printed page, in groups of three: `12 345`.

    Source: ISO 80000-1, numbers: groups are set apart by a small space and by no sign, which one reader would
    take for a decimal sign.
    """
    return f"{number:,}".replace(",", _NARROW_SPACE).replace("-", "−")


def signed(number: int) -> str:
    """A difference, always with its sign: `+3`, `−3`, `±0`."""
    return "±0" if number == 0 else ("+" if number > 0 else "") + grouped(number)


def counted(number: int, noun: str, plural: str | None = None) -> str:
    """A count with its unit: `1 disc`, `25 discs`."""
    return f"{grouped(number)} {noun if number == 1 else plural or noun + 's'}"


def in_percent(share: float, digits: int = 0) -> str:
    """A share, 0 to 1, in percent: `95 %`.

    Source: ISO 80000-1, the sign % has a space before it.
    """
    return f"{share:.{digits}%}".replace("%", " %")


def either(words: Sequence[str]) -> str:
    """Words of which one is enough: `dock, press or quality`; empty for none."""
    *most, last = words or [""]
    return f"{', '.join(most)} or {last}" if most else last


def few(codes: Sequence[str], most: int = _FIRST_CODES) -> str:
    """Return codes for a reader, the first ones by name and the rest counted: a cell is not a list."""
    if len(codes) <= most:
        return ", ".join(codes)
    return f"{', '.join(codes[:most])} and {grouped(len(codes) - most)} more"


def piece_words(lot: str | None) -> PieceWords:
    """Return the words for the pieces of a lot: a disc by stroke, a part by position on its reel.

    Args:
        lot: code of the lot, reel, part lot, build order or serial label that they belong to; None for discs.
    """
    return _PIECES.get((lot or "")[:1], OF_DISCS)


def words_of_all(lots: Iterable[str]) -> PieceWords:
    """Return the words for the pieces of several lots together: those that fit all of them."""
    found = list(dict.fromkeys(piece_words(lot) for lot in lots))
    if len(found) == 1:
        return found[0]
    return _SEVERAL if found else OF_DISCS


def kind_words(kind: str) -> str:
    """Return what people call a kind of thing that is written with hyphens, or short, elsewhere."""
    return {"build": "build order"}.get(kind, kind.replace("-", " "))


def whole_word(lot: str) -> str:
    """Return what a code stands for, to begin a sentence with: a lot of discs, a reel or a part lot."""
    return piece_words(lot).whole.capitalize()

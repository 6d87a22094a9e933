"""How counts, differences and choices are written in sentences."""

from __future__ import annotations

from collections.abc import Sequence

_NARROW_SPACE = "\u202f"
_FIRST_CODES = 12

# By the first letter of a code. That of identity is not asked: it would be imported for the help of `trace`.
_PIECES = {"F": ("part", "position"), "M": ("part", "position"), "N": ("piece", "number")}
_WHOLES = {"F": "Reel", "M": "Part lot"}


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


def piece_words(lot: str | None) -> tuple[str, str]:
    """Return the noun for one piece, and for its number: a disc by stroke, a part by position on its reel.

    Args:
        lot: code of the lot, reel, part lot or build order that the pieces belong to; None for discs.
    """
    return _PIECES.get((lot or "")[:1], ("disc", "stroke"))


def whole_word(lot: str) -> str:
    """Return what a code stands for, to begin a sentence with: a lot of discs, a reel or a part lot."""
    return _WHOLES.get(lot[:1], "Lot")

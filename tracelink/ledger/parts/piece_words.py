"""What the pieces of something are called, and what their numbers are: discs by stroke, parts by position on a reel."""

from tracelink.identity.plantcode import CodeKind

_NOUNS: dict[str, tuple[str, str]] = {
    CodeKind.REEL.value: ("part", "position"),
    CodeKind.PART_LOT.value: ("part", "position"),
    CodeKind.BUILD.value: ("piece", "number"),
}

_WHOLES: dict[str, str] = {CodeKind.REEL.value: "Reel", CodeKind.PART_LOT.value: "Part lot"}


def piece_words(lot: str | None) -> tuple[str, str]:
    """Return the noun for one piece, and for its number.

    Args:
        lot: code of the lot, reel, part lot or build order that the pieces belong to; None for discs.
    """
    return _NOUNS.get((lot or "")[:1], ("disc", "stroke"))


def whole_word(lot: str) -> str:
    """Return what a code stands for, to begin a sentence with: a lot of discs, a reel or a part lot."""
    return _WHOLES.get(lot[:1], "Lot")

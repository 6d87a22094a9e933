"""Check characters inside linear symbols: what a reader verifies, recomputed to prove a printed symbol."""

from collections.abc import Sequence

from tracelink.errors import InvalidFormat

_CODE_39 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-. $/+%"
_CODE_39_VALUES = {character: value for value, character in enumerate(_CODE_39)}
_START_CHARACTERS = (103, 104, 105)
_FEWEST_WORDS = 2


def code39_check_character(payload: str) -> str:
    """Return the optional modulo 43 check character of Code 39.

    Catches every wrong character. What it misses: every swap, near or far, since all weights are 1.

    Args:
        payload: 0-9, A-Z, and the seven of "-. $/+%" with the space, at least one character.

    Returns:
        One character of the same set.

    Raises:
        InvalidFormat: payload is empty or holds another character.

    Source:
        ISO/IEC 16388, annex on the check character: A is 10, "-" is 36, "%" is 42.
    """
    if not payload:
        raise InvalidFormat("a Code 39 check character needs a text before it, found nothing")
    strange = payload.strip(_CODE_39)
    if strange:
        raise InvalidFormat(f"Code 39 has no character {strange[0]!r}, found in {payload!r}")
    return _CODE_39[sum(_CODE_39_VALUES[character] for character in payload) % 43]


def code128_check_value(words: Sequence[int]) -> int:
    """Return the value of the symbol check character of Code 128.

    Catches every wrong symbol character and every swap of two unlike ones in symbols of up to 102 characters behind
    the start: 103 is prime. The start character and the first one behind it both have weight 1: nothing tells whether
    the two values went over from one to the other.

    Args:
        words: symbol character values: start (103, 104 or 105), then one or more of 0 to 102. The function
            character FNC1 is 102 and counts like all others.

    Returns:
        0 to 102.

    Raises:
        InvalidFormat: there is nothing behind the start, or a value is out of range.

    Source:
        ISO/IEC 15417, annex on the symbol check character.
    """
    if len(words) < _FEWEST_WORDS or words[0] not in _START_CHARACTERS:
        raise InvalidFormat(
            f"Code 128 begins with 103, 104 or 105 and a character behind it, found {list(words[:2])}"
        )
    for word in words[1:]:
        if not 0 <= word <= 102:
            raise InvalidFormat(f"Code 128 characters have values 0 to 102 behind the start, found {word}")
    return (words[0] + sum(place * word for place, word in enumerate(words))) % 103

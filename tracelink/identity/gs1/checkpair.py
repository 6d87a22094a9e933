"""The GS1 check-character pair: two characters behind a text of GS1 character set 82, as in (8013)."""

from tracelink.errors import InvalidCheckCharacter, InvalidFormat, InvalidLength
from tracelink.identity.gs1.charsets import CSET_32, CSET_82_ORDER

_LONGEST = 23
_VALUES = {character: value for value, character in enumerate(CSET_82_ORDER)}
_PRIMES = (2, 3, 5, 7, 11, 13, 17, 19, 23, 29, 31, 37, 41, 43, 47, 53, 59, 61, 67, 71, 73, 79, 83)
"""Weights from the last character of the text to the first."""


def gs1_check_pair(payload: str) -> str:
    """Return the two check characters of a text.

    Catches every wrong character and every swap of two unlike characters, near or far: 1021 is prime, and no
    difference of two values or of two weights reaches it. Of other damage one in 1021 slips through. "!" has the
    value 0: put in front of a text it leaves the pair as it is, so a length must be known by other means.

    Args:
        payload: 1 to 23 characters of GS1 character set 82, without the pair.

    Returns:
        Two characters of 2-9 and A-Z without I and O.

    Raises:
        InvalidFormat: payload is empty or holds another character.
        InvalidLength: payload is longer than the 25 characters of (8013) leave room for.

    Source:
        GS1 General Specifications, section on the check character pair; GS1 Barcode Syntax Tests, csumalpha.
    """
    if not payload:
        raise InvalidFormat("a check pair needs a text before it, found nothing")
    if len(payload) > _LONGEST:
        raise InvalidLength(
            f"text before a check pair has 1 to {_LONGEST} characters, found {len(payload)} in {payload!r}"
        )
    total = 0
    for character, prime in zip(reversed(payload), _PRIMES, strict=False):
        value = _VALUES.get(character)
        if value is None:
            raise InvalidFormat(f"{payload!r} holds {character!r}, which GS1 does not allow there")
        total += value * prime
    high, low = divmod(total % 1021, 32)
    return CSET_32[high] + CSET_32[low]


def require_gs1_check_pair(text: str, name: str) -> None:
    """Raise unless the last two characters of text are the check pair of those before them.

    Args:
        text: the whole value, 3 to 25 characters of GS1 character set 82.
        name: what the value claims to be, for the sentence.

    Raises:
        InvalidFormat: text is too short or long, or holds another character.
        InvalidCheckCharacter: the pair does not fit.
    """
    if len(text) < 3:
        raise InvalidLength(f"{name} needs a text and a check pair, 3 characters at least, found {text!r}")
    expected = gs1_check_pair(text[:-2])
    if text[-2:] != expected:
        raise InvalidCheckCharacter(
            f"invalid check pair in {name} {text!r}: expected {expected}, found {text[-2:]}"
        )

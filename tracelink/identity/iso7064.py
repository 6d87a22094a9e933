"""Check characters of ISO/IEC 7064 beside MOD 37,36: what partners and authorities put behind their numbers.

The plant's own codes use MOD 37,36, which `checkdigit` tables for speed. Pure systems weigh the characters with
the powers of a radix; a swap goes unseen only where two weights are equal, far beyond the length of any code.
The hybrid system MOD 11,10 has one plain digit to offer and pays for it with a few swaps.
"""

from tracelink.errors import InvalidFormat
from tracelink.identity.checkdigit import ALPHABET, is_digits

_VALUES = {character: value for value, character in enumerate(ALPHABET)}
_MOD_11_2 = "0123456789X"
_MOD_37_2 = ALPHABET + "*"


def _require_digits(payload: str) -> None:
    if not is_digits(payload):
        raise InvalidFormat(f"expected digits 0-9, found {payload!r}")


def _pure_sum(payload: str, modulus: int, radix: int) -> int:
    """Return the sum of a pure system before its check character: radix to the 1st for the last character."""
    total = 0
    for character in payload:
        total = (total + _VALUES[character]) * radix % modulus
    return total


def mod11_2_check_character(payload: str) -> str:
    """Return the check character of ISO/IEC 7064 MOD 11-2 (ISNI uses it).

    Catches every wrong character, and every swap of two unlike characters up to nine places apart. What it misses:
    swaps ten places apart, where the weights come round again.

    Args:
        payload: digits 0-9 without the check character, at least one.

    Returns:
        One of 0-9 and X.

    Raises:
        InvalidFormat: payload is empty or holds anything but 0-9.

    Source:
        ISO/IEC 7064, pure systems, modulus 11, radix 2.
    """
    _require_digits(payload)
    return _MOD_11_2[(1 - _pure_sum(payload, 11, 2)) % 11]


def mod37_2_check_character(payload: str) -> str:
    """Return the check character of ISO/IEC 7064 MOD 37-2.

    Catches every wrong character, and every swap of two unlike characters up to 35 places apart. What it misses:
    swaps 36 places apart.

    Args:
        payload: characters 0-9 and A-Z without the check character, at least one.

    Returns:
        One of 0-9, A-Z and "*".

    Raises:
        InvalidFormat: payload is empty or holds another character.

    Source:
        ISO/IEC 7064, pure systems, modulus 37, radix 2.
    """
    if not payload:
        raise InvalidFormat("expected characters 0-9 and A-Z, found nothing")
    strange = payload.strip(ALPHABET)
    if strange:
        raise InvalidFormat(f"expected characters 0-9 and A-Z, found {strange[0]!r} in {payload!r}")
    return _MOD_37_2[(1 - _pure_sum(payload, 37, 2)) % 37]


def mod97_10_check_digits(payload: str) -> str:
    """Return the two check digits of ISO/IEC 7064 MOD 97-10.

    Catches every wrong digit and every swap of two unlike digits up to 95 places apart; of all other damage one in
    97 slips through. Whoever judges must compare these two digits: dividing by 97 alone would also take 00, 01
    and 99 for 97, 98 and 02, which are never written.

    Args:
        payload: digits 0-9 without the check digits, at least one.

    Returns:
        Two digits, "02" to "98".

    Raises:
        InvalidFormat: payload is empty or holds anything but 0-9.

    Source:
        ISO/IEC 7064, pure system with two check characters, modulus 97, radix 10.
    """
    _require_digits(payload)
    return f"{98 - _pure_sum(payload + '0', 97, 10):02d}"


def mod11_10_check_digit(payload: str) -> str:
    """Return the check digit of ISO/IEC 7064 hybrid system MOD 11,10.

    Catches every wrong digit. What it misses: of the 90 swaps of unlike neighbours, two in each of the ten states the
    digits before may have led to, always of digits that follow each other (9 and 0 too): about 2 in 100.

    Args:
        payload: digits 0-9 without the check digit, at least one.

    Returns:
        One digit, "0" to "9".

    Raises:
        InvalidFormat: payload is empty or holds anything but 0-9.

    Source:
        ISO/IEC 7064, hybrid systems: each step adds modulo 10 (0 counts as 10) and doubles modulo 11.
    """
    _require_digits(payload)
    product = 10
    for digit in payload:
        product = ((product + int(digit)) % 10 or 10) * 2 % 11
    return str((1 - product) % 10)

"""Characters written as % and two hexadecimal digits, in web addresses and URNs (RFC 3986, section 2.1)."""

import re

from tracelink.errors import InvalidFormat

_ESCAPE = re.compile(r"%([0-9A-Fa-f]{2})", re.ASCII)


def unescape(text: str) -> str:
    """Return text with every escaped byte as the character of that number.

    Args:
        text: a part of an address. What it may hold is for the caller to judge after unescaping: bytes above 127
            come out as characters no GS1 character set has.

    Raises:
        InvalidFormat: a % is not followed by two hexadecimal digits.
    """
    if "%" not in text:
        return text
    if text.count("%") != len(_ESCAPE.findall(text)):
        raise InvalidFormat(f"{text!r} has a % without two hexadecimal digits behind it")
    return _ESCAPE.sub(lambda found: chr(int(found[1], 16)), text)


def escape(text: str, plain: frozenset[str]) -> str:
    """Return text with every character escaped that is not plain; text is ASCII."""
    return "".join(character if character in plain else f"%{ord(character):02X}" for character in text)

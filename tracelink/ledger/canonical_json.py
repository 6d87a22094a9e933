"""Canonical JSON (RFC 8785): written and read by the standard library where it writes the very same bytes.

For text without characters beyond U+FFFF and whole numbers of at most 15 digits the standard library, keys sorted,
writes the bytes of RFC 8785: its order by code points and that by UTF-16 units differ only where such characters meet,
and escapes are the same. It is ten times as fast, and a journal is written and read in full again and again.
"""

import json
import json.encoder
import re
from collections.abc import Callable
from typing import Any, Final

import rfc8785

LARGEST: Final = 2**53 - 1
"""Largest integer that every JSON reader keeps exactly (RFC 8785 section 3.2.2.3)."""


def canonical_bytes(value: Any) -> bytes:
    """Return the canonical bytes of a plain JSON object or list.

    Args:
        value: without floats, and with text alone as names of fields.
    """
    text = encoded(value)
    if _LONG_NUMBER.search(text) or not (text.isascii() or _BEYOND_FFFF.search(text) is None):
        return rfc8785.dumps(value)
    return text.encode("utf-8")


def bytes_of_small(value: Any) -> bytes:
    """Return the same of a value whose numbers are known to be no larger than `LARGEST`.

    Looking for larger ones takes longer than writing.
    """
    text = encoded(value)
    return text.encode("ascii") if text.isascii() else canonical_bytes(value)


def read_plainly(data: bytes) -> Any:
    """Return what canonical bytes say if it can be told quickly that they are canonical; otherwise None."""
    if not data.isascii() and _BEYOND.search(data):
        return None
    try:
        return read_plain_text(data.decode("utf-8"))
    except UnicodeDecodeError:
        return None


def read_plain_text(text: str) -> Any:
    """Return the same of canonical text without characters beyond U+FFFF."""
    try:
        # The text must end where the value does; `decode` would look for white space around it first.
        found, _end = _DECODER.raw_decode(text)
        return found if encoded(found) == text else None
    except (ValueError, TypeError, RecursionError):
        return None


class _Odd:
    """Stands for a number that is not a whole number; it cannot be written back, so the long way is taken."""

    def __init__(self, _text: str) -> None: ...


def _whole(text: str) -> int | _Odd:
    # Longer ones may be beyond what every reader keeps; there the long way says so.
    return int(text) if len(text) < 16 else _Odd(text)


_DECODER = json.JSONDecoder(parse_int=_whole, parse_float=_Odd, parse_constant=_Odd)
_ENCODER = json.JSONEncoder(
    sort_keys=True, separators=(",", ":"), ensure_ascii=False, check_circular=False, allow_nan=False
)


def _prepared() -> Callable[[Any], str]:
    """Return what writes sorted JSON: the encoder in C is made once where there is one, not anew for every value."""
    make = getattr(json.encoder, "c_make_encoder", None)
    try:
        write = make(
            None, _ENCODER.default, json.encoder.encode_basestring, None, ":", ",", True, False, False
        )  # type: ignore[misc]
    except TypeError:
        return _ENCODER.encode
    return lambda value: "".join(write(value, 0))


encoded: Final = _prepared()
"""Writes a value as JSON, keys sorted by code points, nothing escaped that need not be."""

_BEYOND_FFFF = re.compile(r"[\ud800-\udfff\U00010000-\U0010ffff]")
"""Characters beyond U+FFFF and halves of them."""
_LONG_NUMBER = re.compile(r"(?<=[:,\[-])[0-9]{16}")
"""What may be a number of more than 15 digits."""
_BEYOND = re.compile(rb"[\xf0-\xff]")
"""Bytes of characters beyond U+FFFF in UTF-8, or of none at all."""

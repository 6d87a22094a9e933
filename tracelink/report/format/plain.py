"""Text on its way to a reader: nothing scanned may act on a terminal, a browser or a spreadsheet.

Scanned text is whatever a reader was shown. A control character could move the cursor of a terminal, an
override of writing direction could make one code look like another, and XML allows neither. So all of them are
shown by their number, reversibly, wherever a report prints text.
"""

from __future__ import annotations

import shlex
import unicodedata
from collections.abc import Sequence

from tracelink.ledger.count_words import in_percent
from tracelink.ledger.time_words import moment

_SHORT_HASH = 8
"""Characters of a hash that are enough to compare two prints by eye; the foot of each has it in full."""

_HIDDEN = frozenset({"Cc", "Cf", "Cs", "Cn", "Zl", "Zp"})
"""Unicode categories without a visible form of their own: control, format, surrogate, unassigned, separators."""


def visible(text: str) -> str:
    r"""Show what cannot be seen: `\x1d` for a group separator, `\u202e` for a reversed writing direction.

    A backslash is doubled, so that the text can be got back without doubt.

    Args:
        text: any text, also with lone surrogates.

    Returns:
        Text of printable characters and spaces only.
    """
    if text.isascii() and text.isprintable() and "\\" not in text:
        return text
    return "".join(_shown(character) for character in text)


def command_of(words: Sequence[str]) -> str:
    """Show the words of a question as they can be typed again: quoted where a shell asks for it.

    Args:
        words: what stands behind `runout contain`.
    """
    return " ".join(["runout contain", *(shlex.quote(visible(word)) for word in words)])


def harmless(text: str) -> str:
    r"""Show what cannot be seen in a sentence of ours that may hold anything, such as an error.

    Unlike `visible` it lets line feeds pass and leaves backslashes alone: a sentence may have shown something already.

    Args:
        text: any text.
    """
    if text.isascii() and text.replace("\n", "").isprintable():
        return text
    return "".join(one if one in "\n\\" else _shown(one) for one in text)


def _shown(character: str) -> str:
    if character == "\\":
        return "\\\\"
    if unicodedata.category(character) not in _HIDDEN:
        return character
    number = ord(character)
    if number < 0x100:
        return f"\\x{number:02x}"
    return f"\\u{number:04x}" if number < 0x10000 else f"\\U{number:08x}"


def size_of(count: int) -> str:
    """A number of bytes for a reader: `850 kB`, `13 MB`, `82 GB`; a kilobyte has 1000 bytes."""
    size, unit = float(count), "bytes"
    for larger in ("kB", "MB", "GB", "TB"):
        if size < 1000:
            break
        size, unit = size / 1000, larger
    return f"{size:.1f} {unit}" if unit != "bytes" and size < 10 else f"{round(size)} {unit}"


def percent(chance: float | None) -> str:
    """A chance for a reader; never rounded to nothing or to certainty.

    Args:
        chance: 0 to 1, or None if it is not known.
    """
    if chance is None:
        return "unknown"
    if 0 < chance < 0.01:
        return "< 1 %"
    if 0.99 < chance < 1:
        return "> 99 %"
    return in_percent(chance)


def can_draw(encoding: str | None, characters: str) -> bool:
    """Return whether a stream of that encoding can print the characters; None counts as ASCII."""
    try:
        characters.encode(encoding or "ascii")
    except (UnicodeEncodeError, LookupError):
        return False
    return True


def imprint(head: tuple[int, str], at: str, *, whole: bool = False, seen: str = "Printed") -> str:
    """The line that says how far the records went: every picture and page carries it.

    Args:
        head: last journal sequence and its hash in hexadecimal.
        at: when it was printed, RFC 3339 with offset; empty for what must be the same whenever it is made.
        whole: print the hash in full instead of its first 8 characters.
        seen: the word before the time; what stands on a screen only was not printed.
    """
    seq, digest = head
    shown = digest if whole or len(digest) <= _SHORT_HASH else f"{digest[:_SHORT_HASH]}…"
    told = f" {seen} {visible(moment(at))}." if at else ""
    return f"Records up to entry {seq}, journal head {visible(shown) or 'none'}.{told}"

"""Lines for a screen: what is longer than the screen goes on in the next line, between words."""

from __future__ import annotations

import textwrap

_LEAST = 20
"""Characters of a line, however narrow the screen."""


def broken_between_words(text: str, width: int) -> str:
    """Break lines that are longer than a screen is wide.

    What follows stands under the beginning of its sentence. A word that is longer than the screen stays whole: it
    may be a code.

    Args:
        text: any number of lines.
        width: characters in a line of the screen.
    """
    return "\n".join(_broken(line, max(width, _LEAST)) for line in text.split("\n"))


def _broken(line: str, width: int) -> str:
    if len(line) <= width:
        return line
    begins = len(line) - len(line.lstrip(" "))
    indent = " " * (begins + 2 * line[begins:].startswith("- "))
    return "\n".join(
        textwrap.wrap(
            line,
            width,
            subsequent_indent=indent,
            break_long_words=False,
            break_on_hyphens=False,
            replace_whitespace=False,
        )
    )

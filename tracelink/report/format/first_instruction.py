"""The first thing that a verdict's sentence tells the person to do, for the letters that are read from two metres.

Only how a screen is laid out hangs on it: what is booked and stopped never looks at a sentence.
"""

import re

_BEGIN_WITH = frozenset(
    [
        "add",
        "ask",
        "check",
        "close",
        "compare",
        "count",
        "fetch",
        "finish",
        "go",
        "have",
        "key",
        "leave",
        "lift",
        "look",
        "now",
        "open",
        "plan",
        "press",
        "put",
        "scan",
        "see",
        "take",
        "tell",
        "throw",
        "turn",
        "type",
        "wait",
    ]
)
"""How an instruction begins."""

_PARTS = re.compile(r"(?<=[.!?])\s+|(?<=[a-z0-9]):\s+(?=[a-z])")


def first_instruction(sentence: str) -> str:
    """Return the part of a verdict's sentence that says what to do first; its first part if none does.

    Args:
        sentence: one or more sentences; empty text gives empty text.
    """
    parts = _PARTS.split(sentence)
    found = next((part for part in parts if _is_instruction(part)), parts[0])
    return found[:1].upper() + found[1:]


def _is_instruction(part: str) -> bool:
    word, _, after = part.partition(" ")
    # Of a code whose check character is wrong the part that says so asks for nothing.
    return word.lower().rstrip(",") in _BEGIN_WITH and not after.startswith("character")

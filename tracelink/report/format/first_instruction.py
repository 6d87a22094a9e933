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
        "cut",
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

_BEGIN_WITH_MORE = (
    "a second person ",
    "begin another ",
    "build another ",
    "correct the ",
    "do not ",
    "give the ",
    "judge first",
    "load slot ",
    "load what ",
    "read it ",
    "read the ",
    "release it ",
    "set it ",
    "set up a ",
    "someone from ",
    "test it ",
    "test what ",
    "use other ",
    "weigh again",
)
"""How one begins whose first word alone may begin something else: "Read already"."""

_SENTENCES = re.compile(r"(?<=[.!?])\s+")
_PARTS = re.compile(r"(?<=[.!?])\s+|(?<=[a-z0-9]):\s+(?=[a-z])")


def first_instruction(sentence: str) -> str:
    """Return the part of a verdict's sentence that says what to do first; all up to its first full stop if none does.

    Args:
        sentence: one or more sentences; empty text gives empty text.
    """
    parts = _PARTS.split(sentence)
    found = next((part for part in parts if _is_instruction(part)), None) or _fact(sentence)
    return found[:1].upper() + found[1:]


def _fact(sentence: str) -> str:
    """Return the first thing that happened; that an act was put away for it is the least of it."""
    told = _SENTENCES.split(sentence)
    return next((each for each in told if not each.endswith(" cancelled.")), told[0])


def _is_instruction(part: str) -> bool:
    word, _, after = part.partition(" ")
    if part.lower().startswith(_BEGIN_WITH_MORE):
        return True
    # Of a code whose check character is wrong the part that says so asks for nothing; the sign for "as before" is a short way.
    return word.lower().rstrip(",") in _BEGIN_WITH and not after.startswith(("character", '"=', "="))

"""What a text says that the records know: a complaint names a title, a matrix text and a defect among many other words.

Only neighbours that are both known can be known together, so that few runs of words are looked for.
"""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass

from runout import OpenLedger
from tracelink.errors import LedgerError

_WORD = re.compile(r"[^\s,;:!?\"“”()]+")
_LEAST = 4
"""Letters of a word that is looked for by itself; shorter ones are in nearly everything, unless they hold a digit."""
_FEWEST = 2
"""Characters of a search."""
_MOST_WORDS = 40
_MOST_OF_A_KIND = 20


@dataclass(frozen=True, slots=True)
class KnownWords:
    """Some words of a text, beside each other, by which something is known."""

    text: str
    """As they stand there."""
    kinds: tuple[tuple[str, int], ...]
    """What is known by them, and how many of each kind."""
    more: int
    """Things that are known by them too and were not counted by kind."""


def known_words(ledger: OpenLedger, text: str) -> tuple[KnownWords, ...]:
    """Return the longest runs of words in a text by which something is known, in the order of the text.

    Args:
        ledger: it is asked about each.
        text: as somebody wrote it; its first 40 words are looked at.
    """
    words = [found.strip(".'") for found in _WORD.findall(text)][:_MOST_WORDS]
    alone = [_asked(ledger, word) if len(word) >= _FEWEST else None for word in words]
    found: list[KnownWords] = []
    place = 0
    while place < len(words):
        length, known = _longest(ledger, words, alone, place)
        if known is not None and (length > 1 or _says_something(words[place])):
            found.append(known)
        place += length
    # Once, as it is written first.
    return tuple({each.text.casefold(): each for each in reversed(found)}.values())[::-1]


def _longest(
    ledger: OpenLedger, words: list[str], alone: list[KnownWords | None], place: int
) -> tuple[int, KnownWords | None]:
    """Return how many words from a place on are known together, and by what; a single word if no more are."""
    length, known = 1, alone[place]
    while place + length < len(words) and (
        alone[place + length] is not None or len(words[place + length]) < _FEWEST
    ):
        more = _asked(ledger, " ".join(words[place : place + length + 1]))
        if more is None:
            break
        length, known = length + 1, more
    return length, known


def _says_something(word: str) -> bool:
    return len(word) >= _LEAST or any(sign.isdigit() for sign in word)


def _asked(ledger: OpenLedger, words: str) -> KnownWords | None:
    try:
        found = ledger.search(words, most=_MOST_OF_A_KIND)
    except LedgerError:
        return None
    kinds = Counter(hit.kind for hit in found.hits)
    return KnownWords(words, tuple(kinds.items()), found.left_out) if kinds else None

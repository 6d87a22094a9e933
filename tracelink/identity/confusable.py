"""Which of the plant's own codes one slip turns into each other.

A check character does not catch every swap. Where the swapped code is nobody's, the ledger refuses it as unknown;
where it is another code in use, nothing does. Such pairs are found beforehand and kept apart: other title, other
day, or one of the two never issued.
"""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, order=True)
class ConfusablePair:
    """Two codes in use of which one swap of two characters makes the other."""

    first: str
    """The code that sorts first."""

    second: str
    """The other code."""

    position: int
    """Place of the left one of the two swapped characters, from 1."""

    apart: int
    """1 for neighbours, 2 with one character between them."""


def confusable(codes: Iterable[str], *, reach: int = 1) -> list[ConfusablePair]:
    """List the pairs of codes that one swap of two unlike characters turns into each other.

    Only the text is compared, whatever its check character says, and codes of every kind may be mixed: plant codes,
    GTINs, SSCCs. Each pair is listed once. The work grows with the number of codes times their length, not with
    the square of it.

    Args:
        codes: codes in use, in the one spelling in which they are scanned (a product's GTIN always with as many
            digits). Of a long range of SSCCs a part will do; what is not given is not compared.
        reach: how far apart the two characters may be: 1 for neighbours; 2 for numbers with a GS1 check digit,
            which is blind to swaps of the first and third of three digits.

    Returns:
        The pairs, sorted.
    """
    known = set(codes)
    return sorted(
        ConfusablePair(code, other, at + 1, apart)
        for code in known
        for apart in range(1, reach + 1)
        for at in range(len(code) - apart)
        # Only the order that sorts later is looked up, so that each pair comes up once.
        if code[at] < code[at + apart] and (other := _swapped(code, at, apart)) in known
    )


def _swapped(code: str, at: int, apart: int) -> str:
    """Return code with two characters in each other's place."""
    to = at + apart
    return code[:at] + code[to] + code[at + 1 : to] + code[at] + code[to + 1 :]

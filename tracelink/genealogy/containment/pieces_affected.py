"""How many built pieces hold parts in question: the bounds of a place count parts, and one piece may hold several."""

from __future__ import annotations

from collections.abc import Iterable

from tracelink.genealogy.containment.held import ContainerBound
from tracelink.genealogy.model.part_facts import PART_LOT, PIECE, REEL
from tracelink.ledger.count_words import counted

_OF_PARTS = frozenset({PART_LOT, REEL})


def pieces_with(containers: Iterable[ContainerBound]) -> tuple[int, int]:
    """Return how many built pieces hold a part in question for certain, and how many may.

    A piece is counted by its own label, whatever it was joined into.

    Args:
        containers: with their bounds, one for each place and reel.
    """
    pieces = [one for one in containers if one.kind == PIECE]
    certain = {one.code for one in pieces if one.least}
    return len(certain), len({one.code for one in pieces if one.most})


def told_of_parts(kind: str, containers: Iterable[ContainerBound]) -> tuple[str, ...]:
    """Say what the numbers of a scope count, where its cause is a part lot or a reel; nothing for any other cause."""
    if kind not in _OF_PARTS:
        return ()
    certain, most = pieces_with(containers)
    told = (
        "Counted are parts, by their positions on the reel: a unit with several of them counts as "
        f"often. Some are for certain in {counted(certain, 'labelled piece')}, and may be in {most}."
    )
    return (told,)

"""What a part lot, a reel, a build order or a built piece touches, laid out as positions and numbers.

A tray has no order: its positions only count. Which of them are of which lot nobody knows, and nobody ever reads one, so any
choice gives the same bounds; the one of the order in which it was filled is taken.
"""

from __future__ import annotations

from collections.abc import Iterator

from tracelink.genealogy.flow.follow import pressed_of
from tracelink.genealogy.model.part_facts import BUILD, PART_LOT, PIECE, REEL
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import StrokeSet

PART_KINDS = frozenset({PART_LOT, REEL, BUILD, PIECE})
"""Causes of the assembly hall."""


def parts_touched(records: Records, code: str, kind: str) -> Iterator[tuple[str, StrokeSet]]:
    """Yield what a cause of the assembly hall touches: a reel with positions, or a build order with numbers of pieces.

    Args:
        records: the records.
        code: of the cause.
        kind: one of `PART_KINDS`.
    """
    if kind == PIECE:
        piece = records.piece(code)
        if piece is not None:
            yield piece.build, StrokeSet.between(piece.number, piece.number)
        return
    if kind == BUILD:
        yield code, pressed_of(records, code)
        return
    if kind == REEL:
        reels = [code]
        yield code, pressed_of(records, code)
    else:
        items = records.reels_with(code)
        reels = list(dict.fromkeys(item.reel for item in items))
        yield from ((item.reel, item.positions) for item in items)
    # What another reel placed in its slot nobody counted: any of those pieces may have parts of it.
    for reel in reels:
        for build, first, last in records.found_by_mistake(reel):
            yield build, StrokeSet.between(first, last)

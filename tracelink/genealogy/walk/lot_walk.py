"""Within a lot: strokes carried along its movements, forward from a place and back from several.

A plain lot (`flow/plain_history.py`) is walked by the rows of its movements: what a pick from a stack may have taken is the
same for each, so it is worked out once for the stack.
"""

from __future__ import annotations

from tracelink.genealogy.flow.pools import History, PlainMoves
from tracelink.genealogy.flow.sent import senders_of
from tracelink.genealogy.model.facts import MovementFact
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.walk.loose_walk import given_up, taken_loose
from tracelink.genealogy.walk.tree_builder import TreeBuilder, carried, verb_from_start, verb_into
from tracelink.ledger.closed_sets import DiscPlace

# Plain text: a member of an enum is slow to look up, and they are compared with for every movement.
_CUSTOMERS, _COUNTER = DiscPlace.CUSTOMERS.value, DiscPlace.COUNTER.value


def spread_followed(weave: TreeBuilder, history: History, reach: dict[str, StrokeSet]) -> None:
    """Carry strokes forward along movements that were followed one by one.

    Args:
        weave: the tree.
        history: the movements of the lot.
        reach: place -> the strokes to carry; the places that they get to are added.
    """
    lot, senders = history.lot, _senders(weave, history)
    for passage in history.passages:
        move = passage.movement
        if move.source == _CUSTOMERS:
            given_up(weave, move, senders[move], reach)
        here = reach.get(move.source, NO_STROKES)
        gone = history.may_have_passed(passage) & here if here else NO_STROKES
        if gone.spans:
            reach[move.target] = reach.get(move.target, NO_STROKES) | gone
            # The lot stands for its press counter.
            source = lot if move.source == _COUNTER else weave.place(move.source, lot).code
            target = weave.place(move.target, lot)
            weave.join(source, target, verb_into(target), carried(passage, gone))


def spread_plain(
    weave: TreeBuilder, history: History, moves: PlainMoves, reach: dict[str, StrokeSet]
) -> None:
    """The same for the movements of a plain lot."""
    lot = history.lot
    picked: dict[str, tuple[StrokeSet, int, str]] = {}
    for _seq, _line, _lot, quantity, source, target, first, last, _at, _sense in moves.rows:
        if first is not None and last is not None:
            gone, begin = StrokeSet.between(first, last) & reach.get(source, NO_STROKES), lot
            discs = len(gone)
        else:
            known = picked.get(source)
            if known is None:
                # Nothing is stacked where something was picked: what can go is the same from the first pick on.
                gone = moves.stacks[source] & reach.get(source, NO_STROKES)
                known = picked[source] = gone, len(gone), weave.place(source, lot).code
            gone, discs, begin = known
        if discs:
            there = reach.get(target)
            if there is not gone:
                reach[target] = gone if there is None else there | gone
            node = weave.place(target, lot)
            weave.carry(begin, node, verb_into(node), lot, gone, min(discs, quantity))


def gather_followed(weave: TreeBuilder, history: History, wanted: dict[str, StrokeSet]) -> StrokeSet:
    """Carry strokes back along movements that were followed one by one.

    Args:
        weave: the tree.
        history: the movements of the lot.
        wanted: place -> the strokes to carry; the places that they came from are added.

    Returns:
        The strokes that came from the press.
    """
    lot, at_press, senders = history.lot, NO_STROKES, _senders(weave, history)
    for passage in reversed(history.passages):
        move = passage.movement
        came = history.may_have_passed(passage) & wanted.get(move.target, NO_STROKES)
        if not came:
            continue
        target = weave.place(move.target, lot)
        if move.source == _COUNTER:
            at_press |= came
            begun = weave.lot(lot)
            weave.join(target.code, begun, verb_from_start(target, begun), carried(passage, came))
        else:
            wanted[move.source] = wanted.get(move.source, NO_STROKES) | came
            source = weave.place(move.source, lot)
            weave.join(target.code, source, f"{verb_into(target)} from", carried(passage, came))
        if move.source == _CUSTOMERS:
            taken_loose(weave, senders[move], move, came, wanted)
    return at_press


def gather_plain(
    weave: TreeBuilder, history: History, moves: PlainMoves, wanted: dict[str, StrokeSet]
) -> StrokeSet:
    """The same for the movements of a plain lot."""
    lot, stacks, at_press = history.lot, moves.stacks, NO_STROKES
    for _seq, _line, _lot, quantity, source, target, first, last, _at, _sense in reversed(moves.rows):
        there = wanted.get(target)
        if there is None:
            continue
        passed = StrokeSet.between(first, last) if first is not None and last is not None else stacks[source]
        came = passed & there
        if not came.spans:
            continue
        node = weave.place(target, lot)
        if source == _COUNTER:
            at_press |= came
            begin, relation = weave.lot(lot), verb_from_start(node, weave.lot(lot))
        else:
            wanted[source] = wanted.get(source, NO_STROKES) | came
            begin, relation = weave.place(source, lot), f"{verb_into(node)} from"
        weave.carry(node.code, begin, relation, lot, came, min(quantity, len(came)))
    return at_press


def _senders(weave: TreeBuilder, history: History) -> dict[MovementFact, tuple[str, ...]]:
    return dict(senders_of(weave.records, [passage.movement for passage in history.passages]))

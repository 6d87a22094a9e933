"""The movements of a lot as steps of its network, with what nobody recorded but must have happened.

Loose discs that come back were sent in some carton, and which one is not recorded: the movement that brings them in has
the customers as its source. Before it, each carton of the lot that had left by then may have given up any number
of discs, and together just as many as came back. So they are in one place only, and the least that a sent carton
holds takes into account that it may be the one that was opened. What was read off them narrows it: a stamper's mark
the strokes they can be, a sleeve's number the carton it left in.

A sample of an older program came from wherever its disc was, which the program did not ask: from the spindle its stroke
had been put on, or from any place that discs had gone to from there.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from tracelink.genealogy.flow.network import NetworkStep
from tracelink.genealogy.flow.sent import senders_of
from tracelink.genealogy.flow.taken_back import MovementWay, ways_of
from tracelink.genealogy.model.facts import MovementFact, ReturnFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.ledger.closed_sets import DiscPlace, MovementSense

_APART = 1_000_000
"""More lines than an entry has: steps that no movement records, or parts of one, are numbered apart."""

_SOMEWHERE = "where sample {} was taken"
"""The place through which a disc of unsaid source goes, so that it is counted once wherever it came from."""


def steps_of(records: Records, lot: str, movements: Sequence[MovementFact]) -> tuple[NetworkStep, ...]:
    """The steps of one lot.

    Args:
        records: to know which cartons had been sent, and what was read off what came back.
        lot: the lot's code.
        movements: the lot's movements, in order.
    """
    return tuple(_Steps(records, lot, movements).all())


def doubted(movements: Iterable[MovementFact]) -> list[tuple[MovementFact, tuple[str, ...]]]:
    """The samples of which nobody said where they were taken from, each with the places it may be from.

    One that was taken before anything had left its spindle is not among them: it can be from nowhere else.

    Args:
        movements: of one lot, in order.
    """
    behind: dict[str, set[str]] = {}
    found: list[tuple[MovementFact, tuple[str, ...]]] = []
    for move in movements:
        if move.sense == MovementSense.ASSUMED:
            places = sorted({move.source} | _reached(behind, move.source))
            if len(places) > 1:
                found.append((move, tuple(places)))
        else:
            behind.setdefault(move.source, set()).add(move.target)
    return found


def _reached(behind: dict[str, set[str]], start: str) -> set[str]:
    found: set[str] = set()
    todo = [start]
    while todo:
        new = behind.get(todo.pop(), set()) - found
        found |= new
        todo += new
    return found


class _Steps:
    """Makes the steps of one lot."""

    def __init__(self, records: Records, lot: str, movements: Sequence[MovementFact]) -> None:
        self._movements = movements
        loose = any(move.source == DiscPlace.CUSTOMERS for move in movements)
        self._senders = dict(senders_of(records, movements)) if loose else {}
        self._segments = records.segments_of(lot) if loose else ()
        self._read = {fact.seq: fact for fact in records.returns_of(lot)} if loose else {}
        self._doubted = dict(doubted(movements))

    def all(self) -> Iterator[NetworkStep]:
        """Yield the steps in order."""
        for move, ways in ways_of(self._movements):
            if move in self._senders:
                yield from self._given_up(move)
            elif move in self._doubted:
                yield from self._from_somewhere(move)
            elif ways is not None:
                yield from _parts(move, ways)
            elif move.quantity:
                yield NetworkStep.of(move)

    def _given_up(self, move: MovementFact) -> Iterator[NetworkStep]:
        fact = self._read.get(move.seq)
        sent = self._senders[move]
        strokes = None if fact is None else self._marked(fact)
        # A number says of one disc in which carton it left; the carton may have given up others as well.
        numbers = Counter(place for place in (() if fact is None else fact.cartons) if place in sent)
        apart = 0
        for place in sent:
            for quantity in ([numbers[place]] if place in numbers else []) + [None]:
                apart += 1
                # Lines count down from 0, so that no recorded movement has the same.
                line = move.line - apart * _APART
                # No record takes them out of the carton: by the counts they are in it as well as where they came to.
                yield NetworkStep(
                    place, DiscPlace.CUSTOMERS, quantity, strokes, move.seq, line, DiscPlace.CUSTOMERS
                )
        yield NetworkStep(move.source, move.target, move.quantity, strokes, move.seq, move.line)

    def _marked(self, fact: ReturnFact) -> StrokeSet | None:
        """The strokes that carry a mark; None if it names no stamper of the lot, and says nothing."""
        tool = fact.mark.strip().upper()
        found = NO_STROKES
        for segment in self._segments:
            if tool in (segment.stamper_a, segment.stamper_b):
                found |= segment.strokes
        return found or None

    def _from_somewhere(self, move: MovementFact) -> Iterator[NetworkStep]:
        one = NetworkStep.of(move)
        through = _SOMEWHERE.format(move.target)
        for apart, place in enumerate(self._doubted[move], 1):
            yield NetworkStep(place, through, None, one.strokes, move.seq, move.line - apart * _APART)
        yield NetworkStep(through, move.target, move.quantity, one.strokes, move.seq, move.line, move.source)


def _parts(move: MovementFact, ways: Sequence[MovementWay]) -> Iterator[NetworkStep]:
    strokes = NetworkStep.of(move).strokes
    for number, way in enumerate(ways):
        yield NetworkStep(
            way.source, way.target, way.quantity, strokes, move.seq, move.line + number * _APART
        )

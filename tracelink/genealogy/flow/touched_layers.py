"""Discs that were touched in a place, such as on a spindle in a bath, told apart from the others by where they are.

Which discs they were nobody recorded, so they are no strokes. But from then on they are as if in places of their own: each
place has a second layer for its touched discs. What is touched in a place goes from its first layer to its second, all
of it; a movement takes its discs out of both layers into both layers of its target, and how many of each is open. So it
is a network of movements like any other (network.py), in which two steps may have one count, and its bounds on the
second layers are exact and certified alike.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from tracelink.genealogy.flow.network import NetworkStep
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.ledger.closed_sets import DiscPlace

_TOUCHED = " touched"
"""No code of a place ends so: codes have no spaces."""

_LAYER = 10**12
"""More lines than an entry has, or a step that stands for a part of one: the second layer is numbered apart."""


@dataclass(frozen=True, slots=True)
class Touching:
    """What touched discs of a lot."""

    strokes: StrokeSet
    """Discs known one by one."""
    stood: tuple[tuple[int, str], ...]
    """(entry, place): all that was in the place at that entry."""


def touched_in(place: str) -> str:
    """The second layer of a place."""
    return place + _TOUCHED


def place_of(layer: str) -> str:
    """The place that a layer is of."""
    return layer.removesuffix(_TOUCHED)


def in_layers(
    pressed: StrokeSet, steps: Iterable[NetworkStep], touching: Touching
) -> tuple[NetworkStep, ...]:
    """Return the steps of a lot, with those of its touched discs.

    Args:
        pressed: the strokes counted at the press.
        steps: the movements in the order in which they happened.
        touching: what touched them.
    """
    return tuple(_layered(pressed, list(steps), touching))


def _layered(pressed: StrokeSet, steps: Sequence[NetworkStep], touching: Touching) -> Iterator[NetworkStep]:
    known = touching.strokes & pressed
    if known:
        counter = DiscPlace.COUNTER
        yield NetworkStep(counter, touched_in(counter), len(known), known, 0, -_LAYER)
    marks = [
        NetworkStep(place, touched_in(place), None, None, seq, -_LAYER - number, empties=True)
        for number, (seq, place) in enumerate(sorted(set(touching.stood)), 1)
    ]
    marks.reverse()
    counts = _Counts(len(pressed))
    for step in steps:
        while marks and marks[-1].seq < step.seq:
            yield marks.pop()
        yield from _on_both(step, is_last=counts.emptied_by(step))
    yield from reversed(marks)


def _on_both(step: NetworkStep, *, is_last: bool) -> Iterator[NetworkStep]:
    empties = step.clears or is_last
    yield replace(step, is_paired=step.quantity is not None, empties=empties)
    yield replace(
        step,
        source=touched_in(step.source),
        target=touched_in(step.target),
        quantity=None,
        line=step.line + _LAYER,
        is_beside=step.quantity is not None,
        empties=empties,
    )


class _Counts:
    """How many discs are in each place, as far as every step into it and out of it was counted."""

    def __init__(self, pressed: int) -> None:
        self._there: dict[str, int] = {DiscPlace.COUNTER: pressed}
        self._uncounted: set[str] = set()

    def emptied_by(self, step: NetworkStep) -> bool:
        if step.quantity is None:
            self._uncounted |= {step.source, step.target}
            return False
        self._there[step.source] = self._there.get(step.source, 0) - step.quantity
        self._there[step.target] = self._there.get(step.target, 0) + step.quantity
        return step.source not in self._uncounted and self._there[step.source] == 0

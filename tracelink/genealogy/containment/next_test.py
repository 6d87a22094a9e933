"""Which disc to look at next: the one whose test is expected to shrink the possible set most.

From-onset. Let k discs be possible, in the order in which they were made. The fault begins at one of them or
after the last: k + 1 onsets that agree with every judgement, taken as equally likely. The disc at place j of
the k is bad for the first j onsets; then the j - 1 before it stay possible and the rest is proven. Else it is
good and the k - j after it stay possible. So (j (j - 1) + (k + 1 - j) (k - j)) / (k + 1) discs are expected to
stay, least in the middle.

Whole-life. Any disc of a stamper without a judged one decides about all of them, either way.

Window and intermittent. No disc speaks for another, so no test is better than any other: none is named.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from tracelink.genealogy.containment.retained import ease
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.closure import Axis
from tracelink.genealogy.suspects.lookat import FetchableDiscs, NextTest, NextTests
from tracelink.genealogy.suspects.narrow import Narrowed
from tracelink.ledger.count_words import words_of_all

DEFAULT_TESTS = 5
"""How many tests are named unless more are asked for: a screen is short."""

_PRIOR = (
    "Ranked by the possible {many} that are expected to be left, if the fault is as likely to begin at one possible "
    "{one} as at another or after the last."
)
_DECIDES = "Any one disc of a stamper decides about all of its discs under shape whole-life, whichever way it comes out."

_COUNTED = (
    " A disc in a stack is found by counting from the first one stacked; that holds if the stack was never turned or "
    "sorted, which no record shows."
)


@dataclass(frozen=True, slots=True)
class _Choice:
    """A disc that can be fetched, and its effect."""

    test: NextTest
    ease: int

    @property
    def order(self) -> tuple[float, int, str, int, str]:
        return -self.test.reduction, self.ease, self.test.lot, self.test.stroke or 0, self.test.place


def next_tests(
    axes: Sequence[Axis],
    narrowed: Sequence[Narrowed],
    shape: Shape,
    kept: Iterable[FetchableDiscs],
    count: int,
) -> NextTests:
    """Rank the discs that can be fetched.

    Args:
        axes: the lives of the cause.
        narrowed: what the judged discs leave of each.
        shape: as it was read for this cause.
        kept: the possible discs that are in the plant: by stroke for `Shape.FROM_ONSET`, of a kind else.
        count: how many tests to name at most, 0 or more.
    """
    possible = [_possible(one) for one in narrowed]
    words = words_of_all(stretch.lot for axis in axes for stretch in axis.stretches)
    if not any(possible):
        return NextTests(f"No {words.one} is merely possible: no test would narrow this scope.", ())
    if shape not in (Shape.FROM_ONSET, Shape.WHOLE_LIFE):
        return NextTests(
            f"Under shape {shape.value} no {words.one} speaks for another: each test proves or clears its own {words.one} only, "
            f"and none is better than another.",
            (),
        )
    if any(one.contradictions for one in narrowed):
        return NextTests(
            f"The judged {words.many} contradict the shape: settle that first (judge those {words.many} again, or ask with another "
            "shape). No test is ranked.",
            (),
        )
    discs = list(kept)
    choices = [
        choice
        for axis, open_ in zip(axes, possible, strict=True)
        if open_
        for choice in _choices(axis, open_, shape, discs)
    ]
    if not choices:
        return NextTests(
            f"No possible {words.one} can be fetched by its {words.number} in the plant: no test can be named. What was packed, or "
            f"picked from a stack, is not known {words.one} by {words.one}.",
            (),
        )
    best = sorted(choices, key=lambda choice: choice.order)[:count]
    sentence = _PRIOR.format(one=words.one, many=words.many) if shape is Shape.FROM_ONSET else _DECIDES
    if any(choice.test.kind == "spindle" and choice.test.stroke for choice in best):
        sentence += _COUNTED
    return NextTests(sentence, tuple(choice.test for choice in best))


def _possible(narrowed: Narrowed) -> StrokeSet:
    found = NO_STROKES
    for part in narrowed.parts:
        if part.tier is TierName.POSSIBLE:
            found |= part.positions
    return found


def _choices(axis: Axis, open_: StrokeSet, shape: Shape, kept: Sequence[FetchableDiscs]) -> Iterator[_Choice]:
    """The best disc of each place; under whole-life one for the axis, because any other does the same."""
    found: list[_Choice] = []
    for one in kept:
        here = [
            _choice(axis, one, position, shift, open_, shape)
            for positions, shift in _on(axis, one)
            for position in _nearest_middle(positions & open_, open_)
        ]
        if here:
            found.append(min(here, key=lambda choice: choice.order))
    if shape is Shape.WHOLE_LIFE and found:
        found = [min(found, key=lambda choice: choice.order)]
    yield from found


def _on(axis: Axis, kept: FetchableDiscs) -> Iterator[tuple[StrokeSet, int]]:
    """Positions of kept discs on an axis, with position minus stroke."""
    for stretch in axis.of_lot(kept.lot):
        if met := stretch.strokes & kept.strokes:
            yield met.shifted(stretch.shift), stretch.shift


def _nearest_middle(positions: StrokeSet, open_: StrokeSet) -> Iterator[int]:
    """Of each unbroken span the position closest to the middle of `open_`: a test is worth less further out."""
    middle = _at(open_, (len(open_) + 1) // 2)
    for span in positions.spans:
        yield min(max(middle, span.first), span.last)


def _choice(  # noqa: PLR0917, PLR0913 - six facts of one disc
    axis: Axis, kept: FetchableDiscs, position: int, shift: int, open_: StrokeSet, shape: Shape
) -> _Choice:
    total = len(open_)
    if_bad = if_good = 0
    expected = 0.0
    if shape is Shape.FROM_ONSET:
        place = len(open_ & StrokeSet.between(1, position))
        if_bad, if_good = place - 1, total - place
        expected = (place * if_bad + (total + 1 - place) * if_good) / (total + 1)
    test = NextTest(
        lot=kept.lot,
        stroke=position - shift if kept.known else None,
        place=kept.place,
        kind=kept.kind,
        status=kept.status,
        parents=kept.parents,
        axis=axis.code,
        if_good=if_good,
        if_bad=if_bad,
        expected=expected,
        reduction=total - expected,
    )
    return _Choice(test, ease(kept.kind))


def _at(strokes: StrokeSet, number: int) -> int:
    """The position at a place of a set, from 1."""
    for span in strokes.spans:
        if number <= len(span):
            return span.first + number - 1
        number -= len(span)
    raise IndexError(number)


def wanted_of(axes: Sequence[Axis], narrowed: Sequence[Narrowed]) -> dict[str, StrokeSet]:
    """Lot -> the possible strokes, to look for discs that can be fetched."""
    found: dict[str, StrokeSet] = {}
    for axis, one in zip(axes, narrowed, strict=True):
        for lot, strokes in axis.lots(_possible(one)):
            found[lot] = found.get(lot, NO_STROKES) | strokes
    return found

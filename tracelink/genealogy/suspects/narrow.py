"""Narrow the life of a cause to what is proven, possible and cleared.

From-onset: a fault begins at some stroke and stays. Each onset that agrees with every judgement is a scenario;
a stroke is proven if it is bad in all of them, cleared if it is good in all, else possible.

Contradictions. A good disc after a bad one agrees with no onset. Either the shape is wrong or a judgement is,
and the records cannot tell which. The widest reading that still uses the shape is taken: good discs after the
first bad one clear only themselves; bad ones prove only themselves; what lies before the last good disc that
comes before the first bad one stays cleared *for this shape*, and the contradiction is reported together with
the advice to ask again with a shape under which nothing is cleared by neighbours.

Under every shape a disc that was itself judged good is cleared, and never possible: it was looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.closure import Axis
from tracelink.genealogy.suspects.evidence import Judged, brackets, pass_by_chance
from tracelink.ledger.count_words import in_percent, kind_words, words_of_all


@dataclass(frozen=True, slots=True)
class TierStretch:
    """A stretch of an axis and how strongly it is suspected."""

    tier: TierName
    """Proven, possible or cleared."""
    positions: StrokeSet
    """The stretch; never empty."""
    reason: str
    """Why, as a clause without a full stop."""


@dataclass(frozen=True, slots=True)
class Narrowed:
    """An axis, divided."""

    parts: tuple[TierStretch, ...]
    """Together they are the axis; no two overlap."""
    contradictions: tuple[str, ...]
    """Sentences on judgements that do not agree with the shape or with each other."""


def narrow(axis: Axis, shape: Shape, tested: Sequence[Judged], window: StrokeSet = NO_STROKES) -> Narrowed:
    """Divide an axis by the judged discs on it.

    Args:
        axis: the life of the cause.
        shape: how the fault runs along it.
        tested: the judged discs on the axis, by position.
        window: for `Shape.WINDOW`, the positions it covers; ignored otherwise.

    Returns:
        Every position of the axis in exactly one part.
    """
    case = _Case(axis, tested, window)
    parts = _RULES[shape](case)
    return Narrowed(tuple(part for part in parts if part.positions), tuple(case.contradictions))


class _Case:
    """An axis with its judged discs sorted out: where good and bad meet on one disc, bad counts."""

    def __init__(self, axis: Axis, tested: Sequence[Judged], window: StrokeSet) -> None:
        self.axis = axis
        self.words = words_of_all(stretch.lot for stretch in axis.stretches)
        self.none_judged = f"no judged {self.words.one}"
        self.contradicts = f"the judged {self.words.many} contradict the shape"
        self.all = axis.positions
        self.window = window
        self.bads = {one.position: one for one in tested if not one.good}
        self.goods = {one.position: one for one in tested if one.good and one.position not in self.bads}
        self.bad, self.good = StrokeSet.from_strokes(self.bads), StrokeSet.from_strokes(self.goods)
        self.contradictions = [
            f"Sample {one.judgement.sample} was judged both good and bad; it counts as bad."
            for one in tested
            if one.good and one.position in self.bads
        ]

    def up_to(self, position: int) -> StrokeSet:
        return self.all & StrokeSet.between(1, position) if position >= 1 else NO_STROKES

    def at(self, tested: Judged) -> str:
        return f"{tested} at {self.words.number} {tested.position} of {kind_words(self.axis.kind)} {self.axis.code}"

    def single_bads(self) -> TierStretch:
        return TierStretch(TierName.PROVEN, self.bad, "tested bad")

    def single_goods(self, among: StrokeSet) -> TierStretch:
        return TierStretch(TierName.CLEARED, self.good & among, f"tested good, this {self.words.one} only")


def _from_onset(case: _Case) -> list[TierStretch]:
    first_bad = min(case.bads, default=None)
    before = [position for position in case.goods if first_bad is None or position < first_bad]
    last_good = max(before, default=0)
    cleared = case.up_to(last_good)
    parts: list[TierStretch] = []
    if last_good:
        why = f"up to the last good {case.words.one}, {case.at(case.goods[last_good])}"
        parts = [TierStretch(TierName.CLEARED, cleared, f"{why}, for shape {Shape.FROM_ONSET.value}")]
    if first_bad is None:
        why = f"after the last good {case.words.one}" if last_good else case.none_judged
        return [*parts, TierStretch(TierName.POSSIBLE, case.all - cleared, why)]
    if len(before) < len(case.goods):
        _report_good_after_bad(case, first_bad)
        return [
            *parts,
            case.single_goods(case.all - cleared),
            case.single_bads(),
            TierStretch(TierName.POSSIBLE, case.all - cleared - case.bad - case.good, case.contradicts),
        ]
    proven = case.all - case.up_to(first_bad - 1)
    why = f"from the first bad {case.words.one} on, {case.at(case.bads[first_bad])}"
    first = f"the first bad {case.words.one}"
    between = f"between the last good and {first}" if last_good else f"before {first}"
    return [
        *parts,
        TierStretch(TierName.POSSIBLE, case.all - cleared - proven, between),
        TierStretch(TierName.PROVEN, proven, why),
    ]


def _report_good_after_bad(case: _Case, first_bad: int) -> None:
    after = min(position for position in case.goods if position > first_bad)
    judged = sorted([(position, True) for position in case.goods] + [(p, False) for p in case.bads])
    found = brackets(case.all.first, case.all.last, judged)
    between = StrokeSet(tuple(span for bracket in found for span in bracket.suspect.spans))
    case.contradictions.append(
        f"Shape {Shape.FROM_ONSET.value} is contradicted: {case.at(case.bads[first_bad])} was bad, but "
        f"{case.at(case.goods[after])} was good. Good {case.words.many} after the first bad one clear only themselves here. If the fault "
        f"ended by itself, it lies in {case.words.numbers} {between}; if it comes and goes, ask again with shape "
        f"{Shape.INTERMITTENT.value}."
    )


def _whole_life(case: _Case) -> list[TierStretch]:
    shape = f"for shape {Shape.WHOLE_LIFE.value}"
    if case.goods and case.bads:
        good, bad = case.goods[min(case.goods)], case.bads[min(case.bads)]
        case.contradictions.append(
            f"Shape {Shape.WHOLE_LIFE.value} is contradicted: {case.at(bad)} was bad, but {case.at(good)} was good. "
            f"It clears only itself; ask again with shape {Shape.FROM_ONSET.value} or {Shape.INTERMITTENT.value}."
        )
        rest = case.all - case.bad - case.good
        return [
            case.single_bads(),
            case.single_goods(case.all),
            TierStretch(TierName.POSSIBLE, rest, case.contradicts),
        ]
    if case.bads:
        return [
            TierStretch(TierName.PROVEN, case.all, f"{case.at(case.bads[min(case.bads)])} was bad, {shape}")
        ]
    if case.goods:
        return [
            TierStretch(
                TierName.CLEARED, case.all, f"{case.at(case.goods[min(case.goods)])} was good, {shape}"
            )
        ]
    return [TierStretch(TierName.POSSIBLE, case.all, case.none_judged)]


def _window(case: _Case) -> list[TierStretch]:
    outside = case.all - case.window
    strays = [case.bads[position] for position in sorted(case.bads) if position not in case.window]
    if strays:
        case.contradictions.append(
            f"The window is contradicted: {case.at(strays[0])} was bad and lies outside it. Outside the window a good "
            f"{case.words.one} clears only itself."
        )
        rest = case.all - case.bad - case.good
        return [
            case.single_bads(),
            case.single_goods(case.all),
            TierStretch(TierName.POSSIBLE, rest, f"a bad {case.words.one} lies outside the window given"),
        ]
    inside = case.window & case.all
    return [
        case.single_bads(),
        case.single_goods(inside),
        TierStretch(TierName.POSSIBLE, inside - case.bad - case.good, "inside the window given"),
        TierStretch(TierName.CLEARED, outside, f"outside the window given, for shape {Shape.WINDOW.value}"),
    ]


def _intermittent(case: _Case) -> list[TierStretch]:
    rest = case.all - case.bad - case.good
    why = f"{case.none_judged} speaks for another"
    if case.bads and case.goods:
        rate = len(case.bads) / (len(case.bads) + len(case.goods))
        why += (
            f": {len(case.bads)} of {len(case.bads) + len(case.goods)} judged {case.words.many} were bad, and at that rate a "
            f"single {case.words.one} passes by chance {in_percent(pass_by_chance(rate, 1))} of the time"
        )
    return [
        case.single_bads(),
        case.single_goods(case.all),
        TierStretch(TierName.POSSIBLE, rest, why),
    ]


_RULES: dict[Shape, Callable[[_Case], list[TierStretch]]] = {
    Shape.FROM_ONSET: _from_onset,
    Shape.WHOLE_LIFE: _whole_life,
    Shape.WINDOW: _window,
    Shape.INTERMITTENT: _intermittent,
}

"""Where the suspect stretch of a life begins and ends, what each end rests on, and what would widen it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from tracelink.facts.scope_cause import Boundary, JudgedDisc, SuspectEdge
from tracelink.genealogy.containment.holdings import StrokeHoldings
from tracelink.genealogy.containment.lives import StrokeLife
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.suspects.evidence import Judged
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.count_words import PieceWords, counted, kind_words


def boundaries(
    records: Records,
    scope: Scope,
    lives: Sequence[StrokeLife],
    told: Callable[[StrokeLife, Judged], JudgedDisc],
) -> tuple[Boundary, ...]:
    """Return the two ends of every suspected life.

    Args:
        records: the records.
        scope: the containment.
        lives: from `lives_of`.
        told: makes the evidence of a judged disc.
    """
    return tuple(_boundary(records, scope, life, told) for life in lives if life.is_suspected(scope))


def _boundary(
    records: Records, scope: Scope, life: StrokeLife, told: Callable[[StrokeLife, Judged], JudgedDisc]
) -> Boundary:
    axis = life.axis
    good, bad = _ends(scope, life)
    return Boundary(
        kind=axis.kind,
        code=axis.code,
        first=axis.positions.first,
        last=axis.positions.last,
        last_good=None if good is None else _edge(records, scope, life, good, told),
        first_bad=None if bad is None else _edge(records, scope, life, bad, told),
        why=_why(scope, life, good, bad),
        widens=tuple(_widens(scope, life, good, bad)),
    )


def _has_onset(scope: Scope, life: StrokeLife) -> bool:
    """Return whether the shape was read along this life; the lives below a mother are judged each as a whole."""
    onset = scope.shape is Shape.FROM_ONSET and not scope.clauses
    return onset and life.axis.ordered and life.axis.kind == scope.kind


def _ends(scope: Scope, life: StrokeLife) -> tuple[Judged | None, Judged | None]:
    if not _has_onset(scope, life):
        return None, None
    bad = next((one for one in life.judged if not one.good), None)
    before = [one for one in life.judged if one.good and (bad is None or one.position < bad.position)]
    return (before[-1] if before else None), bad


def _edge(
    records: Records,
    scope: Scope,
    life: StrokeLife,
    judged: Judged,
    told: Callable[[StrokeLife, Judged], JudgedDisc],
) -> SuspectEdge:
    fact = judged.judgement
    return SuspectEdge(
        told(life, judged),
        _stacked_at(records, fact.lot, fact.stroke),
        _may_be_in(scope, life, judged.position + 1),
    )


def _stacked_at(records: Records, lot: str, stroke: int) -> str:
    for move in records.movements_of(lot):
        if (
            move.source == DiscPlace.COUNTER
            and move.first is not None
            and move.last is not None
            and move.first <= stroke <= move.last
        ):
            return move.at
    return ""


def _may_be_in(scope: Scope, life: StrokeLife, position: int) -> tuple[str, ...]:
    """Where the disc at a position may be now."""
    if not isinstance(scope.holdings, StrokeHoldings):
        return ()
    found: list[str] = []
    for lot, strokes in life.axis.lots(StrokeSet.between(position, position)):
        history = scope.holdings.histories.get(lot)
        if history is not None:
            found += [place for place, lump in history.at.items() if history.strokes_in(lump) & strokes]
    return tuple(found)


def _why(scope: Scope, life: StrokeLife, good: Judged | None, bad: Judged | None) -> str:
    words = scope.words
    if scope.clauses:
        return f"Several causes, or what a station or person did, were asked about: how judged {words.many} speak for each life stands in the reasons."
    name = f"{kind_words(life.axis.kind)} {life.axis.code}"
    if not _has_onset(scope, life):
        return _WHY[scope.shape].format(name=name, kind=kind_words(scope.kind), one=words.one)
    if bad is None:
        return f"No {words.one} of {name} was judged bad: the last good one is the start, and there is no stop but the last {words.one} {words.made}."
    if any(one.good and one.position > bad.position for one in life.judged):
        return f"A good {words.one} follows a bad one on {name}, which shape {scope.shape.value} does not allow: see the contradictions."
    start = (
        f"after {words.number} {good.position}, which was good"
        if good
        else f"with its first {words.one}, as none before was judged"
    )
    return (
        f"Damage stays once it is there: on {name} it began {start}, and at {words.number} {bad.position}, which was bad, at the "
        f"latest. It reaches to the last {words.one} {words.made}, {words.number} {life.axis.positions.last}: nothing recorded stops it."
    )


_WHY = {
    Shape.FROM_ONSET: "What is grown from a {kind} after its fault began is wrong for its whole life: each judged {one} of {name} speaks for all of it.",
    Shape.WHOLE_LIFE: "Made wrong or made right: each judged {one} speaks for the whole life of {name}.",
    Shape.WINDOW: "The window given is the stretch: nothing on {name} outside it is asked about.",
    Shape.INTERMITTENT: "A fault that comes and goes has no start and no stop on {name}: each judged {one} speaks for itself.",
}


def _widens(scope: Scope, life: StrokeLife, good: Judged | None, bad: Judged | None) -> Iterator[str]:
    words = scope.words
    if good is not None:
        yield _without_good(life, good, words)
    if bad is not None:
        yield _without_bad(life, bad, words)
    cleared = life.in_tier(scope, TierName.CLEARED) - StrokeSet.from_strokes(
        one.position for one in life.judged if one.good
    )
    if cleared and scope.shape is not Shape.INTERMITTENT:
        yield (
            f"If the fault comes and goes, no judged {words.one} speaks for another: {counted(len(cleared), f'cleared {words.one}')} "
            f"become possible (ask again with shape {Shape.INTERMITTENT.value})."
        )


def _without_good(life: StrokeLife, good: Judged, words: PieceWords) -> str:
    earlier = [one.position for one in life.judged if one.good and one.position < good.position]
    since = max(earlier, default=0)
    more = len(life.axis.positions & StrokeSet.between(since + 1, good.position))
    rest = (
        f"{words.number} {since} is the last good one"
        if earlier
        else f"no earlier {words.one} was judged good"
    )
    return f"If {good} is doubted, {rest}: {counted(more, f'more {words.one}')} become possible."


def _without_bad(life: StrokeLife, bad: Judged, words: PieceWords) -> str:
    later = [one.position for one in life.judged if not one.good and one.position > bad.position]
    if not later:
        return f"If {bad} is doubted, no {words.one} is proven bad: everything after the last good {words.one} is possible only."
    lost = len(life.axis.positions & StrokeSet.between(bad.position, later[0] - 1))
    return f"If {bad} is doubted, {words.number} {later[0]} is the first bad one: {counted(lost, words.one)} are possible and not proven."

"""What a containment case keeps of a scope, and how a later scope of the same question differs from it.

A disc of a lot is in one tier or in none; so two scopes differ in exactly the strokes whose tier differs, and each
such stroke came in, went out, or is suspected more or less than before. Containers differ in the same way by what
they can hold. Both directions are shown: what came in is what a person must act on, what went out is what a person
may be asked to account for, and neither takes anything away from the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum

from tracelink.genealogy.containment.scope import Scope, bounds_of
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import NO_STROKES, Span, StrokeSet
from tracelink.ledger.count_words import counted
from tracelink.ledger.kinds.case_scope import CaseContainer, CasePlace, CaseSpan, CaseTier, ScopeSummary

OUTSIDE = "not in the scope"
"""The tier of strokes that a scope says nothing of."""

_SUSPICION = {OUTSIDE: 0, TierName.CLEARED.value: 0, TierName.POSSIBLE.value: 1, TierName.PROVEN.value: 2}


class Way(StrEnum):
    """How a difference points."""

    IN = "into scope"
    MORE = "more suspect"
    LESS = "less suspect"
    OUT = "out of scope"
    SAME = "as suspect"
    """Suspected as before, but something else about it changed."""


@dataclass(frozen=True, slots=True)
class StrokesDiffer:
    """Strokes of a lot whose tier is another one now."""

    way: Way
    lot: str
    strokes: StrokeSet
    before: str
    """A tier, or `OUTSIDE`."""
    now: str
    reason: str
    """Why they are where they are now; why they were where they were, if nothing is said of them now."""


@dataclass(frozen=True, slots=True)
class ContainerDiffers:
    """A container that can hold more or fewer affected discs of a lot than before, or is somewhere else."""

    way: Way
    code: str
    kind: str
    lot: str
    before: tuple[int, int]
    """Least and most before."""
    now: tuple[int, int]
    where_before: str
    where: str
    reason: str


@dataclass(frozen=True, slots=True)
class ScopeDifference:
    """Two scopes of one case beside each other."""

    heads: tuple[int, int]
    """The last entries that the two scopes looked at."""
    strokes: tuple[StrokesDiffer, ...]
    containers: tuple[ContainerDiffers, ...]
    gaps_new: tuple[str, ...]
    gaps_gone: tuple[str, ...]
    contradictions_new: tuple[str, ...]
    contradictions_gone: tuple[str, ...]
    total_before: CasePlace
    total_now: CasePlace

    @property
    def differs(self) -> bool:
        """True if anything but the head is another."""
        return bool(
            self.strokes
            or self.containers
            or self.gaps_new
            or self.gaps_gone
            or self.contradictions_new
            or self.contradictions_gone
            or self.total_before != self.total_now
        )


def summary_of(scope: Scope) -> ScopeSummary:
    """Return what a case keeps of a scope; containers that cannot hold an affected disc are left out."""
    return ScopeSummary(
        cause=scope.cause,
        head_seq=scope.head[0],
        head_hash=scope.head[1],
        tiers=tuple(
            CaseTier(
                tier.name.value,
                tier.lot,
                tuple(CaseSpan(span.first, span.last) for span in tier.strokes.spans),
                tier.reason,
            )
            for tier in scope.tiers
        ),
        containers=tuple(
            CaseContainer(
                code=held.code,
                kind=held.kind,
                status=held.status,
                lot=held.lot,
                pieces=held.pieces,
                least=held.least,
                most=held.most,
                parents=held.parents,
                consignee=held.consignee,
                shipped=held.shipped,
            )
            for held in scope.containers
            if held.most
        ),
        places=tuple(CasePlace(line.place, line.pieces, line.least, line.most) for line in scope.places),
        consignees=tuple(_consignees(scope)),
        lots=tuple(dict.fromkeys([*(tier.lot for tier in scope.tiers), *scope.co_affected])),
        gaps=scope.gaps,
        contradictions=scope.contradictions,
    )


def _consignees(scope: Scope) -> Iterator[CasePlace]:
    """Bound what each consignee has or is to have, and what it has where the rest is still on its way."""
    for group in scope.groups:
        if group.kind != "consignee" or not group.bound.most:
            continue
        yield CasePlace(group.code, group.bound.pieces, group.bound.least, group.bound.most)
        meant = [held for held in scope.containers if held.most and held.consignee == group.code]
        left = {held.code for held in meant if held.shipped}
        if left and not all(held.shipped for held in meant):
            there = bounds_of(scope, left)
            yield CasePlace(group.code, there.pieces, there.least, there.most)


def strokes_of(tier: CaseTier) -> StrokeSet:
    """The strokes of a kept tier."""
    return StrokeSet.of(*(Span(span.first, span.last) for span in tier.spans))


def difference(before: ScopeSummary, now: ScopeSummary) -> ScopeDifference:
    """Say what is different in the later of two scopes.

    Args:
        before: the earlier scope.
        now: the later one, of the same question or of another that took its place.
    """
    strokes = tuple(_strokes(before, now))
    return ScopeDifference(
        heads=(before.head_seq, now.head_seq),
        strokes=strokes,
        containers=tuple(_containers(before, now, strokes)),
        gaps_new=_only(now.gaps, before.gaps),
        gaps_gone=_only(before.gaps, now.gaps),
        contradictions_new=_only(now.contradictions, before.contradictions),
        contradictions_gone=_only(before.contradictions, now.contradictions),
        total_before=before.total,
        total_now=now.total,
    )


def _only(these: Iterable[str], those: Iterable[str]) -> tuple[str, ...]:
    known = set(those)
    return tuple(text for text in these if text not in known)


def _way(before: int, now: int) -> Way:
    if before == now:
        return Way.SAME
    if not before:
        return Way.IN
    if not now:
        return Way.OUT
    return Way.MORE if now > before else Way.LESS


def _strokes(before: ScopeSummary, now: ScopeSummary) -> Iterator[StrokesDiffer]:
    for lot in dict.fromkeys(tier.lot for tier in (*before.tiers, *now.tiers)):
        old, new = _parts(before, lot), _parts(now, lot)
        old.append((OUTSIDE, _all(new) - _all(old), ""))
        new.append((OUTSIDE, _all(old) - _all(new), ""))
        for was, were, because in old:
            for is_now, are, why in new:
                moved = were & are
                if moved and was != is_now:
                    way = _way(_SUSPICION[was], _SUSPICION[is_now])
                    reason = why or f"nothing is said of them any more; before: {because}"
                    yield StrokesDiffer(way, lot, moved, was, is_now, reason)


_Part = tuple[str, StrokeSet, str]


def _parts(scope: ScopeSummary, lot: str) -> list[_Part]:
    return [(tier.tier, strokes_of(tier), tier.reason) for tier in scope.tiers if tier.lot == lot]


def _all(parts: Iterable[_Part]) -> StrokeSet:
    found = NO_STROKES
    for _tier, strokes, _reason in parts:
        found |= strokes
    return found


def _containers(
    before: ScopeSummary, now: ScopeSummary, strokes: Iterable[StrokesDiffer]
) -> Iterator[ContainerDiffers]:
    old, new = ({(held.code, held.lot): held for held in scope.containers} for scope in (before, now))
    ways: dict[str, dict[Way, None]] = {}
    for differ in strokes:
        ways.setdefault(differ.lot, {})[differ.way] = None
    for key in dict.fromkeys([*old, *new]):
        was, is_now = old.get(key), new.get(key)
        if was is None or is_now is None or _seen(was) != _seen(is_now):
            yield _container(was, is_now, ways)


def _seen(held: CaseContainer) -> tuple[int, int, int, str]:
    return held.pieces, held.least, held.most, where(held)


def _container(
    was: CaseContainer | None, is_now: CaseContainer | None, ways: Mapping[str, Iterable[Way]]
) -> ContainerDiffers:
    known = is_now or was
    assert known is not None
    bounds = [(0, 0) if held is None else (held.least, held.most) for held in (was, is_now)]
    way = _way(bounds[0][1], bounds[1][1])
    if way is Way.SAME and bounds[0][0] != bounds[1][0]:
        way = Way.MORE if bounds[1][0] > bounds[0][0] else Way.LESS
    return ContainerDiffers(
        way=way,
        code=known.code,
        kind=known.kind,
        lot=known.lot,
        before=bounds[0],
        now=bounds[1],
        where_before="" if was is None else where(was),
        where="" if is_now is None else where(is_now),
        reason="; ".join(_reasons(known.lot, was, is_now, ways.get(known.lot, ()))),
    )


def _reasons(
    lot: str, was: CaseContainer | None, is_now: CaseContainer | None, ways: Iterable[Way]
) -> list[str]:
    changed = ", ".join(way.value for way in ways)
    found = [f"strokes of lot {lot}: {changed}"] if changed else []
    if was is not None and is_now is not None:
        if was.pieces != is_now.pieces:
            found.append(
                f"{counted(was.pieces, 'disc')} of the lot {'was' if was.pieces == 1 else 'were'} in it, {is_now.pieces} now"
            )
        if where(was) != where(is_now):
            found.append(f"it was {where(was)} and is {where(is_now)}")
    return found or ["movements recorded since then changed what it can hold"]


def where(held: CaseContainer) -> str:
    """Where a container was, in words."""
    inside = f" in {' in '.join(held.parents)}" if held.parents else ""
    gone = f", shipped to {held.consignee}" if held.shipped else ""
    return f"{held.status or held.kind}{inside}{gone}"

"""Certificates: what a stranger needs to check every bound of a scope against the movements, as plain data.

A bound is certified by an assignment of discs that reaches it and by prices that show that no assignment goes
beyond it (proof.py). Both are lists of small numbers; what a movement or a class is, the reader gets from the
journal and the tiers of the scope. DEVELOPERS.md describes every field; check_certificate.py checks them.

Bounds from the arithmetic of pools are certified the same way: the assignment and the prices are found when the
certificate is written, so nobody has to trust that arithmetic.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from tracelink.genealogy.containment.by_place.touched_lots import TouchedLot
from tracelink.genealogy.containment.direct import PlaceHoldings
from tracelink.genealogy.containment.group_totals import place_name
from tracelink.genealogy.containment.held import (
    BACK_LOOSE,
    TOTAL,
    UNACCOUNTED,
    ContainerBound,
    GroupBound,
    PlaceTotal,
)
from tracelink.genealogy.containment.holdings import LotHoldings, StrokeHoldings
from tracelink.genealogy.containment.mixed import MixedHoldings
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.flow.exact import LEAST, MOST, Side
from tracelink.genealogy.flow.network import Network, counted
from tracelink.genealogy.flow.proof import Prices
from tracelink.genealogy.flow.solve import Assignment
from tracelink.genealogy.flow.touched_layers import Touching
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.ledger.closed_sets import DiscPlace

FORMAT = 1
"""Raised when a field changes its meaning."""

SIDES = (("least", LEAST), ("most", MOST))
"""The two sides of a bound, as they are called in a certificate."""


@dataclass(frozen=True, slots=True)
class Claimed:
    """A bound that is to be certified."""

    kind: str
    """container, together, place, or the kind of a group."""
    code: str
    """What it is about; for `together` the codes with commas between."""
    places: tuple[str, ...]
    """The containers and places whose discs are counted."""
    lot: str | None
    """The one lot it counts; None for all lots of the scope."""


def claims_of(
    containers: Sequence[ContainerBound],
    groups: Iterable[GroupBound],
    lines: Iterable[PlaceTotal],
    sets: Iterable[tuple[str, Iterable[str]]] = (),
) -> list[Claimed]:
    """Every bound of a scope, in the order in which the scope lists them.

    Args:
        containers: the containers of a containment.
        groups: its groups.
        lines: its lines of places.
        sets: (codes with commas between, places) of the sets that were asked for.
    """
    found = [Claimed("container", held.code, (held.code,), held.lot) for held in containers]
    found += [Claimed(group.kind, group.code, group.places, None) for group in groups]
    by_place: dict[str, set[str]] = {
        DiscPlace.SCRAP: {DiscPlace.SCRAP},
        UNACCOUNTED: {DiscPlace.COUNTER},
        BACK_LOOSE: {DiscPlace.CUSTOMERS},
    }
    for held in containers:
        by_place.setdefault(place_name(held), set()).add(held.code)
    found += [
        Claimed("place", line.place, tuple(sorted(by_place[line.place])), None)
        for line in lines
        if line.place != TOTAL
    ]
    return found + [Claimed("together", code, tuple(sorted(places)), None) for code, places in sets]


def certificate_of(scope: Scope, sets: Iterable[tuple[str, Iterable[str]]] = ()) -> dict[str, Any]:
    """The certificate of a scope as plain data, in the time that its question left; see `claims_of` for `sets`."""
    with scope.budget:
        return _certificate(scope, sets)


def _certificate(scope: Scope, sets: Iterable[tuple[str, Iterable[str]]]) -> dict[str, Any]:
    claims = claims_of(scope.containers, scope.groups, scope.places, sets)
    if isinstance(scope.holdings, PlaceHoldings):
        # Only the containers of the cause count; what else was scrapped of their lots is not in question.
        known = {held.code for held in scope.containers}
        bounds = [{**_head(claim), "places": sorted(known.intersection(claim.places))} for claim in claims]
        return {"format": FORMAT, "by": "place", "lots": [], "bounds": bounds}
    touched: Mapping[str, TouchedLot] = {}
    strokes = scope.holdings
    if isinstance(strokes, MixedHoldings) and strokes.networks:
        touched, strokes = strokes.networks, strokes.strokes
        # The tiers say only how many there are by stroke; all of them together are bounded like any other places.
        everywhere = {place for held in strokes.lots.values() for place in held.history.at}
        claims.append(Claimed("place", TOTAL, tuple(sorted(everywhere)), None))
    if not isinstance(strokes, StrokeHoldings):
        return {"format": FORMAT, "by": "nothing", "lots": [], "bounds": []}
    writers = {lot: _LotWriter(held, touched.get(lot)) for lot, held in strokes.lots.items()}
    unclaimed = strokes.unclaimed
    bounds = [_bound(claim, writers, unclaimed) for claim in claims]
    lots = [writer.lot() for writer in writers.values()]
    return {"format": FORMAT, "by": "stroke", "lots": lots, "bounds": bounds}


def spans_of(strokes: StrokeSet) -> list[list[int]]:
    """Strokes as [first, last] pairs."""
    return [[span.first, span.last] for span in strokes.spans]


def _touching(touching: Touching) -> dict[str, Any]:
    return {"strokes": spans_of(touching.strokes), "stood": [list(one) for one in touching.stood]}


def _head(claim: Claimed) -> dict[str, Any]:
    return {"kind": claim.kind, "code": claim.code, "lot": claim.lot, "places": list(claim.places)}


def _bound(claim: Claimed, writers: dict[str, _LotWriter], unclaimed: set[str]) -> dict[str, Any]:
    places = frozenset(claim.places)
    of_lots = [
        writer.sides(places - unclaimed, places & unclaimed)
        for lot, writer in writers.items()
        if claim.lot in (None, lot) and writer.is_in(places)
    ]
    return {**_head(claim), "lots": of_lots}


@dataclass(slots=True)
class _SideWriter:
    """Assignments and prices of one side of a lot; each is written once and named by its number."""

    network: Network | None
    """None if there was no time to read it; then no bound has this side."""
    assignments: list[dict[str, Any]] = field(default_factory=list)
    prices: list[dict[str, Any]] = field(default_factory=list)
    written: dict[int, tuple[int, Assignment]] = field(default_factory=dict)
    """Identity of an assignment -> its number, and itself, so that nothing else takes its identity."""
    seen: dict[tuple[object, ...], int] = field(default_factory=dict)

    def side(self, side: Side | None) -> dict[str, Any] | None:
        if side is None:
            return None
        parts = [
            [
                part,
                extreme.value,
                self._assignment(part, extreme.reached),
                self._priced(part, extreme.prices, extreme.per),
            ]
            for part, extreme in side.parts
        ]
        return {"bound": side.value, "settled": side.settled, "parts": parts}

    def _assignment(self, part: int, reached: Assignment | None) -> int | None:
        if reached is None:
            return None
        # Thousands of bounds share an assignment of thousands of numbers: it is known by itself, not by what is in it.
        if id(reached) not in self.written:
            went = [
                [*self._step(step), number, count] for (step, number), count in sorted(reached.moved.items())
            ]
            self.written[id(reached)] = len(self.assignments), reached
            self.assignments.append({"part": part, "went": went})
        return self.written[id(reached)][0]

    def _priced(self, part: int, prices: Prices | None, per: int) -> int | None:
        if prices is None:
            return None
        each = [[*self._step(step), price] for step, price in sorted(prices.items())]
        known = (part, per, tuple(sorted(prices.items())))
        if known not in self.seen:
            self.seen[known] = len(self.prices)
            self.prices.append({"part": part, "per": per, "each": each})
        return self.seen[known]

    def _step(self, number: int) -> tuple[int, int]:
        assert self.network is not None
        step = self.network.steps[number]
        return step.seq, step.line

    def data(self) -> dict[str, Any]:
        known = [] if self.network is None else self.network.classes
        classes = [{"strokes": spans_of(one.strokes), "part": one.part} for one in known]
        return {"classes": classes, "assignments": self.assignments, "prices": self.prices}


class _LotWriter:
    """The certificates of one lot."""

    def __init__(self, held: LotHoldings, touched: TouchedLot | None) -> None:
        self._held = held
        self._touched = touched
        self._counts = counted(held.exact.steps)
        self._counts[DiscPlace.COUNTER] = self._counts.get(DiscPlace.COUNTER, 0) + len(held.history.pressed)
        self._sides = {name: _SideWriter(self._network(sign)) for name, sign in SIDES}

    def _network(self, sign: int) -> Network | None:
        held = self._held if self._touched is None or sign == LEAST else self._touched
        read = held.exact.network(sign)
        return None if read is None else read.network

    def _side(self, places: frozenset[str], sign: int) -> Side | None:
        if self._touched is not None and sign == MOST:
            return self._touched.most(places)
        return self._held.exact.side(places, sign)

    def is_in(self, places: frozenset[str]) -> bool:
        # Where movements conflict the counts do not say where discs are.
        return bool(self._held.conflicts) or any(self._counts.get(place, 0) > 0 for place in places)

    def sides(self, places: frozenset[str], unclaimed: frozenset[str]) -> dict[str, Any]:
        known = {
            name: None if self._held.conflicts else self._sides[name].side(self._side(places, sign))
            for name, sign in SIDES
        }
        open_ones = sorted(place for place in unclaimed if place in self._held.history.at)
        return {"lot": self._held.history.lot, "unclaimed": open_ones, **known}

    def lot(self) -> dict[str, Any]:
        unsealed = [
            [step.seq, step.line, step.quantity, step.source, step.target]
            for step in self._held.exact.steps
            if step.seq > self._held.head
        ]
        return {
            "lot": self._held.history.lot,
            "pressed": spans_of(self._held.history.pressed),
            "possible": not self._held.conflicts,
            "unsealed": unsealed,
            **({} if self._touched is None else {"touched": _touching(self._touched.touching)}),
            **{name: self._sides[name].data() for name, _ in SIDES},
        }

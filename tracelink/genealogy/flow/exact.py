"""Exact bounds of one lot, part by part, each with what shows that it is right.

The arithmetic of pools (pool_bounds.py) is exact and quick for discs that were picked from one stack; here is what
holds for all of them. The parts of a network are independent, so the bound of a set of places is the sum over
its parts. What was found for a part is kept: many places share an assignment that fills each to its most, and
an assignment that is already there costs nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from tracelink.genealogy.flow.network import Network, NetworkStep
from tracelink.genealogy.flow.proof import Moved, Prices, ceiling, stocks
from tracelink.genealogy.flow.read_network import network_of
from tracelink.genealogy.flow.solve import Extreme, Solver, TooLarge
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet

MOST, LEAST = 1, -1
"""Which bound: the sign of the suspects."""


@dataclass(frozen=True, slots=True)
class Side:
    """The most or the least of some places of a lot."""

    value: int
    """The bound."""
    settled: int
    """Suspects in the places that no part has, because the records say where they are."""
    parts: tuple[tuple[int, Extreme], ...]
    """By part; parts without suspects, or that cannot reach the places, are left out: they add 0."""

    @property
    def tight(self) -> bool:
        """True if every part's bound is reached and known to be the last."""
        return all(extreme.tight for _, extreme in self.parts)


@dataclass(frozen=True, slots=True)
class _Known:
    """An assignment of a part, with the suspects that it leaves in each place."""

    moved: Moved
    left: dict[str, int]


@dataclass(slots=True)
class _Tried:
    """What was found for a part so far."""

    assignments: list[_Known] = field(default_factory=list)
    extremes: dict[tuple[frozenset[str], int], Extreme | None] = field(default_factory=dict)
    given_up: bool = False
    """True once a solve went past its limits: the next one would, too, and somebody waits for each."""


class LotNetwork:
    """Bounds of one lot for one set of suspects.

    Args:
        pressed: the strokes counted at the press.
        steps: the movements of the lot in journal order.
        suspects: the strokes that count.
    """

    def __init__(self, pressed: StrokeSet, steps: Sequence[NetworkStep], suspects: StrokeSet) -> None:
        self.network: Network = network_of(pressed, steps, suspects)
        self._solver = Solver(self.network)
        self._tried = [_Tried() for _ in self.network.parts]
        self._counting = [self.network.counts(number) for number in range(len(self.network.parts))]

    def side(self, places: frozenset[str], sign: int) -> Side | None:
        """The most or the least of some places together.

        Args:
            places: the places.
            sign: `MOST` or `LEAST`.

        Returns:
            None if the movements cannot all be true, or if a part is too large to say anything.
        """
        if self.network.wrong is not None:
            return None
        settled = self.network.settled(places)
        parts: list[tuple[int, Extreme]] = []
        for number in self.network.touching(places):
            if not self._counting[number]:
                continue
            extreme = self._extreme(number, places & self.network.parts[number].ends, sign)
            if extreme is None:
                return None
            parts.append((number, extreme))
        value = settled + sum(extreme.value for _, extreme in parts)
        return Side(value, settled, tuple(parts))

    def impossible(self) -> bool:
        """Return whether no assignment satisfies the movements; parts that are too large to solve are passed over."""
        return self.network.wrong is not None or any(
            self._is_impossible(number) for number in range(len(self.network.parts))
        )

    def _is_impossible(self, number: int) -> bool:
        try:
            return self._solver.any_assignment(number) is None
        except TooLarge:
            return False

    def _extreme(self, number: int, places: frozenset[str], sign: int) -> Extreme | None:
        tried = self._tried[number]
        if (places, sign) not in tried.extremes:
            tried.extremes[places, sign] = self._recalled(number, places, sign) or self._solved(
                number, places, sign
            )
        return tried.extremes[places, sign]

    def _recalled(self, number: int, places: frozenset[str], sign: int) -> Extreme | None:
        """An assignment at hand that reaches what prices at hand allow."""
        offers = [
            (ceiling(self.network, number, prices, 1, places, sign), prices)
            for prices in self._offers(number, places)
        ]
        most, prices = min(offers, key=lambda offer: offer[0])
        for known in self._tried[number].assignments:
            if sign * sum(known.left.get(place, 0) for place in places) == most:
                return Extreme(sign * most, known.moved, prices, 1, exhausted=False)
        return None

    def _offers(self, number: int, places: frozenset[str]) -> Iterable[Prices]:
        """Prices worth trying: none at all, and those that count the discs in the places, either way."""
        yield {}
        steps = self.network.steps
        enters = {
            step: (steps[step].target in places) - (steps[step].source in places)
            for step in self.network.parts[number].steps
        }
        yield {step: price for step, price in enters.items() if price}
        yield {step: -price for step, price in enters.items() if price}

    def _solved(self, number: int, places: frozenset[str], sign: int) -> Extreme | None:
        if self._tried[number].given_up:
            return None
        try:
            extreme = self._solver.extreme(number, places, sign)
        except TooLarge:
            self._tried[number].given_up = True
            return None
        if extreme is not None and extreme.moved is None:
            self._tried[number].given_up = True
        if extreme is not None and extreme.moved is not None:
            left = stocks(self.network, number, extreme.moved)
            self._tried[number].assignments.append(_Known(extreme.moved, left))
        return extreme


@dataclass(slots=True)
class LotExact:
    """Both bounds of one lot: the least counts the proven strokes, the most the possible ones as well."""

    pressed: StrokeSet
    """The strokes counted at the press."""
    steps: tuple[NetworkStep, ...]
    """The movements in journal order."""
    proven: StrokeSet
    """Strokes that are affected."""
    suspect: StrokeSet
    """Strokes that are, or may be."""
    _networks: dict[int, LotNetwork] = field(default_factory=dict)

    def network(self, sign: int) -> LotNetwork:
        """The network of a side."""
        if sign not in self._networks:
            suspects = self.suspect if sign == MOST else self.proven
            self._networks[sign] = LotNetwork(self.pressed, self.steps, suspects)
        return self._networks[sign]

    def side(self, places: frozenset[str], sign: int) -> Side | None:
        """The most or the least of some places together; None as for `LotNetwork.side`."""
        return self.network(sign).side(places, sign)

    def impossible(self) -> bool:
        """Return whether no assignment satisfies the movements, whoever is suspect."""
        return LotNetwork(self.pressed, self.steps, NO_STROKES).impossible()

"""Exact bounds of one lot, part by part, each with what shows that it is right.

The arithmetic of pools (pool_bounds.py) is exact and quick for discs that were picked from one stack; here is what
holds for all of them. The parts of a network are independent, so the bound of a set of places is the sum over
its parts. Mostly counts alone are a ceiling that is reached (by_count.py); then all that is sought is an assignment,
and one that fills many places serves each of them. Only what is left is solved for its own prices.

Past its limits, of size or of time, a bound is what the counts say: valid, shown by its prices, and not called exact.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from tracelink.genealogy.flow.budget import Budget, NotSolved
from tracelink.genealogy.flow.by_count import PartCounts, counts_of, offers, prices_of
from tracelink.genealogy.flow.network import Network, NetworkStep
from tracelink.genealogy.flow.read_network import network_of
from tracelink.genealogy.flow.solve import Assignment, Extreme, Solver
from tracelink.genealogy.model.strokes import StrokeSet

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


@dataclass(slots=True)
class _Tried:
    """What was found for a part so far."""

    assignments: list[Assignment] = field(default_factory=list)
    extremes: dict[tuple[frozenset[str], int], Extreme | None] = field(default_factory=dict)
    counts: PartCounts | None = None
    covered: set[int] = field(default_factory=set)
    """The signs for which single places were filled together."""
    given_up: bool = False
    """True once a solve went past its limits: the next one would, too, and somebody waits for each."""


class LotNetwork:
    """Bounds of one lot for one set of suspects.

    Args:
        pressed: the strokes counted at the press.
        steps: the movements of the lot in journal order.
        suspects: the strokes that count.
        budget: the time there is.

    Raises:
        NotSolved: there is not enough time to read them.
    """

    def __init__(
        self,
        pressed: StrokeSet,
        steps: Sequence[NetworkStep],
        suspects: StrokeSet,
        budget: Budget,
    ) -> None:
        self.network: Network = network_of(pressed, steps, suspects, budget)
        self._budget = budget
        self._solver = Solver(self.network, budget)
        self._tried = [_Tried() for _ in self.network.parts]
        self._counting = [self.network.counts(number) for number in range(len(self.network.parts))]

    def side(self, places: frozenset[str], sign: int) -> Side | None:
        """The most or the least of some places together.

        Args:
            places: the places.
            sign: `MOST` or `LEAST`.

        Returns:
            None if the movements cannot all be true, or there is no time left even for counts.
        """
        if self.network.wrong is not None or self._budget.ends():
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

    def can_be_true(self) -> bool | None:
        """Return whether some assignment satisfies the movements; None if that is not known within the limits."""
        if self.network.wrong is not None:
            return False
        found = [self._has_assignment(number) for number in range(len(self.network.parts))]
        if False in found:
            return False
        return None if None in found else True

    def _has_assignment(self, number: int) -> bool | None:
        tried = self._tried[number]
        if tried.assignments:
            return True
        try:
            one = self._solver.assignment(number, frozenset(), MOST)
        except NotSolved:
            return None
        if one is None:
            return False
        tried.assignments.append(one)
        return True

    def _extreme(self, number: int, places: frozenset[str], sign: int) -> Extreme | None:
        tried = self._tried[number]
        if (places, sign) not in tried.extremes:
            tried.extremes[places, sign] = self._found(number, places, sign)
        return tried.extremes[places, sign]

    def _found(self, number: int, places: frozenset[str], sign: int) -> Extreme | None:
        tried = self._tried[number]
        most, priced = self._by_count(number, places, sign)
        reached = self._recalled(number, places, sign * most)
        if reached is None and sign not in tried.covered:
            tried.covered.add(sign)
            self._cover(number, sign)
            reached = self._recalled(number, places, sign * most)
        prices = prices_of(self._counts(number), priced, sign)
        by_count = Extreme(sign * most, reached, prices, 1)
        # Where counts are a ceiling that is reached, no other prices can help.
        if reached is not None or tried.given_up:
            return by_count
        try:
            extreme = self._solver.extreme(number, places, sign)
        except NotSolved:
            tried.given_up = True
            return by_count
        if extreme is None:
            return None
        if extreme.reached is None:
            tried.given_up = True
            return by_count if most <= sign * extreme.value else extreme
        tried.assignments.append(extreme.reached)
        return extreme

    def _recalled(self, number: int, places: frozenset[str], value: int) -> Assignment | None:
        """An assignment at hand that leaves so many suspects in the places."""
        known = self._tried[number].assignments
        return next((one for one in known if one.suspects(places) == value), None)

    def _by_count(self, number: int, places: frozenset[str], sign: int) -> tuple[int, frozenset[str]]:
        return min(offers(self._counts(number), places, sign), key=lambda offer: offer[0])

    def _counts(self, number: int) -> PartCounts:
        tried = self._tried[number]
        if tried.counts is None:
            tried.counts = counts_of(self.network, number)
        return tried.counts

    def _cover(self, number: int, sign: int) -> None:
        """Find assignments that each reach what counts allow in many single places: they serve most bounds to come."""
        tried = self._tried[number]
        allowed = {
            place: sign * self._by_count(number, frozenset({place}), sign)[0]
            for place in self.network.parts[number].ends
        }
        while not tried.given_up:
            try:
                one = self._solver.assignment(number, frozenset(allowed), sign)
            except NotSolved:
                tried.given_up = True
                return
            if one is None:
                return
            tried.assignments.append(one)
            still = {place: most for place, most in allowed.items() if one.left.get(place, 0) != most}
            # One that serves a single place is no better than the solve which that place would ask for.
            if len(still) <= 1 or len(allowed) - len(still) <= 1:
                return
            allowed = still


@dataclass(slots=True)
class LotExact:
    """Both bounds of one lot: the least counts the proven strokes, the most the possible ones as well."""

    pressed: StrokeSet
    """The strokes counted at the press."""
    make_steps: Callable[[], tuple[NetworkStep, ...]]
    """Returns the steps of the lot, the same each time; pools mostly answer without them."""
    proven: StrokeSet
    """Strokes that are affected."""
    suspect: StrokeSet
    """Strokes that are, or may be."""
    budget: Budget
    """The time there is."""
    _networks: dict[int, LotNetwork | None] = field(default_factory=dict)

    @property
    def steps(self) -> tuple[NetworkStep, ...]:
        """The movements in the order in which they happened."""
        return self.make_steps()

    def network(self, sign: int) -> LotNetwork | None:
        """The network of a side; None if there was no time to read it."""
        if sign not in self._networks:
            suspects = self.suspect if sign == MOST else self.proven
            try:
                self._networks[sign] = LotNetwork(self.pressed, self.steps, suspects, self.budget)
            except NotSolved:
                self._networks[sign] = None
        return self._networks[sign]

    def side(self, places: frozenset[str], sign: int) -> Side | None:
        """The most or the least of some places together; None as for `LotNetwork.side`, or if there was no time."""
        network = self.network(sign)
        return None if network is None else network.side(places, sign)

    def can_be_true(self) -> bool | None:
        """Return whether some assignment satisfies the movements, whoever is suspect; None if that is not known."""
        network = self.network(MOST)
        return None if network is None else network.can_be_true()

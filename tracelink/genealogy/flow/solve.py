"""The most and the least of one part of a network, by linear and integer programming.

Theory of operation. The equations of a part (equations.py) are a flow through its futures, tied together by the counts
of the steps. HiGHS solves the linear program first:
its prices are a ceiling that anybody can check (proof.py). Mostly its solution is whole already, as it always
is when only suspect and clean tell the discs apart: then it is one flow through a network, the clean
discs being what the counts leave over. Where ranges tie several kinds of discs to the same counts, the solution can
have fractions; only then the integer program is solved, which is the definition of the bound.

Measured on a spindle of 400 discs picked into 16 cartons: 1.7 ms for the linear program with prices, 1.1 ms
for the integer program, 0.2 ms for a maximum flow. The flow gives no prices for the many parts that are more than
one flow, so there is one path for all, and candidates for prices are tried before anything is solved.

scipy takes a second to import, so it is imported where something is to be solved.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import floor, inf
from typing import Any

from tracelink.genealogy.flow.budget import Budget, NotSolved
from tracelink.genealogy.flow.equations import Equations, as_matrix, equations_of
from tracelink.genealogy.flow.futures import by_class, futures_of
from tracelink.genealogy.flow.network import Network
from tracelink.genealogy.flow.proof import Moved, Prices, ceiling

FUTURES_AT_MOST = 100_000
"""Larger parts are not solved: about what HiGHS does within a minute on one core."""

_SHARE = 0.5
"""How much of the time that is left one solve may take, so that a hard part leaves time for the others."""

_OUT_OF_TIME = 1
"""What scipy says where a limit of time was reached."""

_WHOLE_WITHIN = 1e-6
"""HiGHS's own feasibility tolerance is 1e-7; counts of discs are whole numbers."""

_PER = (1, 2, 3, 4, 6, 12, 60)
"""Denominators tried for prices: those of the linear program are fractions with small ones."""


@dataclass(frozen=True, slots=True)
class Assignment:
    """A way the discs of a part may have gone that fits the records."""

    moved: Moved
    """How many of each class went with each step."""
    left: Mapping[str, int]
    """Place -> suspects in it at the end; places without are left out."""

    def suspects(self, places: Iterable[str]) -> int:
        """How many suspects it leaves in some places."""
        return sum(self.left.get(place, 0) for place in places)


@dataclass(frozen=True, slots=True)
class Extreme:
    """The most or the least suspects that a part can have in some places."""

    value: int
    """The bound; always valid."""
    reached: Assignment | None
    """An assignment that reaches it; None if none was found."""
    prices: Prices | None
    """Prices that show that nothing beats it; None if only the search of the integer program says so."""
    per: int
    """Unit of the prices."""

    @property
    def moved(self) -> Moved | None:
        """How the discs went that reach it; None if no assignment was found."""
        return None if self.reached is None else self.reached.moved

    @property
    def tight(self) -> bool:
        """True if the bound is reached: one is kept with an assignment only if nothing beats it."""
        return self.reached is not None


class Solver:
    """Solves the parts of one network.

    Args:
        network: the movements of one lot, read.
        budget: the time there is.
    """

    def __init__(self, network: Network, budget: Budget) -> None:
        self._network = network
        self._budget = budget
        self._models: dict[int, Equations] = {}

    def extreme(self, part: int, places: frozenset[str], sign: int) -> Extreme | None:
        """The most (sign 1) or the least (sign -1) suspects a part can have in the places.

        Returns:
            None if no assignment satisfies the movements of the part.

        Raises:
            NotSolved: nothing could be said within the limits.
        """
        solved = self._solved(part, places, sign)
        if solved is None:
            return None
        model, goal, result = solved
        # Weak duality: any prices give a ceiling, and any assignment gives a number that can be. Where the two meet,
        # both are the bound, and neither needs trust in the solver.
        prices, per, most = self._prices(part, places, sign, model, result)
        whole = self._in_whole(part, model, goal, result)
        if whole is None:
            return None
        reached, exhausted = whole
        if reached is not None:
            value = sign * reached.suspects(places)
            if value == most:
                return Extreme(sign * value, reached, prices, per)
            if exhausted:
                # The search is exact where the ceiling is not: the prices prove less, so they are left out.
                return Extreme(sign * value, reached, None, 1)
        return Extreme(sign * most, None, prices, per)

    def assignment(self, part: int, places: frozenset[str], sign: int) -> Assignment | None:
        """An assignment with the most suspects in some places, or the least; None if the part has none at all.

        Raises:
            NotSolved: none was found within the limits.
        """
        solved = self._solved(part, places, sign)
        whole = None if solved is None else self._in_whole(part, *solved)
        if whole is None:
            return None
        if whole[0] is None:
            raise NotSolved
        return whole[0]

    def _solved(
        self, part: int, places: frozenset[str], sign: int
    ) -> tuple[Equations, list[int], Any] | None:
        """The equations, what HiGHS was to make least, and what it found; None if there is no solution."""
        futures = futures_of(self._network, part)
        if not futures.is_possible:
            return None
        if len(futures.known) > FUTURES_AT_MOST:
            raise NotSolved
        self._budget.require()
        model = self._model(part)
        goal = [0] * model.columns
        for place, (columns, _) in model.ends.items():
            if place in places:
                for column in columns:
                    # HiGHS looks for the least, so the most is the least of the negative.
                    goal[column] = -sign
        result = _linear(model, goal, self._limit())
        # 2 says that no solution exists, in fractions already, so none exists in whole discs. Unbounded it cannot be,
        # for each unknown has an upper bound; what is left are limits of time and of arithmetic.
        if result.status == 2:
            return None
        if result.status != 0:
            self._budget.was_short |= result.status == _OUT_OF_TIME
            raise NotSolved
        return model, goal, result

    def _in_whole(
        self, part: int, model: Equations, goal: list[int], result: Any
    ) -> tuple[Assignment | None, bool] | None:
        """The best assignment in whole discs as far as found, and whether all were looked at; None if there is none."""
        reached = self._whole(part, model, result.x)
        if reached is not None:
            return reached, False
        # The best in fractions may be more than the best in whole discs: then no prices meet it, and only a search
        # that looked at everything says what the bound is.
        found = _integer(model, goal, self._limit())
        if found.status == 2:
            return None
        self._budget.was_short |= found.status == _OUT_OF_TIME
        return None if found.x is None else self._whole(part, model, found.x), found.status == 0

    def _limit(self) -> float:
        return self._budget.left * _SHARE

    def _prices(
        self, part: int, places: frozenset[str], sign: int, model: Equations, result: Any
    ) -> tuple[dict[int, int], int, int]:
        """The prices of a linear program as fractions, with the ceiling they give."""
        marginals = result.eqlin.marginals
        # What the constants among the ends count: they are no columns, so the program does not see them.
        known = sign * sum(there for place, (_, there) in model.ends.items() if place in places)
        aim = floor(-result.fun + known + _WHOLE_WITHIN)
        best: tuple[dict[int, int], int, int] | None = None
        # Rounding to whole units makes prices weaker and never wrong, so the first unit that reaches the program's own
        # value is as good as any. The other rows need no price: `ceiling` finds the best way of a disc by itself.
        for per in _PER:
            # A marginal is what the minimum gains by one disc more; a price is what the maximum does.
            prices = {step: round(-marginals[row] * per) for step, row in model.steps.items()}
            prices = {step: price for step, price in prices.items() if price}
            most = ceiling(self._network, part, prices, per, places, sign)
            if best is None or most < best[2]:
                best = (prices, per, most)
            if most <= aim:
                break
        assert best is not None
        return best

    def _whole(self, part: int, model: Equations, values: Any) -> Assignment | None:
        """An assignment from a solution, if it is one in whole numbers."""
        counts = [round(value) for value in values.tolist()]
        near = all(
            abs(count - value) <= _WHOLE_WITHIN for count, value in zip(counts, values.tolist(), strict=True)
        )
        # Rounded together the counts may not fit; the integer program will say.
        if not near or min(counts, default=0) < 0 or not model.hold(counts):
            return None
        went = {future: counts[column] for future, column in model.go.items() if counts[column]}
        left = {
            place: there + sum(counts[column] for column in columns)
            for place, (columns, there) in model.ends.items()
        }
        return Assignment(
            by_class(self._network, part, went), {place: count for place, count in left.items() if count}
        )

    def _model(self, part: int) -> Equations:
        if part not in self._models:
            self._models[part] = equations_of(self._network, part)
        return self._models[part]


def _linear(model: Equations, goal: list[int], seconds: float) -> Any:
    from scipy.optimize import linprog  # noqa: PLC0415  a second to import

    return linprog(
        goal,
        A_eq=as_matrix(model),
        b_eq=model.sides,
        bounds=(0, model.discs),
        # The simplex method ends in a corner, where one flow with whole counts is whole by itself; a method that
        # goes through the inside may end between equal corners, in fractions that ask for the integer program.
        method="highs-ds",
        options=_options(seconds),
    )


def _integer(model: Equations, goal: list[int], seconds: float) -> Any:
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415  a second to import

    return milp(
        goal,
        constraints=LinearConstraint(as_matrix(model), model.sides, model.sides),
        integrality=[1] * model.columns,
        bounds=Bounds(0, model.discs),
        options=_options(seconds),
    )


def _options(seconds: float) -> dict[str, float]:
    return {} if seconds == inf else {"time_limit": seconds}

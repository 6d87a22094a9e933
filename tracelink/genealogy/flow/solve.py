"""The most and the least of one part of a network, by linear and integer programming.

Theory of operation. The equations of a part (equations.py) are a flow for each class, tied together by the counts
of the steps. HiGHS solves the linear program first:
its prices are a ceiling that anybody can check (proof.py). Mostly its solution is whole already, as it always
is when only suspect and clean tell the classes apart: then it is one flow through a network, the clean
discs being what the counts leave over. Where ranges tie several classes to the same counts, the solution can
have fractions; only then the integer program is solved, which is the definition of the bound.

Measured on a spindle of 400 discs picked into 16 cartons: 1.7 ms for the linear program with prices, 1.1 ms
for the integer program, 0.2 ms for a maximum flow. The flow gives no prices for the many parts that are more than
one flow, so there is one path for all, and candidates for prices are tried before anything is solved.

scipy takes a second to import, so it is imported where something is to be solved.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import floor
from typing import Any

from tracelink.errors import NotCertified
from tracelink.genealogy.flow.equations import Equations, as_matrix, equations_of
from tracelink.genealogy.flow.network import Network
from tracelink.genealogy.flow.proof import Moved, Prices, ceiling, reached

UNKNOWNS_AT_MOST = 100_000
"""Larger parts are not solved: about what HiGHS does within a minute on one core."""

SECONDS_AT_MOST = 20.0
"""Time for one solve, so that a question to a whole lot is answered while somebody waits for it."""

_WHOLE_WITHIN = 1e-6
"""HiGHS's own feasibility tolerance is 1e-7; counts of discs are whole numbers."""

_PER = (1, 2, 3, 4, 6, 12, 60)
"""Denominators tried for prices: those of the linear program are fractions with small ones."""


@dataclass(frozen=True, slots=True)
class Extreme:
    """The most or the least suspects that a part can have in some places."""

    value: int
    """The bound; always valid."""
    moved: Moved | None
    """An assignment that reaches it; None if none was found."""
    prices: Prices | None
    """Prices that show that nothing beats it; None if only the solver says so, or nothing does."""
    per: int
    """Unit of the prices."""
    exhausted: bool
    """True if the integer program was solved to the end: then the bound is exact even without prices."""

    @property
    def tight(self) -> bool:
        """True if the bound is reached, and known to be the last."""
        return self.moved is not None and (self.prices is not None or self.exhausted)


class Solver:
    """Solves the parts of one network.

    Args:
        network: the movements of one lot, read.
    """

    def __init__(self, network: Network) -> None:
        self._network = network
        self._models: dict[int, Equations] = {}

    def extreme(self, part: int, places: frozenset[str], sign: int) -> Extreme | None:
        """The most (sign 1) or the least (sign -1) suspects a part can have in the places.

        Returns:
            None if no assignment satisfies the movements of the part.

        Raises:
            TooLarge: nothing could be said within the limits.
        """
        if self._network.size(part) > UNKNOWNS_AT_MOST:
            raise TooLarge
        model = self._model(part)
        goal = [0] * model.columns
        for number, place, column, _ in model.ends:
            if column is not None and place in places and self._network.classes[number].suspect:
                # HiGHS looks for the least, so the most is the least of the negative.
                goal[column] = -sign
        result = _linear(model, goal)
        # 2 says that no solution exists, in fractions already, so none exists in whole discs. Unbounded it cannot be,
        # for each unknown has an upper bound; what is left are limits of time and of arithmetic.
        if result.status == 2:
            return None
        if result.status != 0:
            raise TooLarge
        return self._extreme(part, places, sign, model, goal, result)

    def _extreme(  # noqa: PLR0913, PLR0917 - one solve, seen from all sides
        self, part: int, places: frozenset[str], sign: int, model: Equations, goal: list[int], result: Any
    ) -> Extreme | None:
        # Weak duality: any prices give a ceiling, and any assignment gives a number that can be. Where the two meet,
        # both are the bound, and neither needs trust in the solver.
        prices, per, most = self._prices(part, places, sign, model, result)
        moved = self._whole(part, places, model, result.x)
        exhausted = False
        if moved is None:
            # The best in fractions may be more than the best in whole discs: then no prices meet it, and only a search
            # that looked at everything says what the bound is.
            found = _integer(model, goal)
            if found.status == 2:
                return None
            exhausted = found.status == 0
            moved = None if found.x is None else self._whole(part, places, model, found.x)
        if moved is None:
            return Extreme(sign * most, None, prices, per, exhausted=False)
        value = sign * reached(self._network, part, moved, places)
        if value == most:
            return Extreme(sign * value, moved, prices, per, exhausted=exhausted)
        if exhausted:
            # The search is exact where the ceiling is not: the prices prove less, so they are left out.
            return Extreme(sign * value, moved, None, 1, exhausted=True)
        return Extreme(sign * most, None, prices, per, exhausted=False)

    def any_assignment(self, part: int) -> Moved | None:
        """Some assignment of a part; None if there is none.

        Raises:
            TooLarge: neither was found within the limits.
        """
        found = self.extreme(part, frozenset(), 1)
        if found is None:
            return None
        if found.moved is None:
            raise TooLarge
        return found.moved

    def _prices(
        self, part: int, places: frozenset[str], sign: int, model: Equations, result: Any
    ) -> tuple[dict[int, int], int, int]:
        """The prices of a linear program as fractions, with the ceiling they give."""
        marginals = result.eqlin.marginals
        aim = floor(-result.fun + self._known(places, sign, model) + _WHOLE_WITHIN)
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

    def _known(self, places: frozenset[str], sign: int, model: Equations) -> int:
        """What the constants among the ends count: they are no columns, so the program does not see them."""
        return sign * sum(
            constant
            for number, place, column, constant in model.ends
            if column is None and place in places and self._network.classes[number].suspect
        )

    def _whole(self, part: int, places: frozenset[str], model: Equations, values: Any) -> Moved | None:
        """An assignment from a solution, if it is one in whole numbers."""
        moved: dict[tuple[int, int], int] = {}
        for column, pair in model.went.items():
            count = round(float(values[column]))
            if abs(count - float(values[column])) > _WHOLE_WITHIN:
                return None
            if count:
                moved[pair] = count
        try:
            reached(self._network, part, moved, places)
        except NotCertified:
            # Rounded together the counts do not fit; the integer program will say.
            return None
        return moved

    def _model(self, part: int) -> Equations:
        if part not in self._models:
            self._models[part] = equations_of(self._network, part)
        return self._models[part]


class TooLarge(Exception):  # noqa: N818 - a signal inside this room, not an error for a person
    """A part is beyond the limits; the bounds that hold without it are to be used."""


def _linear(model: Equations, goal: list[int]) -> Any:
    from scipy.optimize import linprog  # noqa: PLC0415  a second to import

    return linprog(
        goal,
        A_eq=as_matrix(model),
        b_eq=model.sides,
        bounds=[(0, upper) for upper in model.upper],
        # The simplex method ends in a corner, where one flow with whole counts is whole by itself; a method that
        # goes through the inside may end between equal corners, in fractions that ask for the integer program.
        method="highs-ds",
        options={"time_limit": SECONDS_AT_MOST},
    )


def _integer(model: Equations, goal: list[int]) -> Any:
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415  a second to import

    return milp(
        goal,
        constraints=LinearConstraint(as_matrix(model), model.sides, model.sides),
        integrality=[1] * model.columns,
        bounds=Bounds([0] * model.columns, model.upper),
        options={"time_limit": SECONDS_AT_MOST},
    )

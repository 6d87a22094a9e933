"""The most and the least of one part of a network, by linear and integer programming.

Theory of operation. Unknown are, for each class and each step it could have gone with, how many of its discs
went, and what was then left at the source and target. Each step carries its count; each class loses no disc.
That is a flow for each class, tied together by the counts of the steps. HiGHS solves the linear program first:
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

from dataclasses import dataclass, field
from math import floor
from typing import Any

from tracelink.errors import NotCertified
from tracelink.genealogy.flow.network import Event, Network
from tracelink.genealogy.flow.proof import Moved, Prices, ceiling, reached
from tracelink.genealogy.model.facts import COUNTER

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
        """Whether the bound is reached, and known to be the last."""
        return self.moved is not None and (self.prices is not None or self.exhausted)


@dataclass(slots=True)
class _Model:
    """The equations of a part."""

    columns: int = 0
    rows: list[dict[int, int]] = field(default_factory=list)
    sides: list[int] = field(default_factory=list)
    upper: list[int] = field(default_factory=list)
    went: dict[int, tuple[int, int]] = field(default_factory=dict)
    """Column -> (step, class)."""
    steps: dict[int, int] = field(default_factory=dict)
    """Step -> its row."""
    ends: list[tuple[int, str, int | None, int]] = field(default_factory=list)
    """(class, place, column or None, constant): what is in a place at the end."""
    matrix: Any = None
    """The rows as a sparse array, made once."""

    def column(self, upper: int) -> int:
        self.upper.append(upper)
        self.columns += 1
        return self.columns - 1

    def row(self, terms: dict[int, int], side: int) -> None:
        self.rows.append(terms)
        self.sides.append(side)


class Solver:
    """Solves the parts of one network.

    Args:
        network: the movements of one lot, read.
    """

    def __init__(self, network: Network) -> None:
        self._network = network
        self._models: dict[int, _Model] = {}

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
                goal[column] = -sign
        result = _linear(model, goal)
        if result.status == 2:
            return None
        if result.status != 0:
            raise TooLarge
        return self._extreme(part, places, sign, model, goal, result)

    def _extreme(  # noqa: PLR0913, PLR0917 - one solve, seen from all sides
        self, part: int, places: frozenset[str], sign: int, model: _Model, goal: list[int], result: Any
    ) -> Extreme | None:
        prices, per, most = self._prices(part, places, sign, model, result)
        moved = self._whole(part, places, model, result.x)
        exhausted = False
        if moved is None:
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
        self, part: int, places: frozenset[str], sign: int, model: _Model, result: Any
    ) -> tuple[dict[int, int], int, int]:
        """The prices of a linear program as fractions, with the ceiling they give."""
        marginals = result.eqlin.marginals
        aim = floor(-result.fun + self._known(places, sign, model) + _WHOLE_WITHIN)
        best: tuple[dict[int, int], int, int] | None = None
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

    def _known(self, places: frozenset[str], sign: int, model: _Model) -> int:
        """What the constants among the ends count: they are no columns, so the program does not see them."""
        return sign * sum(
            constant
            for number, place, column, constant in model.ends
            if column is None and place in places and self._network.classes[number].suspect
        )

    def _whole(self, part: int, places: frozenset[str], model: _Model, values: Any) -> Moved | None:
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

    def _model(self, part: int) -> _Model:
        if part not in self._models:
            self._models[part] = _model_of(self._network, part)
        return self._models[part]


class TooLarge(Exception):  # noqa: N818 - a signal inside this room, not an error for a person
    """A part is beyond the limits; the bounds that hold without it are to be used."""


def _model_of(network: Network, part: int) -> _Model:
    model = _Model()
    carried: dict[int, dict[int, int]] = {step: {} for step in network.parts[part].steps}
    for number in network.parts[part].classes:
        _add_class(model, network, number, carried)
    for step, terms in carried.items():
        rest = network.rest[step]
        if rest is not None:
            model.steps[step] = len(model.rows)
            model.row(terms, rest)
    return model


_Stock = tuple[int | None, int]
"""(column, constant): the discs of a class in a place are one or the other."""


def _add_class(model: _Model, network: Network, number: int, carried: dict[int, dict[int, int]]) -> None:
    size = len(network.classes[number].strokes)
    stock: dict[str, _Stock] = {COUNTER: (None, size)}
    for event in network.classes[number].events:
        step = network.steps[event.step]
        here = stock.get(step.source, (None, 0))
        if not event.goes:
            _fix(model, here, 0)
            stock[step.source] = (None, 0)
        elif event.whole:
            _fix(model, here, size)
            stock = {step.target: (None, size)}
        else:
            went = model.column(size)
            model.went[went] = (event.step, number)
            carried[event.step][went] = 1
            stock[step.source] = _less(model, event, here, went, size)
            stock[step.target] = _more(model, stock.get(step.target, (None, 0)), went, size)
    model.ends += [(number, place, column, constant) for place, (column, constant) in stock.items()]


def _fix(model: _Model, here: _Stock, value: int) -> None:
    column, constant = here
    if column is not None:
        model.row({column: 1}, value)
    elif constant != value:
        # Never true: the row has no column, and a side that is not 0.
        model.row({}, value - constant)


def _less(model: _Model, event: Event, here: _Stock, went: int, size: int) -> _Stock:
    """What is left at the source: here = went + left."""
    column, constant = here
    terms = {went: 1} if column is None else {went: 1, column: -1}
    if event.empties:
        model.row(terms, constant)
        return None, 0
    left = model.column(size)
    model.row({**terms, left: 1}, constant)
    return left, 0


def _more(model: _Model, there: _Stock, went: int, size: int) -> _Stock:
    """What is then at the target: now = there + went."""
    column, constant = there
    if column is None and constant == 0:
        return went, 0
    now = model.column(size)
    terms = {now: 1, went: -1} if column is None else {now: 1, went: -1, column: -1}
    model.row(terms, constant)
    return now, 0


def _linear(model: _Model, goal: list[int]) -> Any:
    from scipy.optimize import linprog  # noqa: PLC0415  a second to import

    return linprog(
        goal,
        A_eq=_matrix(model),
        b_eq=model.sides,
        bounds=[(0, upper) for upper in model.upper],
        method="highs-ds",
        options={"time_limit": SECONDS_AT_MOST},
    )


def _integer(model: _Model, goal: list[int]) -> Any:
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415  a second to import

    return milp(
        goal,
        constraints=LinearConstraint(_matrix(model), model.sides, model.sides),
        integrality=[1] * model.columns,
        bounds=Bounds([0] * model.columns, model.upper),
        options={"time_limit": SECONDS_AT_MOST},
    )


def _matrix(model: _Model) -> Any:
    from scipy.sparse import csr_array  # noqa: PLC0415  a second to import

    if model.matrix is None:
        rows = [number for number, terms in enumerate(model.rows) for _ in terms]
        columns = [column for terms in model.rows for column in terms]
        values = [value for terms in model.rows for value in terms.values()]
        model.matrix = csr_array(
            (values, (rows, columns)), shape=(len(model.rows), model.columns), dtype=float
        )
    return model.matrix

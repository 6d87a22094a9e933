"""The equations of one part of a network, for a linear or an integer program.

Unknown are, for each class and each step it could have gone with, how many of its discs went, and what was then
left at the source and target. Each step carries its count; each class loses no disc.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from tracelink.genealogy.flow.network import Event, Network
from tracelink.ledger.closed_sets import DiscPlace


@dataclass(slots=True)
class Equations:
    """The equations of a part, and what its unknowns stand for."""

    columns: int = 0
    """How many unknowns there are; each is a number of discs, 0 or more."""
    rows: list[dict[int, int]] = field(default_factory=list)
    """By equation: column -> factor, 1 or -1."""
    sides: list[int] = field(default_factory=list)
    """By equation: what its terms add up to."""
    upper: list[int] = field(default_factory=list)
    """By column: as many discs at most."""
    went: dict[int, tuple[int, int]] = field(default_factory=dict)
    """Column -> (step, class)."""
    steps: dict[int, int] = field(default_factory=dict)
    """Step -> its row."""
    ends: list[tuple[int, str, int | None, int]] = field(default_factory=list)
    """(class, place, column or None, constant): what is in a place at the end."""
    matrix: Any = None
    """The rows as a sparse array, made once."""

    def column(self, upper: int) -> int:
        """Add an unknown; return its number."""
        self.upper.append(upper)
        self.columns += 1
        return self.columns - 1

    def row(self, terms: dict[int, int], side: int) -> None:
        """Add an equation."""
        self.rows.append(terms)
        self.sides.append(side)


def equations_of(network: Network, part: int) -> Equations:
    """Write down one part: a flow for each class, and a row for each step that ties the flows by its count."""
    model = Equations()
    carried: dict[int, dict[int, int]] = {step: {} for step in network.parts[part].steps}
    for number in network.parts[part].classes:
        _add_class(model, network, number, carried)
    for step, terms in carried.items():
        rest = network.rest[step]
        # A step that may carry any number binds nothing.
        if rest is not None:
            model.steps[step] = len(model.rows)
            model.row(terms, rest)
    return model


_Stock = tuple[int | None, int]
"""(column, constant): the discs of a class in a place are one or the other."""


def _add_class(model: Equations, network: Network, number: int, carried: dict[int, dict[int, int]]) -> None:
    # A place is another unknown after each step: what is there by then can be taken, what comes later cannot. So one
    # pass over the events makes the network in time, and no arc leads back.
    size = len(network.classes[number].strokes)
    stock: dict[str, _Stock] = {DiscPlace.COUNTER: (None, size)}
    for event in network.classes[number].events:
        step = network.steps[event.step]
        here = stock.get(step.source, (None, 0))
        if not event.goes:
            _fix(model, here, 0)
            stock[step.source] = (None, 0)
        elif event.whole:
            # All of the class is here, so all other places have none of it: their unknowns end, forced to 0 by the
            # rows that made them, for no disc of a class is lost on its way.
            _fix(model, here, size)
            stock = {step.target: (None, size)}
        else:
            went = model.column(size)
            model.went[went] = (event.step, number)
            carried[event.step][went] = 1
            stock[step.source] = _less(model, event, here, went, size)
            stock[step.target] = _more(model, stock.get(step.target, (None, 0)), went, size)
    model.ends += [(number, place, column, constant) for place, (column, constant) in stock.items()]


def _fix(model: Equations, here: _Stock, value: int) -> None:
    column, constant = here
    if column is not None:
        model.row({column: 1}, value)
    elif constant != value:
        # Never true: the row has no column, and a side that is not 0.
        model.row({}, value - constant)


def _less(model: Equations, event: Event, here: _Stock, went: int, size: int) -> _Stock:
    """What is left at the source: here = went + left."""
    column, constant = here
    terms = {went: 1} if column is None else {went: 1, column: -1}
    if event.empties:
        model.row(terms, constant)
        return None, 0
    left = model.column(size)
    model.row({**terms, left: 1}, constant)
    return left, 0


def _more(model: Equations, there: _Stock, went: int, size: int) -> _Stock:
    """What is then at the target: now = there + went."""
    column, constant = there
    if column is None and constant == 0:
        # Nothing was there, so what went is what is there: no unknown and no equation more.
        return went, 0
    now = model.column(size)
    terms = {now: 1, went: -1} if column is None else {now: 1, went: -1, column: -1}
    model.row(terms, constant)
    return now, 0


def as_matrix(model: Equations) -> Any:
    """The left sides as a sparse array: a row has a handful of terms, whatever the size of the part."""
    from scipy.sparse import csr_array  # noqa: PLC0415  a second to import

    if model.matrix is None:
        rows = [number for number, terms in enumerate(model.rows) for _ in terms]
        columns = [column for terms in model.rows for column in terms]
        values = [value for terms in model.rows for value in terms.values()]
        model.matrix = csr_array(
            (values, (rows, columns)), shape=(len(model.rows), model.columns), dtype=float
        )
    return model.matrix

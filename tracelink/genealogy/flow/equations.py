"""The equations of one part of a network, for a linear or an integer program.

Unknown are, for each future (futures.py), how many of the discs that have it go with its step and how many stay. Each
step carries its count; no disc is lost.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from tracelink.genealogy.flow.futures import Future, futures_of
from tracelink.genealogy.flow.network import Network


@dataclass(slots=True)
class Equations:
    """The equations of a part, and what its unknowns stand for."""

    columns: int = 1
    """How many unknowns there are; each is a number of discs, 0 or more. The first is in no equation: a program must
    have one, and a part in which no disc can have gone has none of its own."""
    rows: list[dict[int, int]] = field(default_factory=list)
    """By equation: column -> factor, 1 or -1."""
    sides: list[int] = field(default_factory=list)
    """By equation: what its terms add up to."""
    discs: int = 0
    """How many discs the part has, which no unknown exceeds."""
    go: dict[int, int] = field(default_factory=dict)
    """Future -> column of the discs that go."""
    stay: dict[int, int] = field(default_factory=dict)
    """Future -> column of the discs that stay."""
    steps: dict[int, int] = field(default_factory=dict)
    """Step -> its row."""
    ends: dict[str, tuple[list[int], int]] = field(default_factory=dict)
    """Place -> columns of the suspects that come to be there, and how many are there anyway."""
    matrix: Any = None
    """The rows as a sparse array, made once."""

    def row(self, terms: dict[int, int], side: int) -> None:
        """Add an equation."""
        self.rows.append(terms)
        self.sides.append(side)

    def hold(self, values: Sequence[int]) -> bool:
        """Return whether whole numbers satisfy every equation."""
        return all(
            sum(factor * values[column] for column, factor in terms.items()) == side
            for terms, side in zip(self.rows, self.sides, strict=True)
        )


def equations_of(network: Network, part: int) -> Equations:
    """Write down one part: a row for each future that keeps its discs, and one for each step with its count."""
    model = Equations()
    futures = futures_of(network, part)
    model.discs = sum(futures.discs.values())
    carried: dict[int, dict[int, int]] = {step: {} for step in network.parts[part].steps}
    comes: dict[int, list[int]] = {}
    for number in range(len(futures.known) - 1, -1, -1):
        future = futures.known[number]
        into, begin = comes.pop(number, []), futures.discs.get(number, 0)
        if future.step is not None:
            _add_future(model, number, future, (into, begin), comes)
            carried[network.counted_at(future.step)][model.go[number]] = 1
        elif future.place is not None:
            model.ends[future.place] = into, begin
    for step, terms in carried.items():
        rest = network.rest[step]
        # A step that may carry any number binds nothing.
        if rest is not None:
            model.steps[step] = len(model.rows)
            model.row(terms, rest)
    return model


def _add_future(
    model: Equations,
    number: int,
    future: Future,
    having: tuple[Iterable[int], int],
    comes: dict[int, list[int]],
) -> None:
    into, begin = having
    terms = dict.fromkeys(into, -1)
    for kept, leads_to in ((model.go, future.go), (model.stay, future.stay)):
        if leads_to is not None:
            kept[number] = model.columns
            terms[model.columns] = 1
            comes.setdefault(leads_to, []).append(model.columns)
            model.columns += 1
    model.row(terms, begin)


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

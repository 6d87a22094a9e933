"""Things in the plant that can hold an affected disc, and what stops each of them."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracelink.genealogy.containment.held import Holdings
from tracelink.genealogy.flow.pool_bounds import Bound


@dataclass(frozen=True, slots=True)
class InPlant:
    """One thing in the plant that can hold an affected disc, and what stops it."""

    code: str
    """The container; `counter` for discs that the press counted and nobody has booked on."""
    kind: str
    """spindle, carton, sample, counter, or a place."""
    status: str
    """Its status in the records."""
    lot: str
    """The lot of the discs."""
    pieces: int
    """Discs of the lot in it."""
    least: int
    """Fewest affected discs that fit the records."""
    most: int
    """Most affected discs that fit the records."""
    stands_in: tuple[str, ...]
    """Pallet and shipment, from the inside out."""
    hold: str | None
    """The open hold that stops it; None if there is none."""
    bar: str
    """Which rule of the floor stops it apart from holds; empty if none does."""

    @property
    def is_free(self) -> bool:
        """True if nothing recorded stops it from being packed or shipped."""
        return self.hold is None and not self.bar

    @property
    def stopped_by(self) -> str:
        """The hold or the rule that stops it; empty if nothing does."""
        return f"hold {self.hold}" if self.hold is not None else self.bar


@dataclass(frozen=True, slots=True)
class StoppedTogether:
    """Things in the plant that one hold or rule stops, or that nothing does, taken together."""

    stopped_by: str
    """The hold or the rule; empty for what is free to ship."""
    kind: str
    """spindle, carton, sample ...; empty for things of any kind."""
    items: int
    """Number of things; 0 only if nothing is free to ship."""
    bound: Bound
    """Affected discs in all of them together."""


def stopped_together(rows: Sequence[InPlant], holdings: Holdings) -> tuple[StoppedTogether, ...]:
    """Return what stops suspect discs in the plant; what is free to ship is first and always there.

    Args:
        rows: everything suspect in the plant.
        holdings: where the discs are.
    """
    groups: dict[str, list[InPlant]] = {"": []}
    for row in rows:
        groups.setdefault(row.stopped_by, []).append(row)
    return tuple(
        StoppedTogether(name, "", len(some), _together(some, rows, holdings)) for name, some in groups.items()
    )


def free_together(rows: Sequence[InPlant], holdings: Holdings) -> StoppedTogether:
    """Return what is free to ship, taken together; it may be nothing."""
    free = free_to_ship(rows)
    return StoppedTogether("", "", len(free), _together(free, rows, holdings))


def stopped_by_kind(rows: Sequence[InPlant], holdings: Holdings) -> tuple[StoppedTogether, ...]:
    """Return the same for each kind of thing by itself, without what is free to ship."""
    groups: dict[tuple[str, str], list[InPlant]] = {}
    for row in rows:
        if not row.is_free:
            groups.setdefault((row.kind, row.stopped_by), []).append(row)
    return tuple(
        StoppedTogether(by, kind, len(some), _together(some, rows, holdings))
        for (kind, by), some in sorted(groups.items())
    )


def _together(some: Sequence[InPlant], every: Sequence[InPlant], holdings: Holdings) -> Bound:
    """The joint bound: a disc that may be in two of them counts once, and what one cannot hold another must."""
    pieces, least, most = (sum(getattr(row, name) for row in some) for name in ("pieces", "least", "most"))
    codes = {row.code for row in some}
    bound = holdings.bound(codes)
    # Of a carton with two lots, one may be stopped and the other not; the holdings tell places apart and not lots.
    shared = sum(row.code in codes for row in every) != len(some)
    if shared:
        return Bound(pieces, least, min(most, bound.most), None, tight=False)
    return Bound(pieces, max(least, bound.least), min(most, bound.most), None, tight=bound.tight)


def free_to_ship(rows: Iterable[InPlant]) -> list[InPlant]:
    """Return the rows that nothing stops."""
    return [row for row in rows if row.is_free]

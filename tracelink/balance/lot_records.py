"""What a lot balance is made from: counts and movements as they were recorded."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import Enum

from tracelink.ledger.closed_sets import DiscPlace, is_return


class PlaceKind(Enum):
    """What sort of place discs can be at."""

    COUNTER = "counter"
    SPINDLE = "spindle"
    SAMPLE = "sample"
    CARTON = "carton"
    BACK = "returned"
    """Came back and is not sorted yet, or stands in quarantine."""
    SET_UP = "set-up"
    SCRAP = "scrap"
    DESTROYED = "destroyed"
    CUSTOMERS = "customers"
    """Outside the plant; what was sent there stays counted in its cartons."""
    OTHER = "other"
    """A place that this balance has no term for: it gets a line of its own and is never absorbed."""


_WORDS: Mapping[str, PlaceKind] = {
    DiscPlace.COUNTER: PlaceKind.COUNTER,
    DiscPlace.SCRAP: PlaceKind.SCRAP,
    DiscPlace.SET_UP: PlaceKind.SET_UP,
    DiscPlace.RETURNED: PlaceKind.BACK,
    DiscPlace.DESTROYED: PlaceKind.DESTROYED,
    DiscPlace.CUSTOMERS: PlaceKind.CUSTOMERS,
}
_SSCC_DIGITS = 18
_PLANT_CODE = 8
"""Letter, six digits or more, check character."""


def kind_of(place: str) -> PlaceKind:
    """Return the sort of a place by the form of its code: 18 digits are a carton, K a spindle, S a sample tag."""
    if place in _WORDS:
        return _WORDS[place]
    if is_return(place):
        return PlaceKind.BACK
    if place.isascii() and place.isdigit() and len(place) == _SSCC_DIGITS:
        return PlaceKind.CARTON
    numbered = len(place) >= _PLANT_CODE and place[1:-1].isdigit()
    return (
        {"K": PlaceKind.SPINDLE, "S": PlaceKind.SAMPLE}.get(place[:1], PlaceKind.OTHER)
        if numbered
        else PlaceKind.OTHER
    )


@dataclass(frozen=True, slots=True)
class Move:
    """Discs of the lot that went from one place to another."""

    seq: int | None
    """Entry; None for matches that lie in the spool and are not sealed yet."""
    kind: str
    """Kind of that entry, such as discs-scrapped."""
    quantity: int
    source: str
    target: str


@dataclass(frozen=True, slots=True)
class Count:
    """Somebody counted the discs of the lot at a place."""

    seq: int
    place: str
    quantity: int
    expected: int
    """What the records said at that moment."""

    @property
    def difference(self) -> int:
        """Discs that the records have and the hands did not find; negative when there were more."""
        return self.expected - self.quantity


@dataclass(frozen=True, slots=True)
class MixedCount:
    """Somebody counted discs of the lot at a place together with those of other lots."""

    seq: int
    place: str
    own: int
    """Discs of this lot there, by the records at that moment."""
    quantity: int
    """Discs of all the lots, by the count."""
    expected: int
    """Discs of all the lots, by the records."""

    @property
    def least(self) -> int:
        """Fewest discs of this lot that can be there, if no lot has more there than recorded."""
        return max(0, self.quantity - (self.expected - self.own))

    @property
    def most(self) -> int:
        """Most discs of this lot that can be there, if no lot has more there than recorded."""
        return min(self.own, self.quantity)


@dataclass(frozen=True, slots=True)
class LotRecords:
    """All that was recorded of one lot's discs."""

    lot: str
    pressed: int
    """The press counter."""
    moves: tuple[Move, ...]
    """Movements, in the order they were recorded."""
    stock: Mapping[str, int]
    """Place -> discs there by the records, spooled matches included."""
    counts: tuple[Count, ...]
    """Physical counts, in the order they were recorded."""
    whereabouts: Mapping[str, str]
    """Carton -> where it stands, such as "on pallets" or "shipped"."""
    loose: Mapping[str, int] = field(default_factory=dict)
    """Discs that came back without a carton and were never moved: what became of them -> how many."""
    unknown_loose: int = 0
    """Discs that came back with a matrix number of this lot's disc and that no one lot could be found for."""
    mixed: tuple[MixedCount, ...] = ()
    """In the order they were recorded; only counts that no later count of the place replaces."""

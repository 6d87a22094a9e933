"""What only the packing line asks the ledger, and the facts it gets back."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from tracelink.station.sentences.thing_names import piece_name


@dataclass(frozen=True, slots=True)
class KitPiece:
    """One piece of a kit: a disc, an item to scan, or something that is only prompted."""

    disc: int | None
    item: str | None
    name: str

    @property
    def is_scanned(self) -> bool:
        """True if the line waits for a scan of it."""
        return self.disc is not None or self.item is not None

    @property
    def called(self) -> str:
        """How the floor calls it."""
        return piece_name(self.disc, self.name)


@dataclass(frozen=True, slots=True)
class KitItem:
    """An item with a code of its own."""

    code: str
    name: str
    gtin: str
    status: str
    """current or superseded."""


@dataclass(frozen=True, slots=True)
class LotIn:
    """Discs of one lot in a carton."""

    lot: str
    piece: int
    quantity: int


@dataclass(frozen=True, slots=True)
class CountIn:
    """How many units in sleeves of a batch, or how many pieces of an item, a carton holds."""

    code: str
    count: int


@dataclass(frozen=True, slots=True)
class CartonContent:
    """All that is recorded to be in a carton, sealed entries only."""

    lots: tuple[LotIn, ...]
    batches: tuple[CountIn, ...]
    items: tuple[CountIn, ...]
    numbers: tuple[str, ...]


class LineQueries(Protocol):
    """Questions of the packing line; a part of `facts.StationQueries`."""

    def kit(self, gtin: str) -> Sequence[KitPiece]:
        """What goes into a unit, in order; the discs alone for a product without a kit of its own."""
        ...

    def kit_item(self, code: str) -> KitItem | None:
        """An item that goes into sleeves."""
        ...

    def superseded_since(self, code: str) -> str | None:
        """The time (UTC) from which a sleeve batch or kit item must not be packed; None if it was not changed."""
        ...

    def clearance_areas(self) -> Sequence[str]:
        """Where two people look before a line is cleared."""
        ...

    def packed_from(self, spindle: str, carton: str) -> bool:
        """Return whether discs of this spindle went into this carton, sealed entries only."""
        ...

    def carton_content(self, sscc: str) -> CartonContent:
        """What a carton holds."""
        ...

    def stack_recorded(self, spindle: str) -> str:
        """When a stack was recorded, UTC, by the recording clock.

        Args:
            spindle: its card.
        """
        ...

    def packs_from(self, spindle: str, but: str) -> str | None:
        """The name of another line that has a spindle open, or packed from it into its open carton; None if none.

        Args:
            spindle: its card.
            but: code of the line that asks.
        """
        ...

"""What only the warehouse and dock asks the ledger."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Nesting:
    """What a pallet or a carton stands in now."""

    parent: str
    what: str
    """pallet, shipment or location."""
    opened: int
    """The entry that put it there."""
    name: str
    """Of the location, of the shipment's consignee; empty for a pallet."""
    station: str
    """Name of the dock at which a shipment is or was loaded; empty for the others."""


@dataclass(frozen=True, slots=True)
class Allocation:
    """That something is kept for an order."""

    order: str
    units: int
    made: int
    """The entry that did it."""


@dataclass(frozen=True, slots=True)
class ReturnLine:
    """One thing that came back."""

    number: int
    carton: str | None
    lot: str | None
    discs: int
    status: str
    """quarantine, restocked or destroyed."""
    matrix: str | None
    """As read off loose discs; None for a carton."""


@dataclass(frozen=True, slots=True)
class NumberFate:
    """What last happened to a numbered sleeve after it was packed."""

    fate: str
    """returned, restocked, free (to be packed again) or destroyed."""
    line: int | None
    """The return line."""


@dataclass(frozen=True, slots=True)
class Departure:
    """A shipment that has left."""

    order: str
    seq: int
    """The entry of its departure."""


class DockQueries(Protocol):
    """Questions of the warehouse and dock; a part of `facts.StationQueries`."""

    def standing(self, code: str) -> Nesting | None:
        """In what a pallet or a carton is now; None if it stands free."""
        ...

    def location(self, code: str) -> str | None:
        """The name of a location."""
        ...

    def things_in(self, location: str) -> Sequence[str]:
        """The pallets and cartons in a location, by code."""
        ...

    def carton_contents(self, sscc: str) -> Sequence[tuple[str, int]]:
        """The lots with discs in a carton, and how many of each."""
        ...

    def loose_cartons_in(self, shipment: str) -> Sequence[str]:
        """The cartons on a vehicle that are on no pallet."""
        ...

    def units_in(self, shipment: str, gtin: str) -> int:
        """Finished units of a product on a vehicle."""
        ...

    def units_sent(self, order: str, gtin: str) -> int:
        """Finished units of a product in shipments of an order that have left."""
        ...

    def ordered(self, order: str, gtin: str) -> int:
        """Finished units of a product that a customer ordered."""
        ...

    def units_on(self, pallet: str) -> int:
        """Finished units on a pallet."""
        ...

    def allocation(self, code: str) -> Allocation | None:
        """For which order a pallet or a carton is kept, if for any."""
        ...

    def allocated_to(self, code: str) -> str | None:
        """The order for which a pallet or a carton is kept."""
        ...

    def driver_of(self, shipment: str) -> str | None:
        """The driver who looked at a vehicle after the last change of its load."""
        ...

    def shipment_status(self, shipment: str) -> str | None:
        """Whether a shipment is loading or shipped."""
        ...

    def departure(self, shipment: str) -> Departure | None:
        """The departure of a shipment; None if it has not left, or is not known."""
        ...

    def last_moved(self, code: str) -> int:
        """The last entry that put a pallet or a carton somewhere or took it out; 0 if none did."""
        ...

    def next_return(self) -> int:
        """The number of the next return line."""
        ...

    def return_line(self, number: int) -> ReturnLine | None:
        """A return line by its number."""
        ...

    def return_of(self, carton: str) -> ReturnLine | None:
        """The return line of a carton that is in quarantine."""
        ...

    def carton_returned(self, number: int) -> Sequence[tuple[str, int]]:
        """The lots with discs in the place of a return, and how many of each."""
        ...

    def discs_sent(self, lot: str) -> int:
        """Discs of a lot in cartons that have left, less those that came back loose."""
        ...

    def in_quarantine(self, line: ReturnLine) -> bool:
        """Return whether loose discs are in the place of a return; older programs moved none."""
        ...

    def number_fate(self, gtin: str, number: str) -> NumberFate | None:
        """What last happened to a numbered sleeve after it was packed."""
        ...

    def numbers_back(self, line: int) -> Sequence[str]:
        """The numbers scanned for a return line, in order."""
        ...

    def loose_line(self, gtin: str) -> int | None:
        """The latest return line of loose discs of a product that still lacks numbers; in quarantine."""
        ...

    def products_of(self, matrix: str) -> Sequence[str]:
        """The products with a disc of this matrix number."""
        ...

    def stampers_of(self, matrix: str) -> Sequence[str]:
        """The stampers with this matrix number, by code, retired ones included."""
        ...

    def shipped_lots(self, matrix: str, tool: str | None) -> Sequence[str]:
        """The lots pressed with a stamper of this matrix number, or with this very stamper, that were shipped."""
        ...

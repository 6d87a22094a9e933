"""What stands on a packing list or content list."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CartonLine:
    """One carton of a list."""

    sscc: str
    pallet: str
    """Empty for a loose carton."""
    catalogue_number: str
    title: str
    gtin: str
    units: int
    status: str
    lots: tuple[tuple[str, int], ...]
    """Lots with how many discs of each."""
    numbers: tuple[str, ...]
    """Numbers of the sleeves, for a numbered edition; else none."""


@dataclass(frozen=True, slots=True)
class OrderedLine:
    """One product of the order of a shipment."""

    catalogue_number: str
    title: str
    gtin: str
    ordered: int
    sent: int
    """Units in shipments of the order that left before."""
    here: int
    """Units in this shipment."""

    @property
    def difference(self) -> int:
        """Sent and here less ordered."""
        return self.sent + self.here - self.ordered


@dataclass(frozen=True, slots=True)
class PackList:
    """All that stands on a list."""

    title: str
    facts: tuple[tuple[str, str], ...]
    """Name and value, in the order in which they stand at the head."""
    cartons: tuple[CartonLine, ...]
    head: str
    """Where the journal ended when the list was made."""
    lines: tuple[OrderedLine, ...] = ()
    """Lines of the order, for a shipment; else none."""

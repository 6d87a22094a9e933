"""What stands on the label of a carton or pallet, as the ledger has it."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CartonText:
    """A carton that was packed, or that is to be packed full."""

    sscc: str
    gtin: str
    title: str
    catalogue_number: str
    units: int
    lots: tuple[str, ...]
    """One or more; a symbol can name only one."""


@dataclass(frozen=True, slots=True)
class PalletText:
    """A pallet."""

    sscc: str
    from_plant: str
    to: str
    """Consignee of the order that it is for; empty if it is for none."""
    cartons: int
    """0 before it is built."""
    units: int
    products: tuple[tuple[str, str], ...]
    """Title and catalogue number of each product on it."""

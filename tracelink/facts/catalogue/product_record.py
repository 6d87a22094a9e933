"""A product with what was pressed, printed, ordered and packed of it; an order; a customer."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class ProductPiece:
    """One disc of a product."""

    piece: int
    """Its place in the set, from 1."""
    matrix_a: str
    """What stands in its run-out on side A."""
    matrix_b: str
    """The same on side B."""


@dataclass(frozen=True, slots=True)
class LotOfProduct:
    """A lot that was pressed for a product."""

    code: str
    piece: int
    planned: int
    """Discs."""
    pressed: int
    """Discs by the counter."""
    status: str
    decision: str


@dataclass(frozen=True, slots=True)
class SleevesOfProduct:
    """A batch of its sleeves."""

    code: str
    quantity: int
    status: str


@dataclass(frozen=True, slots=True)
class LineOfOrder:
    """One product of an order."""

    order: str
    consignee: str
    country: str
    gtin: str
    title: str
    ordered: int
    """Units."""
    sent: int
    """Units in shipments that have left."""


@dataclass(frozen=True, slots=True)
class ShipmentOfOrder:
    """A shipment of an order."""

    code: str
    order: str
    status: str
    departed_at: str | None
    """Local time with offset; None if it has not left."""


@dataclass(frozen=True, slots=True)
class ProductRecord:
    """A product with all that belongs to it."""

    gtin: str
    catalogue_number: str
    title: str
    earlier: tuple[str, ...]
    """Titles and catalogue numbers that it had by a change of the plant file."""
    numbered: bool
    """True if its sleeves have numbers."""
    carton_size: int
    """Units of a full carton."""
    seq: int
    """The entry that brought it in."""
    pieces: tuple[ProductPiece, ...]
    lots: tuple[LotOfProduct, ...]
    sleeves: tuple[SleevesOfProduct, ...]
    orders: tuple[LineOfOrder, ...]
    cartons: int
    """Cartons of it, wherever they are."""
    units: int
    """Units in them."""


@dataclass(frozen=True, slots=True)
class OrderRecord:
    """An order with its lines and shipments."""

    code: str
    consignee: str
    country: str
    seq: int
    """The entry that brought it in."""
    lines: tuple[LineOfOrder, ...]
    shipments: tuple[ShipmentOfOrder, ...]
    kept: tuple[str, ...]
    """SSCCs that are kept for it now."""


@dataclass(frozen=True, slots=True)
class ConsigneeRecord:
    """A customer with its orders, shipments and the cases in which it was told."""

    name: str
    orders: tuple[LineOfOrder, ...]
    shipments: tuple[ShipmentOfOrder, ...]
    cases: tuple[str, ...]

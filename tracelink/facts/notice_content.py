"""All that the records can say in a notice."""

from dataclasses import dataclass

from tracelink.ledger.kinds.case_scope import CaseContainer


@dataclass(frozen=True, slots=True)
class NoticeLot:
    """A lot whose discs the consignee got, with what a stranger can find it by."""

    lot: str
    title: str
    catalogue_number: str
    gtin: str
    piece: int
    """Which disc of the set, from 1."""
    total: int
    """Discs in the set."""
    matrix_a: str
    matrix_b: str
    pressed_from: str
    """Date of the first stack, YYYY-MM-DD; empty if no stack is recorded."""
    pressed_to: str


@dataclass(frozen=True, slots=True)
class NoticeShipment:
    """A shipment to the consignee with containers that could hold an affected disc."""

    code: str
    order: str
    departed: str
    """Date, YYYY-MM-DD; empty if it is not recorded."""
    containers: tuple[CaseContainer, ...]


@dataclass(frozen=True, slots=True)
class NoticeFacts:
    """All that the records can say in a notice."""

    case: str
    safety: bool
    reason: str
    """Why the case was opened."""
    maker: str
    """The plant."""
    consignee: str
    date: str
    """Of the notice, YYYY-MM-DD."""
    scope: int
    may_hold: int
    """Discs of the lots concerned that the consignee got in containers that could hold an affected one."""
    least: int
    """Affected ones among them at least: what is proven, of all of them together."""
    most: int
    """Affected ones among them at most."""
    lots: tuple[NoticeLot, ...]
    shipments: tuple[NoticeShipment, ...]

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
class Contact:
    """Whom to write to at a consignee, or who writes."""

    person: str
    """Empty if nobody is named."""
    email: str
    """Empty if not recorded."""
    telephone: str
    """Empty if not recorded."""
    address: str
    """Postal address in one line; empty if not recorded."""
    since: str
    """First day on which it holds, YYYY-MM-DD."""

    @property
    def ways(self) -> str:
        """How the person is reached, in one line: `Ada, returns@example.com, +44 ...`."""
        return ", ".join(part for part in (self.person, self.email, self.telephone, self.address) if part)


@dataclass(frozen=True, slots=True)
class NoticePallet:
    """Cartons of one lot on one pallet, or on none."""

    code: str
    """SSCC of the pallet; empty for cartons on none."""
    lot: str
    """Plant code of the lot."""
    cartons: tuple[CaseContainer, ...]
    """Cartons that could hold an affected disc."""

    @property
    def discs(self) -> int:
        """Discs of the lot in them."""
        return sum(one.pieces for one in self.cartons)


@dataclass(frozen=True, slots=True)
class NoticeShipment:
    """A shipment to the consignee with containers that could hold an affected disc."""

    code: str
    order: str
    departed: str
    """Date, YYYY-MM-DD; empty if it is not recorded."""
    pallets: tuple[NoticePallet, ...]
    """One per pallet and lot; loose cartons last."""


@dataclass(frozen=True, slots=True)
class NoticeFacts:
    """All that the records can say in a notice.

    Why the case was opened is not here: those are words for the plant. What a consignee is told is an item that a
    person gives.
    """

    case: str
    safety: bool
    maker: str
    """The plant."""
    sender: Contact | None
    """Who writes; None if the plant file names nobody."""
    consignee: str
    contact: Contact | None
    """Whom to write to there; None if the plant file names nobody."""
    date: str
    """Date of the notice, YYYY-MM-DD."""
    scope: int
    may_hold: int
    """Discs of the lots concerned that the consignee got in containers that could hold an affected one."""
    least: int
    """Affected ones among them at least: what is proven, of all of them together."""
    most: int
    """Affected ones among them at most."""
    lots: tuple[NoticeLot, ...]
    shipments: tuple[NoticeShipment, ...]
    list_file: str
    """Name of the enclosed list of cartons."""

    @property
    def pallets(self) -> int:
        """Pallets among them."""
        return len({one.code for shipment in self.shipments for one in shipment.pallets if one.code})

    @property
    def cartons(self) -> int:
        """Cartons among them."""
        return len({held.code for each in self.shipments for one in each.pallets for held in one.cartons})

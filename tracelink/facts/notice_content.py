"""All that the records can say in a notice."""

from collections.abc import Iterable
from dataclasses import dataclass

from tracelink.ledger.count_words import (
    OF_DISCS,
    PieceWords,
    counted,
    few,
    piece_words,
    words_of_all,
)
from tracelink.ledger.kinds.case_scope import CaseContainer

_MOST_LABELS = 200
"""Serial labels named in a letter, per product; the enclosed list has all."""


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
class NoticeUnit:
    """What one unit with a serial label holds of one reel, part lot or build order."""

    serial: str
    """Its serial label."""
    title: str
    """Name of the product; of the part where it is sold as no product."""
    catalogue_number: str
    """That of the product, or the part number."""
    gtin: str
    """Empty where it is sold as no product."""
    carton: str
    """SSCC of the carton it was packed in; empty if in none."""
    pallet: str
    """SSCC of the pallet; empty for a carton on none."""
    lot: str
    """Plant code of the reel, part lot or build order."""
    pieces: int
    """Its parts in the unit that may be affected or not, 1 or more."""
    least: int
    """Affected ones among them at least."""
    most: int


@dataclass(frozen=True, slots=True)
class NoticeProduct:
    """Units of one product that may hold an affected part."""

    title: str
    catalogue_number: str
    gtin: str
    """Empty where it is sold as no product."""
    serials: tuple[str, ...]
    """Serial labels of the units, in their order."""

    @property
    def labels(self) -> str:
        """The serial labels in one line; very many are counted."""
        return few(self.serials, _MOST_LABELS)


@dataclass(frozen=True, slots=True)
class NoticePallet:
    """Cartons of one lot on one pallet, or on none."""

    code: str
    """SSCC of the pallet; empty for cartons on none."""
    lot: str
    """Plant code of the lot."""
    cartons: tuple[CaseContainer, ...]
    """Cartons that could hold an affected disc; without a code what was packed in none."""
    units: tuple[NoticeUnit, ...] = ()
    """Units with a serial label in them; none for discs."""

    @property
    def counted(self) -> str:
        """What is in them, in words: `25 discs of lot ...`, `2 units, 3 parts of reel ...`."""
        words = piece_words(self.lot)
        units = f"{counted(len(self.units), 'unit')}, " if self.units else ""
        return f"{units}{counted(self.discs, words.one)} of {words.whole} {self.lot}"

    @property
    def discs(self) -> int:
        """Discs of the lot in them, or parts of the reel."""
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
    def units(self) -> tuple[NoticeUnit, ...]:
        """Units with a serial label that may hold an affected part, by what each holds of which reel; none for discs."""
        return tuple(unit for each in self.shipments for pallet in each.pallets for unit in pallet.units)

    @property
    def products(self) -> tuple[NoticeProduct, ...]:
        """The products of those units, each with its serial labels."""
        return products_of(self.units)

    @property
    def serials(self) -> int:
        """How many units those are."""
        return len({unit.serial for unit in self.units})

    @property
    def words(self) -> PieceWords:
        """What is counted: discs, parts or built pieces."""
        if not self.units:
            return OF_DISCS
        return words_of_all(sorted({one.lot for each in self.shipments for one in each.pallets}))

    @property
    def counted(self) -> str:
        """The pieces concerned with what they are called: `3 parts`."""
        return counted(self.may_hold, self.words.one)

    @property
    def goods(self) -> str:
        """What the consignee is to put aside: records or products."""
        return "products" if self.units else "records"

    @property
    def pallets(self) -> int:
        """Pallets among them."""
        return len({one.code for shipment in self.shipments for one in shipment.pallets if one.code})

    @property
    def cartons(self) -> int:
        """Cartons among them."""
        return len(
            {held.code for each in self.shipments for one in each.pallets for held in one.cartons} - {""}
        )


def products_of(units: Iterable[NoticeUnit]) -> tuple[NoticeProduct, ...]:
    """Return the products of units, each with its serial labels in order."""
    found: dict[tuple[str, str, str], set[str]] = {}
    for unit in units:
        found.setdefault((unit.title, unit.catalogue_number, unit.gtin), set()).add(unit.serial)
    return tuple(NoticeProduct(*key, tuple(sorted(serials))) for key, serials in sorted(found.items()))

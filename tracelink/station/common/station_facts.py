"""What the ledger tells a station: people, products, tools, lots, sleeves, cartons, pallets, orders, holds."""

from dataclasses import dataclass

from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.kinds.press import Mounted
from tracelink.station.sentences import thing_names


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody with a badge."""

    code: str
    name: str
    roles: frozenset[str]
    """Work areas they may act in: tool, press, lab, line, dock, process, assembly, quality."""
    withdrawn: str | None = None
    """The time (UTC) from which the badge counts no longer; None if it does."""
    other_badges: frozenset[str] = frozenset()
    """Badges that this one replaced, or that replaced it: they are the same person's."""

    def is_badge_of(self, badge: str | None) -> bool:
        """Say whether a badge is this person's, the one they have now or another one."""
        return badge == self.code or badge in self.other_badges


@dataclass(frozen=True, slots=True)
class LastScan:
    """What a station read last."""

    raw: str
    """The line as it came; a fixed mark in place of a PIN."""
    at: str
    """Local time, with offset."""
    refused: bool


@dataclass(frozen=True, slots=True)
class Product:
    """A sellable product."""

    gtin: str
    catalogue_number: str
    title: str
    numbered: bool
    carton_size: int
    discs: int


@dataclass(frozen=True, slots=True)
class PartFact:
    """One disc of a product."""

    gtin: str
    title: str
    piece: int
    total: int
    matrix_a: str
    matrix_b: str

    @property
    def name(self) -> str:
        """How the floor calls it: the title, and which disc if there are several."""
        return thing_names.disc_name(self.title, self.piece, self.total)

    def matrix(self, side: str) -> str:
        """The matrix number of side A or B."""
        return self.matrix_a if side == "A" else self.matrix_b


@dataclass(frozen=True, slots=True)
class Tool:
    """A master or a tool derived from one."""

    code: str
    what: str
    side: str
    matrix: str
    retired: bool
    life: int
    """Strokes made so far (stampers)."""


@dataclass(frozen=True, slots=True)
class Material:
    """A compound lot or a label lot."""

    code: str
    what: str
    gtin: str | None
    piece: int | None
    side: str | None


@dataclass(frozen=True, slots=True)
class Lot:
    """A pressed or planned lot."""

    code: str
    part: PartFact
    status: str
    decision: str
    counter: int
    planned: int
    """Discs that planning asked for."""
    press: str | None
    segment: int | None
    """First stroke of its latest run segment."""
    mounted: Mounted | None
    """What the latest segment is pressed with."""
    last_spindle: str | None
    """Card of the latest stack."""


@dataclass(frozen=True, slots=True)
class Spindle:
    """A stack of discs under a card."""

    code: str
    lot: str
    part: PartFact
    remaining: int
    """Discs still on it by the records, spooled scans included."""
    at: str
    """When it was stacked, local time with offset."""
    decision: str
    """Decision on its lot, such as `released`."""


@dataclass(frozen=True, slots=True)
class Sample:
    """A disc or a built piece in the lab."""

    code: str
    """Its tag; of a built piece its serial label."""
    lot: str
    """Of a built piece its build order."""
    stroke: int | None
    """Of a built piece its number in the order. None if nobody knows it."""
    judged_seq: int | None
    """Entry of its standing judgement."""
    defect: str | None
    """What is wrong with it; None if it is good, or not judged."""

    @property
    def is_built(self) -> bool:
        """True if it is a built piece and not a disc."""
        return self.code[0] == CodeKind.PIECE.value


@dataclass(frozen=True, slots=True)
class SleeveBatch:
    """A batch of printed sleeves."""

    code: str
    product: Product
    superseded: bool
    first_number: int | None
    last_number: int | None
    issued: int
    """Numbers given out for it one by one, in no order."""

    @property
    def has_numbers(self) -> bool:
        """True if it is known which numbers its sleeves carry."""
        return self.first_number is not None or self.issued > 0

    @property
    def numbers(self) -> str:
        """Which numbers its sleeves carry, in words."""
        if self.first_number is not None:
            return thing_names.number_range(self.first_number, self.last_number)
        return thing_names.numbers_given_out(self.issued)


@dataclass(frozen=True, slots=True)
class NumberUse:
    """Where a sleeve number was seen before."""

    carton: str
    """SSCC of the carton that holds it."""
    destroyed: bool = False
    """True if it was destroyed since."""
    lost: bool = False
    """True if it was missing when those in its carton were scanned."""


@dataclass(frozen=True, slots=True)
class Carton:
    """A carton known to the ledger."""

    sscc: str
    gtin: str
    status: str
    units: int
    pallet: str | None
    """The pallet it is on, or the shipment it is in as a loose carton; None in a location."""


@dataclass(frozen=True, slots=True)
class Pallet:
    """A pallet known to the ledger."""

    sscc: str
    status: str
    cartons: int
    shipment: str | None


@dataclass(frozen=True, slots=True)
class Order:
    """A customer's order."""

    code: str
    consignee: str
    gtins: tuple[str, ...]
    """The products ordered, by line."""


@dataclass(frozen=True, slots=True)
class ReasonCard:
    """A reason of the plant, as it is scanned."""

    code: str
    text: str

    @property
    def reason(self) -> str:
        """The reason as the journal keeps it: text and code."""
        return thing_names.reason_of_card(self.text, self.code)


@dataclass(frozen=True, slots=True)
class HoldNotice:
    """Why something may not be touched."""

    hold: str
    cause: str
    reason: str
    subject: str
    """The thing held, which may be what was scanned or something in it."""

"""What a station asks the ledger, and the facts it gets back.

The machines in this room see the ledger only through `StationQueries`; `store/stations/answers.py` answers from SQL, tests
answer from dictionaries. Facts are read inside the same write transaction in which the act is booked.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from tracelink.identity.matrix import MatrixGrammar
from tracelink.ledger.kinds.press import Mounted
from tracelink.station.common.queries_access import AccessQueries
from tracelink.station.common.queries_balance import BalanceQueries
from tracelink.station.common.queries_dock import DockQueries
from tracelink.station.common.queries_line import LineQueries
from tracelink.station.common.queries_press import PressQueries
from tracelink.station.sentences import thing_names


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody with a badge."""

    code: str
    name: str
    roles: frozenset[str]
    """Work areas they may act in: tool, press, lab, line, dock, quality."""


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
    """A disc in the lab."""

    code: str
    lot: str
    stroke: int | None
    """None if nobody knows it."""
    judged_seq: int | None
    """Entry of its standing judgement."""


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
class HoldNotice:
    """Why something may not be touched."""

    hold: str
    cause: str
    reason: str
    subject: str
    """The thing held, which may be what was scanned or something in it."""


class StationQueries(LineQueries, DockQueries, BalanceQueries, PressQueries, AccessQueries, Protocol):
    """The questions that stations ask. Codes are canonical text; an unknown code answers None."""

    def person(self, code: str) -> Person | None:
        """Who has this badge."""
        ...

    def product(self, gtin: str) -> Product | None:
        """The product of a GTIN-13."""
        ...

    def parts(self, gtin: str) -> Sequence[PartFact]:
        """The discs of a product in order."""
        ...

    def matrix_grammar(self) -> MatrixGrammar:
        """How this plant writes matrix numbers."""
        ...

    def side_of_matrix(self, matrix: str) -> str | None:
        """The side of a product's disc that carries this matrix number; None if no product names it."""
        ...

    def tool(self, code: str) -> Tool | None:
        """A tool."""
        ...

    def tool_mounted_on(self, code: str) -> str | None:
        """The press on which a lot runs with this stamper now."""
        ...

    def material(self, code: str) -> Material | None:
        """A compound or label lot."""
        ...

    def lot(self, code: str) -> Lot | None:
        """A lot."""
        ...

    def lot_on(self, press: str) -> Lot | None:
        """The lot set up or running on a press."""
        ...

    def strokes_moved(self, lot: str, first: int, last: int) -> Sequence[tuple[int, int]]:
        """Stroke ranges inside first ... last that have left the press counter already, in order."""
        ...

    def spindle(self, code: str) -> Spindle | None:
        """A spindle with its discs."""
        ...

    def spindle_with(self, lot: str, stroke: int) -> str | None:
        """The spindle onto which this stroke was stacked."""
        ...

    def sample(self, code: str) -> Sample | None:
        """A sample."""
        ...

    def judged(self, lot: str) -> tuple[int, int]:
        """How many samples of a lot have a standing judgement, and how many of those are bad."""
        ...

    def sample_at(self, lot: str, stroke: int) -> str | None:
        """The tag of a sample drawn at this stroke before."""
        ...

    def sleeve_batch(self, code: str) -> SleeveBatch | None:
        """A sleeve batch."""
        ...

    def number_use(self, gtin: str, number: str) -> NumberUse | None:
        """Whether and where a sleeve number was used, spooled scans included."""
        ...

    def is_number_of(self, batch: SleeveBatch, number: str) -> bool:
        """Return whether a sleeve of this batch carries this number."""
        ...

    def void_label(self, subject: str) -> str | None:
        """Why a label (an SSCC, or a numbered sleeve by its elements) is void; None if it is not."""
        ...

    def sscc_issued_for(self, sscc: str) -> str | None:
        """What the label was issued for: carton, pallet, or None if never issued here."""
        ...

    def carton(self, sscc: str) -> Carton | None:
        """A carton."""
        ...

    def carton_lots(self, sscc: str) -> Sequence[Lot]:
        """The lots with discs in a carton."""
        ...

    def pallet(self, sscc: str) -> Pallet | None:
        """A pallet."""
        ...

    def pallet_lots(self, sscc: str) -> Sequence[Lot]:
        """The lots with discs on a pallet."""
        ...

    def pallet_gtins(self, sscc: str) -> Sequence[str]:
        """The products on a pallet."""
        ...

    def open_pallet(self, station: str) -> str | None:
        """The pallet being built at a dock."""
        ...

    def order(self, code: str) -> Order | None:
        """An order."""
        ...

    def open_shipment(self, station: str) -> tuple[str, str] | None:
        """The shipment being loaded at a dock, and its order."""
        ...

    def pallets_in(self, shipment: str) -> Sequence[str]:
        """The pallets on a vehicle."""
        ...

    def open_hold(self, code: str) -> HoldNotice | None:
        """A hold that is not lifted, by its own code."""
        ...

    def hold_on(self, *subjects: str) -> HoldNotice | None:
        """An open hold that names one of these things as a whole."""
        ...

    def hold_on_spindle(self, code: str) -> HoldNotice | None:
        """An open hold on a spindle, its lot, or strokes stacked on it."""
        ...

    def hold_on_carton(self, sscc: str) -> HoldNotice | None:
        """An open hold on a carton, its pallet, or anything known to be in it."""
        ...

    def hold_on_pallet(self, sscc: str) -> HoldNotice | None:
        """An open hold on a pallet or anything known to be on it."""
        ...

    def is_known(self, code: str) -> bool:
        """Return whether the ledger knows this code as any kind of thing."""
        ...

    def next_code(self, letter: str) -> str:
        """A new plant code of a kind that the ledger hands out itself: H hold, D shipment."""
        ...

    def setting(self, name: str) -> int:
        """A limit or trade number of this plant."""
        ...

"""What a station asks the ledger; the facts it gets back stand in station_facts.py.

The machines in this room see the ledger only through `StationQueries`; `store/stations/answers.py` answers from SQL, tests
answer from dictionaries. Facts are read inside the same write transaction in which the act is booked.
"""

from collections.abc import Sequence
from typing import Protocol

from tracelink.identity.matrix import MatrixGrammar
from tracelink.ledger.closed_sets import ReasonAct
from tracelink.station.common.assembly.queries_assembly import AssemblyQueries
from tracelink.station.common.queries_access import AccessQueries
from tracelink.station.common.queries_balance import BalanceQueries
from tracelink.station.common.queries_dock import DockQueries
from tracelink.station.common.queries_lab import LabQueries
from tracelink.station.common.queries_line import LineQueries
from tracelink.station.common.queries_press import PressQueries
from tracelink.station.common.queries_process import ProcessQueries
from tracelink.station.common.station_facts import (
    Carton,
    HoldNotice,
    LastScan,
    Lot,
    Material,
    NumberUse,
    Order,
    Pallet,
    PartFact,
    Person,
    Product,
    ReasonCard,
    Sample,
    SleeveBatch,
    Spindle,
    Tool,
)


class StationQueries(
    LineQueries,
    DockQueries,
    BalanceQueries,
    PressQueries,
    LabQueries,
    AccessQueries,
    ProcessQueries,
    AssemblyQueries,
    Protocol,
):
    """The questions that stations ask. Codes are canonical text; an unknown code answers None."""

    def person(self, code: str) -> Person | None:
        """Who has this badge."""
        ...

    def station_closed(self, code: str) -> str | None:
        """The time (UTC) from which nobody works at a station; None if it is open."""
        ...

    def next_change(self) -> str | None:
        """The first time (UTC) after the scan from which anything that was set up is another; None if none is known."""
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
        """How many samples of a lot have a standing judgement, and how many bad ones of those stand against it.

        Not those that two people waived, and not those of strokes that are rejected.
        """
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

    def reason_cards(self, act: ReasonAct) -> Sequence[ReasonCard]:
        """The plant's reasons for an act, by code."""
        ...

    def reason_card(self, code: str) -> ReasonCard | None:
        """A reason of the plant, for whatever acts."""
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

    def last_scan(self, station: str) -> LastScan | None:
        """What a station read before this scan; None if that is not known."""
        ...

    def setting(self, name: str) -> int:
        """A limit or trade number of this plant."""
        ...

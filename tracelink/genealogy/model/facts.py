"""What the records say, as the store hands it out: one frozen fact per recorded act.

Places are one string: `DiscPlace.COUNTER` (counted at the press, not stacked yet), a spindle card, a sample tag, the
18 digits of a carton, or `DiscPlace.SCRAP`. Discs of two lots in one place never mix: the key is (place, lot).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from operator import attrgetter
from typing import NamedTuple

from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.ledger.closed_sets import MovementSense

STAMPER = "stamper"
"""The kind of tool that touches discs."""


@dataclass(frozen=True, slots=True)
class ToolFact:
    """A master or a tool grown from one."""

    code: str
    """The plant code on its tag."""
    kind: str
    """lacquer, copper, father, mother or stamper."""
    parent: str | None
    """The tool it was grown from; None for a master."""
    matrix: str
    """The matrix text in the run-out area."""
    side: str
    """The side of the record it presses, such as A."""
    status: str
    """Its state in the tool room, in the store's words."""


@dataclass(frozen=True, slots=True)
class SegmentFact:
    """Strokes of a lot pressed without any change of tool, compound or label."""

    lot: str
    """The lot."""
    first: int
    """First stroke of the lot in this segment, 1 or more."""
    last: int
    """Last stroke of the lot in this segment; `first` - 1 while nothing was pressed yet."""
    press: str
    """The press."""
    stamper_a: str
    """The stamper of side A."""
    stamper_b: str
    """The stamper of side B."""
    life_a: int
    """Strokes stamper A had made before stroke `first`: stroke s is its own stroke life_a + s - first + 1."""
    life_b: int
    """The same for stamper B."""
    compound: str
    """The compound lot."""
    label_a: str
    """The label lot of side A."""
    label_b: str
    """The label lot of side B."""
    seq: int
    """Journal sequence of the entry that began it."""

    @property
    def strokes(self) -> StrokeSet:
        """Its strokes of the lot; none while nothing was pressed since the set-up (`last` is `first` - 1)."""
        return StrokeSet.between(self.first, self.last) if self.last >= self.first else NO_STROKES


@dataclass(frozen=True, slots=True)
class MovementFact:
    """Discs of one lot went from one place to another.

    With `first` and `last`, the discs are among those strokes: all of them if `quantity` is the number of
    strokes, some of them if it is less. Without, they are some of the discs then at the source.
    """

    seq: int
    """Journal sequence."""
    line: int
    """Position among the movements of one entry, so that (seq, line) orders all of them."""
    lot: str
    """The lot of the discs."""
    quantity: int
    """Number of discs."""
    source: str
    """The place they left."""
    target: str
    """The place they entered."""
    first: int | None
    """First stroke, if known."""
    last: int | None
    """Last stroke, if known."""
    at: str
    """When it happened, RFC 3339 with offset."""
    sense: MovementSense | None = None
    """What it says of its discs beyond that; None for nothing."""


MovementRow = tuple[int, int, str, int, str, str, int | None, int | None, str, MovementSense | None]
"""The fields of a movement in the order of its fact, for who asks for thousands and needs no object for each."""

row_of: Callable[[MovementFact], MovementRow] = attrgetter(*MovementFact.__slots__)
"""Returns the row of a movement."""


# Named tuples, as a wide question reads them by the thousand: a frozen dataclass takes six times as long to make.
class NestFact(NamedTuple):
    """A carton stood on a pallet, or a carton or pallet was in a shipment, for a time."""

    child: str
    """SSCC of the carton or pallet."""
    parent: str
    """SSCC of the pallet, or the shipment's code."""
    opened: int
    """Journal sequence at which it went in."""
    closed: int | None
    """Journal sequence at which it came out; None while it is in."""


@dataclass(frozen=True, slots=True)
class JudgementFact:
    """One judgement of the lab on one sampled disc."""

    sample: str
    """The sample tag."""
    lot: str
    """The lot of the disc."""
    stroke: int
    """The disc's stroke in the lot."""
    good: bool
    """True if the disc was found good."""
    defect: str | None
    """The defect looked for or found; None if none was named."""
    seq: int
    """Journal sequence."""
    among: StrokeSet = NO_STROKES
    """Of a bad unit with several parts of the lot: these parts, one of which is bad; `stroke` is the last. Else empty."""


@dataclass(frozen=True, slots=True)
class UnreadJudgement:
    """One judgement of the lab on a sample whose stroke nobody knows: it says something of the disc, and of no stroke."""

    sample: str
    """The sample tag."""
    lot: str
    """The lot of the disc."""
    good: bool
    """True if the disc was found good."""
    defect: str | None
    """The defect looked for or found; None if none was named."""
    seq: int
    """Journal sequence."""


class ContainerFact(NamedTuple):
    """A thing that holds discs, or a place that counts as one."""

    code: str
    """Its code, as used in movements and nesting."""
    kind: str
    """spindle, carton, pallet, shipment, sample, scrap or counter."""
    status: str
    """Its state in the store's words, such as open or sealed."""
    detail: str
    """One line that helps to find it, such as a location; may be empty."""
    part: str = ""
    """Of a built piece its part number and name; empty for anything else."""


@dataclass(frozen=True, slots=True)
class LotFact:
    """A pressing order run as one lot."""

    code: str
    """The lot's plant code."""
    gtin: str
    """The product's GTIN."""
    piece: int
    """Which disc of the set, from 1."""
    title: str
    """The title on the sleeve."""
    press: str
    """The press it was set up on."""
    pressed: int
    """Strokes counted so far: the discs are strokes 1 to `pressed`."""
    status: str
    """Its state in the store's words."""
    catalogue_number: str = ""
    """The product's catalogue number; empty if the records do not say."""
    press_name: str = ""
    """What the press is called; empty if the records do not say."""
    kind: str = "lot"
    """lot; or reel or build, whose positions and numbers stand for strokes and whose part for the title."""


@dataclass(frozen=True, slots=True)
class ShipmentFact:
    """Goods that left, or are to leave, together."""

    code: str
    """The shipment's plant code."""
    order: str
    """The order it fulfils."""
    consignee: str
    """Name of the consignee."""
    country: str
    """Country of the consignee, ISO 3166-1 alpha-2."""
    left_at: str | None = None
    """When it left, RFC 3339 with offset; None while it has not."""
    left_seq: int | None = None
    """Journal sequence of its departure."""


@dataclass(frozen=True, slots=True)
class ReturnFact:
    """What was read off discs that came back without their carton."""

    seq: int
    """Journal sequence of the entry that brought them in."""
    mark: str
    """The stamper mark beside the matrix number, as typed; the code of a tool of the plant if it is one."""
    cartons: tuple[str, ...]
    """The cartons of the sleeve numbers that were scanned for it, one for each number."""


@dataclass(frozen=True, slots=True)
class ReadingFact:
    """A press counter as somebody read it."""

    lot: str
    """The lot on the press."""
    before: int
    """The counter as last known before."""
    counter: int
    """The counter as read: strokes `before` + 1 to `counter` were pressed since the last reading."""


@dataclass(frozen=True, slots=True)
class ActFact:
    """Who did something at which station, and when; what it did to discs stands in movements and nestings."""

    seq: int
    """Journal sequence."""
    kind: str
    """The kind of entry."""
    station: str | None
    """Where; None for acts done at a desk."""
    person: str | None
    """The badge signed on; None if nobody was."""
    at: str
    """When it happened, RFC 3339 with offset."""
    since: str
    """When it began, for an entry that sums up many scans; else the same as `at`."""
    reading: ReadingFact | None = None
    """The counter reading in it, if there is one."""
    tool: str | None = None
    """The tool that it made, if it made one."""


@dataclass(frozen=True, slots=True)
class PickedSum:
    """Discs of one lot that went from one place into alike ones, which now stand in one thing, summed up."""

    source: str
    """The place they left."""
    kind: str
    """carton or scrap; empty for any other place."""
    status: str
    """Status of those cartons; empty for anything else."""
    parent: str
    """What they stand in now; empty for nothing."""
    quantity: int
    """Discs."""
    movements: int
    """Recorded movements; more than were made if something stands in two things at once."""
    begun: int
    """Journal sequence of the first."""
    odd: int
    """0 if no movement of them says more than a number: strokes, or that discs were taken back."""


@dataclass(frozen=True, slots=True)
class MovementSums:
    """The movements of one lot, those from the press one by one and the others summed up."""

    pressed: tuple[MovementFact, ...]
    """Movements from the press counter, in journal order."""
    picked: tuple[PickedSum, ...]
    """All others."""
    movements: int
    """Recorded movements of the lot."""
    waiting: bool
    """True if matches of it lie in the spool, which are in none of these."""

"""What the records say about a bundle's subject, as the store hands it out, for tables and documents to be made from."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar, overload

from tracelink.balance.labels import LabelBalance
from tracelink.balance.lot import LotBalance
from tracelink.balance.lot_records import LotRecords
from tracelink.facts.case_answer import CaseAnswer
from tracelink.genealogy.model.facts import NestFact, SegmentFact, ToolFact
from tracelink.genealogy.model.tree import Tree, joined
from tracelink.ledger.export_rule import BundleTable
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.registry import KINDS, read_fields
from tracelink.ledger.lateness import Lateness, lateness

Body = TypeVar("Body", bound=EntryBody)
Other = TypeVar("Other", bound=EntryBody)

Entry = Mapping[str, Any]
"""A canonical entry, parsed."""

EXAMPLE_DOMAIN = "id.example.org"
"""The domain where a plant has named none: example.org is reserved for examples (RFC 2606)."""


@dataclass(frozen=True, slots=True)
class ProductNote:
    """A product as far as a reader needs it."""

    title: str
    catalogue_number: str
    discs: int
    """Discs to a unit."""
    matrices: Mapping[int, tuple[str, str]]
    """Piece -> matrix numbers of side A and B."""


@dataclass(frozen=True, slots=True)
class LotNote:
    """A lot as the tables have it."""

    gtin: str
    piece: int
    planned: int
    press: str | None
    status: str
    decision: str
    counter: int


@dataclass(frozen=True, slots=True)
class CartonNote:
    """A carton as the tables have it."""

    gtin: str
    status: str
    units: int
    batches: tuple[str, ...]
    numbers: tuple[str, ...]
    """Numbers of its numbered sleeves."""


@dataclass(frozen=True, slots=True)
class ShipmentNote:
    """A shipment with its order."""

    order: str
    consignee: str
    country: str
    status: str
    departed_at: str | None


@dataclass(frozen=True, slots=True)
class BundleFacts:
    """Everything that a bundle tells."""

    kind: str
    """lot, carton, pallet, shipment, consignee, tool, material, sleeve batch or case."""
    code: str
    lots: Mapping[str, LotNote]
    """The lots whose making is told."""
    whole: frozenset[str]
    """Of these, the lots all of whose discs are followed."""
    entries: tuple[Entry, ...]
    """Entries of the bundle, in the order of the journal."""
    head: tuple[int, str, str]
    """Last entry of the journal, its hash, and when it was recorded (UTC)."""
    first_hash: str
    """Hash of the first entry."""
    plant: str
    domain: str
    """Where the plant's identifiers live."""
    people: Mapping[str, tuple[str, str]]
    """Badge -> name and roles; the name is empty when people are shown by their badges."""
    stations: Mapping[str, tuple[str, str]]
    """Code -> work area and name."""
    products: Mapping[str, ProductNote]
    segments: tuple[SegmentFact, ...]
    tools: Mapping[str, ToolFact]
    spindles: frozenset[str]
    samples: frozenset[str]
    cartons: Mapping[str, CartonNote]
    pallets: Mapping[str, str]
    """SSCC -> status."""
    shipments: Mapping[str, ShipmentNote]
    locations: Mapping[str, str]
    """Code -> name."""
    nestings: tuple[NestFact, ...]
    """Nestings of the cartons and pallets, ended ones too."""
    balances: tuple[tuple[LotBalance, LotRecords], ...]
    """Balance and records of each lot that is followed whole."""
    labels: tuple[LabelBalance, ...]
    settings: tuple[tuple[str, int, str], ...]
    """Name, value and where the value comes from."""
    late_minutes: int
    """After how many minutes between happening and recording an entry counts as late."""
    gaps: tuple[str, ...]
    """Sentences on what the records lack."""
    conflicts: tuple[str, ...]
    """Sentences on movements that cannot all be true."""
    spooled: int
    """Matches that lie on a line's desk and are not sealed into an entry yet."""
    back: Tree
    """Tree of the things that the subject was made of."""
    forward: Tree
    """Tree of the places and customers it went to."""
    case: CaseAnswer | None = None
    """The answer of a case; None for a bundle about anything else."""
    parts: frozenset[str] = frozenset()
    """Part lots, reels, build orders and built pieces that it tells of."""
    units: Mapping[str, str] = field(default_factory=dict)
    """Built pieces that are products -> GTIN."""

    @property
    def tree(self) -> Tree:
        """Back and forward as one, from what it was made of to where it went."""
        return joined(self.back, self.forward)

    @property
    def subject(self) -> str:
        """What the bundle is about."""
        return f"{self.kind} {self.code}"

    @overload
    def of_kind(self, kind: type[Body], /) -> Iterator[tuple[Entry, Body]]: ...

    @overload
    def of_kind(self, kind: type[Body], other: type[Other], /) -> Iterator[tuple[Entry, Body | Other]]: ...

    def of_kind(self, *kinds: type[EntryBody]) -> Iterator[tuple[Entry, EntryBody]]:
        """Yield the entries of one or two kinds, each with its body as the dataclass of its kind."""
        return self._typed(kinds)

    def of_table(self, wanted: BundleTable) -> Iterator[tuple[Entry, EntryBody]]:
        """Yield the entries that a table takes each as a row, with their bodies as dataclasses."""
        return self._typed([kind for kind in KINDS.values() if wanted in kind.export.tables])

    def _typed(self, kinds: Sequence[type[EntryBody]]) -> Iterator[tuple[Entry, EntryBody]]:
        wanted = {kind.kind for kind in kinds}
        for entry in self.entries:
            if entry["kind"] in wanted:
                yield entry, read_fields(entry["kind"], entry["body"], entry["seq"])

    def lateness(self, entry: Entry) -> Lateness:
        """Judge the two times of an entry by the plant's setting."""
        return lateness(entry["event_time"], entry["recorded_at"], self.late_minutes)

    def who(self, badge: str | None) -> str:
        """Return a person for a table: name and badge, or the badge alone."""
        if badge is None:
            return ""
        name = self.people.get(badge, ("", ""))[0]
        return f"{name} ({badge})" if name else badge

    def where(self, station: str | None) -> str:
        """Return a station for a table."""
        if station is None:
            return "at a desk"
        name = self.stations.get(station, ("", ""))[1]
        return f"{name} ({station})" if name else station

    def parents(self, code: str, *, now: bool = True) -> list[str]:
        """Return what a carton or pallet stands in now, or also what it ever stood in."""
        return [
            each.parent for each in self.nestings if each.child == code and (each.closed is None or not now)
        ]


@dataclass(frozen=True, slots=True)
class Proven:
    """An entry of the journal with its proof."""

    seq: int
    """Its number in the journal, from 1."""
    canonical: bytes
    """The bytes that were hashed."""
    pack: bytes | None
    """The raw scans beside it, uncompressed; None if it has none."""
    path: tuple[bytes, ...]
    """Its inclusion proof, lowest hash first."""
    withheld: bool = False
    """True if only its hash is given, because it names a person."""
    pack_withheld: bool = False
    """True if only its raw scans are kept back."""

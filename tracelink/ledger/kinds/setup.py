"""Entries that tell the ledger about the plant: people, stations, products, materials, labels."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.closed_sets import LotDecision, LotStatus, PrintStatus
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.origin import FROM_FILE, Origin


@dataclass(frozen=True, slots=True)
class PlantNamed:
    """The first entry of a ledger: whose it is, and the settings that its rules use."""

    kind: ClassVar[str] = "plant-named"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.ALWAYS, no_event=NoEvent.SAYS_WHAT_IS)
    origin: ClassVar[Origin] = FROM_FILE
    name: str
    company_prefix: str
    """GS1 company prefix, digits."""
    matrix_pattern: str
    """The plant's grammar of matrix numbers (a regular expression)."""
    matrix_example: str
    settings: tuple["Setting", ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One plant row and one row per setting."""
        yield Insert(
            "plant",
            {
                "id": 1,
                "name": self.name,
                "company_prefix": self.company_prefix,
                "matrix_pattern": self.matrix_pattern,
                "matrix_example": self.matrix_example,
                "seq": entry.seq,
            },
        )
        for setting in self.settings:
            yield Insert("setting", {"name": setting.name, "value": setting.value, "source": setting.source})


@dataclass(frozen=True, slots=True)
class Setting:
    """One limit or trade number, with where its value comes from."""

    name: str
    value: int
    source: str


@dataclass(frozen=True, slots=True)
class DomainNamed:
    """The domain under which the plant's own things have addresses when it talks to others, as in EPCIS."""

    kind: ClassVar[str] = "domain-named"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.ALWAYS, no_event=NoEvent.SAYS_WHAT_IS)
    origin: ClassVar[Origin] = FROM_FILE
    domain: str
    """Host name, optionally with a path, such as id.example.org."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables: only exports ask for it, and they read the journal."""
        yield from ()


@dataclass(frozen=True, slots=True)
class PersonEnrolled:
    """A person with a badge and the work areas they may act in."""

    kind: ClassVar[str] = "person-enrolled"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS, holds_name=True
    )
    origin: ClassVar[Origin] = FROM_FILE
    person: str
    name: str
    roles: tuple[str, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One person row and one row per role."""
        yield from enrolled(entry, self.person, self.name, self.roles)


def enrolled(entry: Entry, person: str, name: str, roles: tuple[str, ...]) -> Iterator[Change]:
    """Yield the rows of somebody who gets a badge, when the ledger is made or later."""
    yield Insert("person", {"code": person, "name": name, "seq": entry.seq})
    for role in roles:
        yield Insert("person_role", {"person": person, "role": role})


@dataclass(frozen=True, slots=True)
class StationPlaced:
    """A station: a press, a packing line, a dock door, a lab or tool-room bench."""

    kind: ClassVar[str] = "station-placed"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS)
    origin: ClassVar[Origin] = FROM_FILE
    station: str
    area: str
    """tool, press, lab, line, dock, process or assembly."""
    name: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One station row, with nobody signed on."""
        yield Insert(
            "station", {"code": self.station, "area": self.area, "name": self.name, "seq": entry.seq}
        )


@dataclass(frozen=True, slots=True)
class ProductPart:
    """One disc of a product: its place in the set and the matrix number on each side."""

    piece: int
    """1 ... number of discs in the product."""
    matrix_a: str
    matrix_b: str


@dataclass(frozen=True, slots=True)
class ProductDefined:
    """A sellable product: its discs in order, how many go into a carton, whether sleeves are numbered."""

    kind: ClassVar[str] = "product-defined"
    export: ClassVar[ExportRule] = ExportRule(
        on("gtin", Things.GTINS), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = FROM_FILE
    gtin: str
    """GTIN-13 digits."""
    catalogue_number: str
    title: str
    numbered: bool
    carton_size: int
    """Finished units to a full carton."""
    parts: tuple[ProductPart, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One product row and one row per disc."""
        yield Insert(
            "product",
            {
                "gtin": self.gtin,
                "catalogue_number": self.catalogue_number,
                "title": self.title,
                "numbered": int(self.numbered),
                "carton_size": self.carton_size,
                "seq": entry.seq,
            },
        )
        for part in self.parts:
            yield Insert(
                "product_part",
                {
                    "gtin": self.gtin,
                    "piece": part.piece,
                    "total": len(self.parts),
                    "matrix_a": part.matrix_a,
                    "matrix_b": part.matrix_b,
                },
            )


@dataclass(frozen=True, slots=True)
class LotPlanned:
    """A lot card was made out: this lot will press this disc of this product."""

    kind: ClassVar[str] = "lot-planned"
    export: ClassVar[ExportRule] = ExportRule(
        on("lot", Things.LOTS),
        no_event=NoEvent.SAYS_WHAT_IS,
        tables=(BundleTable.PRESS_ACTS,),
        called="lot card made out",
    )
    origin: ClassVar[Origin] = FROM_FILE
    lot: str
    gtin: str
    piece: int
    quantity: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One lot row; nothing pressed, decision pending."""
        yield Insert(
            "lot",
            {
                "code": self.lot,
                "gtin": self.gtin,
                "piece": self.piece,
                "planned": self.quantity,
                "press": None,
                "status": LotStatus.PLANNED,
                "decision": LotDecision.PENDING,
                "counter": 0,
                "seq": entry.seq,
            },
        )


@dataclass(frozen=True, slots=True)
class MaterialReceived:
    """A compound lot or a lot of labels for one side of one disc came in."""

    kind: ClassVar[str] = "material-received"
    export: ClassVar[ExportRule] = ExportRule(on("material", Things.MATERIALS), taken=Taken.SETTING_UP)
    origin: ClassVar[Origin] = FROM_FILE
    material: str
    what: str
    """compound or label."""
    detail: str
    gtin: str | None
    """Labels only: the product they are for."""
    piece: int | None
    side: str | None

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One material row."""
        yield Insert(
            "material",
            {
                "code": self.material,
                "what": self.what,
                "detail": self.detail,
                "gtin": self.gtin,
                "piece": self.piece,
                "side": self.side,
                "seq": entry.seq,
            },
        )


@dataclass(frozen=True, slots=True)
class SleevesReceived:
    """A batch of printed sleeves came in, with its number range if the edition is numbered."""

    kind: ClassVar[str] = "sleeves-received"
    export: ClassVar[ExportRule] = ExportRule(on("batch", Things.BATCHES), taken=Taken.SETTING_UP)
    origin: ClassVar[Origin] = FROM_FILE
    batch: str
    gtin: str
    quantity: int
    first_number: int | None
    last_number: int | None
    superseded: bool

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One sleeve batch row."""
        yield Insert(
            "sleeve_batch",
            {
                "code": self.batch,
                "gtin": self.gtin,
                "quantity": self.quantity,
                "first_number": self.first_number,
                "last_number": self.last_number,
                "status": PrintStatus.SUPERSEDED if self.superseded else PrintStatus.CURRENT,
                "seq": entry.seq,
            },
        )


@dataclass(frozen=True, slots=True)
class SsccIssued:
    """SSCC labels with consecutive serial references were given out for cartons or for pallets."""

    kind: ClassVar[str] = "sscc-issued"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS)
    origin: ClassVar[Origin] = FROM_FILE
    what: str
    """carton or pallet."""
    extension: str
    first_serial: int
    last_serial: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row for the whole block."""
        yield Insert(
            "sscc_block",
            {
                "seq": entry.seq,
                "what": self.what,
                "extension": self.extension,
                "first_serial": self.first_serial,
                "last_serial": self.last_serial,
            },
        )

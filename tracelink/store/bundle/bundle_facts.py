"""Reads what an audit bundle tells from the tables, inside one transaction."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, text

from tracelink.balance.labels import LabelBalance
from tracelink.balance.lot import LotBalance, lot_balance
from tracelink.balance.lot_records import LotRecords
from tracelink.errors import LedgerError
from tracelink.facts.bundle_content import (
    EXAMPLE_DOMAIN,
    BundleFacts,
    CartonNote,
    LotNote,
    ProductNote,
    ShipmentNote,
)
from tracelink.genealogy.containment.gaps import gaps_of
from tracelink.genealogy.flow.follow import history_of
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.tree import Tree
from tracelink.genealogy.suspects.closure import closure_of
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.ledger.kinds.setup import DomainNamed
from tracelink.store.bundle.concern import people_in
from tracelink.store.bundle.entries import BundleEntry
from tracelink.store.bundle.scope_codes import BundleScope
from tracelink.store.compact.stored_rows import said
from tracelink.store.records.balance_facts import lot_records
from tracelink.store.records.entries_by_actor import stored_of_kinds
from tracelink.store.records.label_facts import label_records
from tracelink.store.records.late_entries import late_minutes
from tracelink.store.records.plant_versions import names_of_lot, versions
from tracelink.store.records.settings import setting_with_source
from tracelink.store.records.sql_records import SqlRecords
from tracelink.store.stations.answers import SqlStationQueries

_LOT = "SELECT gtin, piece, planned, press, status, decision, counter FROM lot WHERE code = :code"
_PRODUCT = "SELECT title, catalogue_number FROM product WHERE gtin = :code"
_PARTS = "SELECT piece, matrix_a, matrix_b FROM product_part WHERE gtin = :code ORDER BY piece"
_STATION = "SELECT area, name FROM station WHERE code = :code"
_CARTON = "SELECT gtin, status, units FROM carton WHERE sscc = :code"
_BATCHES = "SELECT batch FROM carton_sleeve WHERE carton = :code AND units > 0 ORDER BY batch"
_NUMBERS = "SELECT number FROM numbered_sleeve WHERE carton = :code ORDER BY number"
_PALLET = "SELECT status FROM pallet WHERE sscc = :code"
_SHIPMENT = (
    "SELECT s.order_code, o.consignee, o.country, s.status, s.departed_at FROM shipment s "
    "JOIN customer_order o ON o.code = s.order_code WHERE s.code = :code"
)
_LOCATION = "SELECT name FROM location WHERE code = :code"
_SPOOLED = "SELECT COUNT(*) FROM spool WHERE lot = :code AND spindle IS NOT NULL"
_SETTINGS = text("SELECT name FROM setting ORDER BY name")
_PLANT = text("SELECT name FROM plant")
_NAMES = text("SELECT code, name FROM person ORDER BY code")
_FIRST = text("SELECT hash FROM journal WHERE seq = 1")
_HEAD = text("SELECT seq, hash, stored FROM journal ORDER BY seq DESC LIMIT 1")


@dataclass(frozen=True, slots=True)
class Wishes:
    """How a bundle is to be made."""

    pseudonyms: bool = False
    """True if people are shown by their badges alone."""
    domain: str | None = None
    """Where the plant's identifiers live; None for what the ledger says."""


def bundle_facts(
    conn: Connection, scope: BundleScope, found: Iterable[BundleEntry], wishes: Wishes
) -> BundleFacts:
    """Gather everything that a bundle tells."""
    entries = tuple(each.entry for each in found)
    reader = _RowReader(conn)
    records = SqlRecords(conn)
    head = conn.execute(_HEAD).one()
    people = {person for entry in entries for person in people_in(entry)}
    stations = {entry["station"] for entry in entries if entry["station"]} | scope.presses
    gaps, conflicts = _doubts(records, scope)
    lots = {code: LotNote(*reader.one(_LOT, code)) for code in sorted(scope.lots)}
    tools = {code: records.tool(code) for code in sorted(scope.tools)}
    return BundleFacts(
        kind=scope.kind,
        code=scope.code,
        lots=lots,
        whole=frozenset(scope.whole),
        entries=entries,
        head=(head.seq, bytes(head.hash).hex(), said(head.stored)["recorded_at"]),
        first_hash=bytes(conn.execute(_FIRST).scalar_one()).hex(),
        plant=str(conn.execute(_PLANT).scalar() or ""),
        domain=wishes.domain or domain_of(conn) or EXAMPLE_DOMAIN,
        people={code: reader.person(code, hidden=wishes.pseudonyms) for code in sorted(people)},
        stations={
            code: tuple(reader.one(_STATION, code))
            for code in sorted(stations)
            if reader.known(_STATION, code)
        },
        products={code: reader.product(code, lots) for code in sorted(scope.gtins)},
        segments=tuple(each for lot in sorted(scope.lots) for each in records.segments_of(lot)),
        tools={code: tool for code, tool in tools.items() if tool is not None},
        spindles=frozenset(scope.spindles),
        samples=frozenset(scope.samples),
        cartons={code: reader.carton(code) for code in sorted(scope.cartons) if reader.known(_CARTON, code)},
        pallets={code: reader.one(_PALLET, code)[0] for code in sorted(scope.pallets)},
        shipments={code: ShipmentNote(*reader.one(_SHIPMENT, code)) for code in sorted(scope.shipments)},
        locations={code: reader.one(_LOCATION, code)[0] for code in sorted(scope.locations)},
        nestings=tuple(
            each
            for code in (*sorted(scope.cartons), *sorted(scope.pallets))
            for each in records.parents_of(code)
        ),
        # What a case names of a lot is a part of it, but its reader asks whether the whole lot adds up.
        balances=tuple(
            _balance(conn, lot) for lot in sorted(scope.lots if scope.kind == "case" else scope.whole)
        ),
        labels=tuple(_labels(conn, sorted(scope.batches | scope.materials))),
        settings=tuple(
            (name, found.value, found.source)
            for name in conn.execute(_SETTINGS).scalars()
            for found in (setting_with_source(conn, name),)
        ),
        late_minutes=late_minutes(conn),
        gaps=gaps,
        conflicts=conflicts,
        spooled=sum(reader.one(_SPOOLED, lot)[0] for lot in sorted(scope.lots)),
        back=_traced(trace_back, records, scope),
        forward=_traced(trace_forward, records, scope),
        parts=frozenset(scope.parts | scope.part_sources),
        units=dict(scope.named_parts),
    )


def _traced(walk: Callable[[Records, str], Tree], records: SqlRecords, scope: BundleScope) -> Tree:
    """One walk, or the walks from several roots in one tree."""
    trees = [walk(records, root) for root in scope.roots or (scope.cause or scope.code,)]
    nodes = {node.code: node for tree in trees for node in tree.nodes}
    return Tree(
        trees[0].root,
        tuple(nodes.values()),
        tuple(dict.fromkeys(edge for tree in trees for edge in tree.edges)),
        tuple(dict.fromkeys(text for tree in trees for text in tree.conflicts)),
    )


def people_names(conn: Connection) -> dict[str, str]:
    """Return name -> badge of everybody enrolled; of two with one name the first badge."""
    found: dict[str, str] = {}
    for row in conn.execute(_NAMES):
        found.setdefault(row.name, row.code)
    return found


class _RowReader:
    """Single rows by code."""

    def __init__(self, conn: Connection) -> None:
        self._conn = conn

    def known(self, query: str, code: str) -> bool:
        return self._conn.execute(text(query), {"code": code}).first() is not None

    def one(self, query: str, code: str) -> tuple[Any, ...]:
        return tuple(self._conn.execute(text(query), {"code": code}).one())

    def column(self, query: str, code: str) -> tuple[str, ...]:
        return tuple(row[0] for row in self._conn.execute(text(query), {"code": code}))

    def person(self, code: str, *, hidden: bool) -> tuple[str, str]:
        person = SqlStationQueries(self._conn).person(code)
        if person is None:
            return "", ""
        return "" if hidden else person.name, ", ".join(sorted(person.roles))

    def product(self, gtin: str, lots: Mapping[str, LotNote]) -> ProductNote:
        """What a product is, as it was called when the first of its lots here was pressed."""
        of_lot = next((code for code, lot in lots.items() if lot.gtin == gtin), "")
        title, number = names_of_lot(self._conn, of_lot, versions(self._conn, gtin), self.one(_PRODUCT, gtin))
        parts = self._conn.execute(text(_PARTS), {"code": gtin}).all()
        return ProductNote(title, number, len(parts), {row[0]: (row[1], row[2]) for row in parts})

    def carton(self, code: str) -> CartonNote:
        gtin, status, units = self.one(_CARTON, code)
        return CartonNote(gtin, status, units, self.column(_BATCHES, code), self.column(_NUMBERS, code))


def domain_of(conn: Connection) -> str | None:
    """Return the domain under which the plant gives its own things addresses; None if it named none."""
    found = next(stored_of_kinds(conn, [DomainNamed.kind]), None)
    return None if found is None else str(said(found)["body"]["domain"])


def _doubts(records: SqlRecords, scope: BundleScope) -> tuple[tuple[str, ...], tuple[str, ...]]:
    gaps: list[str] = []
    conflicts: list[str] = []
    for lot in sorted(scope.lots):
        gaps += gaps_of(records, closure_of(records, lot), records.judgements_of(lot), None)
        if lot in scope.whole:
            conflicts += history_of(records, lot).conflicts
    return tuple(dict.fromkeys(gaps)), tuple(conflicts)


def _balance(conn: Connection, lot: str) -> tuple[LotBalance, LotRecords]:
    found = lot_records(conn, lot)
    return lot_balance(found), found


def _labels(conn: Connection, codes: Iterable[str]) -> Iterable[LabelBalance]:
    for code in codes:
        try:
            yield LabelBalance(label_records(conn, code))
        except LedgerError:
            # A compound lot is not a label: it has no balance of its own.
            continue

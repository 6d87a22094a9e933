"""What the ledger knows around a scope and the pure rooms do not ask: people, times, orders, holds, balances."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection

from tracelink.balance.balance_sentences import loose_sentences
from tracelink.balance.lot import LotBalance, lot_balance
from tracelink.facts.entry_stamp import EntryStamp
from tracelink.facts.scope_discs import Delivery, LookAlike
from tracelink.facts.scope_records import CaseLine, HoldLine, RelatedLot
from tracelink.genealogy.containment.in_plant import InPlant
from tracelink.genealogy.containment.scope import Scope
from tracelink.genealogy.model.facts import JudgementFact, SegmentFact
from tracelink.genealogy.model.shapes import TierName
from tracelink.ledger.closed_sets import ShipmentStatus
from tracelink.ledger.kinds.setup import Setting
from tracelink.ledger.plant.default_settings import EFFECT_SHARES
from tracelink.store.assembly.part_books import parts_balance
from tracelink.store.assembly.part_records import is_of_the_hall
from tracelink.store.database.in_lists import of_codes, rows_of
from tracelink.store.records import scope_quality
from tracelink.store.records.balance_facts import lot_records
from tracelink.store.records.contacts import contact_on
from tracelink.store.records.entry_stamps import entry_stamps, names
from tracelink.store.records.free_to_ship import in_plant
from tracelink.store.records.hold_lines import hold_lines
from tracelink.store.records.late_entries import late_minutes
from tracelink.store.records.look_alikes import look_alikes
from tracelink.store.records.related_lots import related_lots
from tracelink.store.records.scope_cases import cases_about
from tracelink.store.records.settings import setting_with_source

_DRAWN = of_codes("SELECT code, at FROM sample WHERE code IN :codes")
_MEASURED = of_codes(
    "SELECT sample, quantity, value, unit, seq FROM measurement WHERE sample IN :codes UNION ALL "
    "SELECT sample, test, value, unit, seq FROM lab_result WHERE sample IN :codes AND replaced_by IS NULL "
    "ORDER BY sample, seq, quantity"
)
_PRODUCTS = of_codes(
    "SELECT l.code, p.catalogue_number, q.total, q.matrix_a, q.matrix_b FROM lot l JOIN product p ON p.gtin = l.gtin "
    "JOIN product_part q ON q.gtin = l.gtin AND q.piece = l.piece WHERE l.code IN :codes"
)
_PRESSED = of_codes(
    "SELECT lot, MIN(at) AS first, MAX(at) AS last FROM movement WHERE source = 'counter' AND lot IN :codes GROUP BY lot"
)
_DELIVERIES = of_codes(
    "SELECT code, order_code, departed_at, status FROM shipment WHERE code IN :codes ORDER BY code"
)
_NUMBERS = of_codes(
    "SELECT carton, number FROM numbered_sleeve WHERE carton IN :codes ORDER BY carton, length(number), number"
)
_SEGMENTS = of_codes(
    'SELECT lot, "first", "last", press, stamper_a, stamper_b, life_a, life_b, compound, label_a, label_b, seq '
    'FROM run_segment WHERE lot IN :codes ORDER BY lot, "first"'
)


@dataclass(frozen=True, slots=True)
class PressedProduct:
    """What a lot was pressed for."""

    catalogue_number: str
    """Catalogue number, as printed on the sleeve."""
    total: int
    """Discs of the set."""
    matrix: tuple[str, str]
    """Matrix text of sides A and B."""
    pressed: tuple[str, str]
    """When its first and its last stack were taken, local time; empty if none was."""


@dataclass(frozen=True, slots=True)
class ScopeFacts:
    """All of it, looked up; empty where nothing was."""

    head_at: str = ""
    """When the last entry was recorded, UTC."""
    drawn: Mapping[str, str] = field(default_factory=dict)
    """Sample -> when it was drawn."""
    measured: Mapping[str, str] = field(default_factory=dict)
    """Sample -> measured values."""
    judged: Mapping[int, EntryStamp] = field(default_factory=dict)
    """Entry of a judgement -> who and when."""
    products: Mapping[str, PressedProduct] = field(default_factory=dict)
    """Lot -> what it was pressed for."""
    deliveries: Mapping[str, Delivery] = field(default_factory=dict)
    """Shipment -> order and date."""
    numbers: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    """Carton -> numbered sleeves in it."""
    holds: tuple[HoldLine, ...] = ()
    """Holds that name anything in question."""
    in_plant: tuple[InPlant, ...] = ()
    """Suspect things in the plant."""
    balances: tuple[tuple[LotBalance, tuple[str, ...]], ...] = ()
    """The balance of each lot, with sentences on what came back loose."""
    related: tuple[RelatedLot, ...] = ()
    """Lots that share something."""
    look_alikes: tuple[LookAlike, ...] = ()
    """Stampers that are not in question and bear the matrix text of one that is."""
    contacts: Mapping[str, str] = field(default_factory=dict)
    """Consignee -> whom to write to, in one line; those that the plant file names."""
    cases: tuple[CaseLine, ...] = ()
    """Containment cases about the cause."""
    shares: tuple[Setting, ...] = ()
    """The shares of effectiveness checks that the plant set, by level."""
    late_after_minutes: int = 0
    """Minutes after which an entry counts as late."""
    quality: scope_quality.JournalRecords | None = None
    """What the journal says about the entries."""


def scope_facts(conn: Connection, scope: Scope, judgements: Iterable[JudgementFact]) -> ScopeFacts:
    """Look up what a document about a scope needs.

    Args:
        conn: a connection at the journal head of the scope.
        scope: the containment.
        judgements: the judgements that it was made with.
    """
    people = names(conn)
    touched = [held for held in scope.containers if held.most]
    lots = lots_of(scope)
    cartons = list(dict.fromkeys(held.code for held in touched if held.kind == "carton"))
    outer = list(dict.fromkeys(parent for held in touched for parent in held.parents))
    judged = list(judgements)
    samples = [fact.sample for fact in judged]
    late_after = late_minutes(conn)
    segments = _suspect_segments(conn, scope, lots)
    things = [scope.cause, *scope.suspects, *(held.code for held in touched), *outer, *lots]
    head_at = _head_at(conn, scope.head[0])
    return ScopeFacts(
        head_at=head_at,
        drawn={row.code: row.at for row in rows_of(conn, _DRAWN, samples)},
        measured=_measured(conn, samples),
        judged=entry_stamps(conn, (fact.seq for fact in judged), people),
        products=_products(conn, lots),
        deliveries={row.code: _delivery(row) for row in rows_of(conn, _DELIVERIES, outer)},
        numbers=_numbers(conn, cartons),
        holds=hold_lines(conn, things, people),
        in_plant=tuple(in_plant(conn, scope)),
        balances=tuple(_balance(conn, lot) for lot in lots),
        related=related_lots(conn, lots, segments, cartons),
        look_alikes=look_alikes(conn, scope.suspects, segments),
        contacts=_contacts(conn, dict.fromkeys(held.consignee for held in touched), head_at),
        cases=cases_about(conn, {code for clause in scope.clauses for code in clause} | {scope.cause}),
        shares=tuple(setting_with_source(conn, name) for name in EFFECT_SHARES),
        late_after_minutes=late_after,
        quality=scope_quality.record_quality(
            conn,
            scope_quality.ScopeSubject(lots, [*(held.code for held in touched), *outer], cartons),
            late_after,
            people,
        ),
    )


def lots_of(scope: Scope) -> list[str]:
    """The lots in question: of the tiers that are not cleared, and of the containers."""
    tiers = [tier.lot for tier in scope.tiers if tier.name is not TierName.CLEARED]
    return list(dict.fromkeys([*tiers, *(held.lot for held in scope.containers)]))


def _head_at(conn: Connection, seq: int) -> str:
    found = entry_stamps(conn, [seq], {}).get(seq)
    return "" if found is None else found.recorded


def _contacts(conn: Connection, consignees: Iterable[str], at: str) -> dict[str, str]:
    found = {name: contact_on(conn, name, at[:10]) for name in consignees if name}
    return {name: contact.ways for name, contact in found.items() if contact is not None}


def _measured(conn: Connection, samples: Sequence[str]) -> dict[str, str]:
    found: dict[str, list[str]] = {}
    for row in rows_of(conn, _MEASURED, samples):
        found.setdefault(row.sample, []).append(f"{row.quantity} {row.value} {row.unit}")
    return {sample: ", ".join(values) for sample, values in found.items()}


def _products(conn: Connection, lots: Sequence[str]) -> dict[str, PressedProduct]:
    pressed = {row.lot: (row.first, row.last) for row in rows_of(conn, _PRESSED, lots)}
    return {
        row.code: PressedProduct(
            row.catalogue_number, row.total, (row.matrix_a, row.matrix_b), pressed.get(row.code, ("", ""))
        )
        for row in rows_of(conn, _PRODUCTS, lots)
    }


def _delivery(row: Any) -> Delivery:
    return Delivery(row.code, row.order_code, row.departed_at or "", row.status == ShipmentStatus.SHIPPED)


def _numbers(conn: Connection, cartons: Sequence[str]) -> dict[str, tuple[str, ...]]:
    found: dict[str, list[str]] = {}
    for row in rows_of(conn, _NUMBERS, cartons):
        found.setdefault(row.carton, []).append(row.number)
    return {carton: tuple(numbers) for carton, numbers in found.items()}


def _balance(conn: Connection, lot: str) -> tuple[LotBalance, tuple[str, ...]]:
    if is_of_the_hall(lot):
        return parts_balance(conn, lot), ()
    records = lot_records(conn, lot)
    return lot_balance(records), tuple(loose_sentences(records))


def _suspect_segments(conn: Connection, scope: Scope, lots: Sequence[str]) -> list[SegmentFact]:
    """The segments with a suspected disc; every segment of a lot that is suspect by place."""
    segments = [SegmentFact(*row) for row in rows_of(conn, _SEGMENTS, lots)]
    if not scope.tiers:
        return segments
    suspect = [tier for tier in scope.tiers if tier.name is not TierName.CLEARED]
    return [
        segment
        for segment in segments
        if any(tier.lot == segment.lot and tier.strokes & segment.strokes for tier in suspect)
    ]

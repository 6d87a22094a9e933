"""The codes that an audit bundle touches, and how they are looked up."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection, TextClause

from tracelink.store.records.sql_records import SqlRecords


@dataclass(slots=True)
class BundleScope:
    """Codes by what they are; gathered once, then only read."""

    kind: str
    """lot, carton, pallet, shipment, consignee, tool, material, sleeve batch, case, step, part lot, reel, build order or piece."""
    code: str
    """The one asked about."""
    lots: set[str] = field(default_factory=set)
    """Lots whose making is told."""
    whole: set[str] = field(default_factory=set)
    """Of these, the lots all of whose discs are followed."""
    tools: set[str] = field(default_factory=set)
    presses: set[str] = field(default_factory=set)
    materials: set[str] = field(default_factory=set)
    spindles: set[str] = field(default_factory=set)
    samples: set[str] = field(default_factory=set)
    cartons: set[str] = field(default_factory=set)
    pallets: set[str] = field(default_factory=set)
    shipments: set[str] = field(default_factory=set)
    locations: set[str] = field(default_factory=set)
    batches: set[str] = field(default_factory=set)
    orders: set[str] = field(default_factory=set)
    gtins: set[str] = field(default_factory=set)
    steps: set[str] = field(default_factory=set)
    equipment: set[str] = field(default_factory=set)
    processes: set[str] = field(default_factory=set)
    """Names."""
    parts: set[str] = field(default_factory=set)
    """Part lots, reels, build orders and built pieces that are followed."""
    part_sources: set[str] = field(default_factory=set)
    """Part lots, reels and build orders that those are of; what else they went into is not followed."""
    named_parts: dict[str, str] = field(default_factory=dict)
    """Built pieces that are products -> GTIN."""
    cause: str | None = None
    """Of a case: the thing that its question is about."""
    roots: tuple[str, ...] = ()
    """What to trace where the subject itself is not a thing in the records: the shipments of a consignee."""

    @property
    def subject(self) -> str:
        """What the bundle is about, for a reader."""
        return f"{self.kind} {self.code}"

    @property
    def own(self) -> set[str]:
        """Every code that belongs to this subject and to few others; tools, materials and stations are shared."""
        return (
            self.lots
            | self.spindles
            | self.samples
            | self.cartons
            | self.pallets
            | self.shipments
            | self.steps
            | self.parts
        )

    @property
    def things(self) -> set[str]:
        """Every code of a thing that a hold or an investigation may be about."""
        return self.own | self.tools | self.materials | self.batches | self.equipment | self.part_sources


def known(conn: Connection, query: TextClause, code: str) -> bool:
    """Say whether a query finds anything of a code."""
    return conn.execute(query, {"code": code}).first() is not None


def add_line_of(records: SqlRecords, scope: BundleScope, tool: str | None) -> None:
    """Add a tool and those it was grown from."""
    while tool is not None and tool not in scope.tools:
        scope.tools.add(tool)
        fact = records.tool(tool)
        tool = fact.parent if fact else None


def all_of(conn: Connection, query: TextClause, code: str) -> list[Any]:
    """Return the rows that a query finds of a code."""
    return list(conn.execute(query, {"code": code}))


def column_of(conn: Connection, query: TextClause, code: str) -> set[str]:
    """Return the first column of those rows."""
    return {row[0] for row in all_of(conn, query, code)}

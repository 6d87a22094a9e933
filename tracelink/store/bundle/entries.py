"""The entries that concern a bundle, found by reading the journal once, with their proofs.

There is no index from things to entries: a bundle is made now and then, an entry is written every second. One pass
reads every entry, and keeps numbers only.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, bindparam, select

from tracelink.errors import IdentifierError
from tracelink.facts.bundle_content import Proven
from tracelink.identity.gs1.sscc import Sscc
from tracelink.ledger.kinds.balance import InvestigationClosed, InvestigationOpened
from tracelink.ledger.kinds.case import CaseOpened, CaseScoped
from tracelink.ledger.kinds.lab import HoldLifted, HoldPlaced
from tracelink.ledger.kinds.partners import PartnerDocument, PartnerEvent
from tracelink.ledger.kinds.registry import KINDS
from tracelink.ledger.kinds.setup import PersonEnrolled, SsccIssued, StationPlaced
from tracelink.ledger.kinds.station import ScanRefused
from tracelink.ledger.proof import merkle
from tracelink.store.bundle.concern import LOOKED_AT_LAST, Stations, acts_on, people_in, taken
from tracelink.store.bundle.scope_codes import BundleScope
from tracelink.store.compact.stored_rows import said
from tracelink.store.database.tables_journal import journal as journal_table
from tracelink.store.journal import journal
from tracelink.store.journal.subtrees import StoredTree

_OF_KINDS = (
    select(journal_table.c.seq, journal_table.c.stored)
    .where(journal_table.c.kind.in_(bindparam("kinds", expanding=True)))
    .order_by(journal_table.c.seq)
)


@dataclass(frozen=True, slots=True)
class BundleEntry:
    """One entry of a bundle."""

    seq: int
    canonical: bytes
    pack: bytes | None
    """Its raw scans, uncompressed."""
    entry: Mapping[str, Any]
    """The canonical bytes, parsed."""


def concerned(conn: Connection, scope: BundleScope, progress: Callable[[int], None]) -> list[BundleEntry]:
    """Return the entries that concern a bundle, in the order of the journal.

    Args:
        conn: a connection that sees one state.
        scope: what the bundle is about.
        progress: called with 1 for each entry read.
    """
    chosen = _chosen(conn, scope, progress)
    found = list(_read(conn, chosen))
    missing = {each.entry["corrects"] for each in found if each.entry["corrects"] is not None} - chosen
    if missing:
        chosen |= missing
        found = list(_read(conn, chosen))
    chosen |= _set_up(conn, scope, found)
    return list(_read(conn, chosen))


def _chosen(conn: Connection, scope: BundleScope, progress: Callable[[int], None]) -> set[int]:
    chosen: set[int] = set()
    holds, investigations, cases = set[str](), set[int](), set[str]()
    stations, own = Stations(scope), scope.own
    documents: dict[str, int] = {}
    for row in journal.rows(conn):
        progress(1)
        if row.kind is not None and taken(row.kind) in LOOKED_AT_LAST:
            continue
        entry = json.loads(row.canonical)
        stations.see(entry)
        kind, body = entry["kind"], entry["body"]
        if kind == PartnerDocument.kind:
            documents[body["sha256"]] = row.seq
        wanted = (
            acts_on(kind, body, scope, own)
            or stations.is_on(entry)
            or entry["corrects"] in chosen
            or (kind == HoldLifted.kind and body["hold"] in holds)
            or (kind == InvestigationClosed.kind and body["investigation"] in investigations)
            or ("case" in body and body["case"] in cases)
            or (kind == ScanRefused.kind and body["subject"] in own)
        )
        if not wanted:
            continue
        chosen.add(row.seq)
        chosen.update(stations.before(entry["station"]))
        if kind == PartnerEvent.kind and body["document"] in documents:
            chosen.add(documents[body["document"]])
        if kind == HoldPlaced.kind:
            holds.add(body["hold"])
        elif kind in (CaseOpened.kind, CaseScoped.kind):
            cases.add(body["case"])
        elif kind == InvestigationOpened.kind:
            investigations.add(row.seq)
    return chosen


def _set_up(conn: Connection, scope: BundleScope, found: Iterable[BundleEntry]) -> set[int]:
    """The entries that say what the people, stations, products and labels of the others are."""
    people = {person for each in found for person in people_in(each.entry)}
    stations = {each.entry["station"] for each in found} | scope.presses
    labels = [*_serials(scope.cartons), *_serials(scope.pallets)]
    own = scope.own
    chosen = set()
    for row in conn.execute(
        _OF_KINDS, {"kinds": sorted(kind for kind in KINDS if taken(kind) in LOOKED_AT_LAST)}
    ):
        entry = said(row.stored)
        kind, body = entry["kind"], entry["body"]
        if (
            acts_on(kind, body, scope, own)
            or (kind == PersonEnrolled.kind and body["person"] in people)
            or (kind == StationPlaced.kind and body["station"] in stations)
            or (kind == SsccIssued.kind and _covers(body, labels))
        ):
            chosen.add(row.seq)
    return chosen


def _serials(codes: Iterable[str]) -> Iterator[tuple[str, str]]:
    """Extension digit and the digits behind it, without the check digit."""
    for code in codes:
        try:
            text = str(Sscc.parse(code))
        except IdentifierError:
            continue
        yield text[0], text[1:-1]


def _covers(block: Mapping[str, Any], labels: Iterable[tuple[str, str]]) -> bool:
    first, last = block["first_serial"], block["last_serial"]
    width = len(str(last))
    return any(
        extension == block["extension"] and first <= int(digits[-max(width, 1) :]) <= last
        for extension, digits in labels
    )


def _read(conn: Connection, numbers: Iterable[int]) -> Iterator[BundleEntry]:
    for row in journal.rows_at(conn, numbers):
        yield BundleEntry(row.seq, row.canonical, row.pack, json.loads(row.canonical))


class _Remembered:
    """A stored tree that reads each subtree once: neighbouring proofs share most of theirs."""

    def __init__(self, conn: Connection) -> None:
        self._tree = StoredTree(conn)
        self._known: dict[tuple[int, int], bytes] = {}

    def subtree(self, level: int, position: int) -> bytes:
        key = (level, position)
        if key not in self._known:
            self._known[key] = self._tree.subtree(level, position)
        return self._known[key]


def proven(
    conn: Connection, found: Iterable[BundleEntry], size: int, names: re.Pattern[str] | None
) -> list[Proven]:
    """Return entries with their inclusion proofs.

    Args:
        conn: a connection that sees one state.
        found: the entries.
        size: of the tree that the checkpoint is over.
        names: people's names; entries and raw scans with one are withheld. None to withhold nothing.
    """
    tree = _Remembered(conn)
    return [
        Proven(
            each.seq,
            each.canonical,
            each.pack,
            merkle.inclusion(tree, each.seq - 1, size),
            withheld=names is not None and _names(each, names),
            pack_withheld=names is not None and each.pack is not None and _has(each.pack, names),
        )
        for each in found
    ]


def _names(found: BundleEntry, names: re.Pattern[str]) -> bool:
    kind = KINDS.get(found.entry["kind"])
    return (kind is not None and kind.export.holds_name) or _has(found.canonical, names)


def _has(data: bytes, names: re.Pattern[str]) -> bool:
    return names.search(data.decode("utf-8", errors="replace")) is not None

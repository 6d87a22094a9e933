"""An audit bundle made from a ledger: entries, proofs, tables, exchange formats, all at one state of the journal."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from importlib.metadata import version
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import JournalError, ProofFails, UsageError
from tracelink.facts.bundle_content import BundleFacts, Proven
from tracelink.genealogy.certificate.digest import DIGEST, digest_of
from tracelink.genealogy.model.tree import Tree
from tracelink.ledger.proof.note import Checkpoint, parse_checkpoint, parse_note
from tracelink.report.bundle import verify_bundle
from tracelink.report.bundle.bundle_files import BundleProof, Seal, evidence_files, json_bytes, sealed
from tracelink.report.bundle.document import bundle_document
from tracelink.report.bundle.readme import readme
from tracelink.report.bundle.tables_acts import act_tables
from tracelink.report.bundle.tables_answer import case_tables
from tracelink.report.bundle.tables_back import back_tables
from tracelink.report.bundle.tables_forward import forward_tables
from tracelink.report.bundle.tables_parts import part_tables
from tracelink.report.epcis.event import EventContext as EpcisLedger
from tracelink.report.epcis.export import epcis_document
from tracelink.report.epcis.names import names_for
from tracelink.report.epcis.prov import prov_document
from tracelink.report.format.document_pdf import document_pdf
from tracelink.report.format.page import document_page
from tracelink.report.format.plain import imprint
from tracelink.report.format.table import Table
from tracelink.report.format.table_csv import csv_file
from tracelink.report.format.table_workbook import BookStamp, workbook
from tracelink.report.pictures.genealogy_svg import genealogy_svg
from tracelink.report.pictures.graphml import graphml
from tracelink.services.answered_case import case_answer
from tracelink.services.upkeep.growth import growth
from tracelink.store.bundle.bundle_facts import Wishes, bundle_facts, people_names
from tracelink.store.bundle.entries import concerned, proven
from tracelink.store.bundle.scope_codes import BundleScope
from tracelink.store.journal import journal
from tracelink.store.journal import subtrees as stored
from tracelink.store.records.sql_records import SqlRecords


@dataclass(frozen=True, slots=True)
class ProvingCheckpoint:
    """The checkpoint that a bundle is proven by."""

    note: bytes
    """A signed note over the whole journal as it is now."""
    key: str | None
    """Verifier key that signed it; None if nobody did."""
    earlier: bytes | None = None
    """A checkpoint from before, to show that the journal only grew."""
    seal: Seal | None = None
    """Signs the manifest with the key of the journal; None if nobody can."""


def unsigned_checkpoint(conn: Connection, name: str) -> bytes:
    """Return a checkpoint of the journal that nobody signed: it fixes the entries, and says nothing about who."""
    size = journal.head(conn).seq
    return f"{Checkpoint(name, size, stored.root(conn, size)).text()}\n".encode()


def make_bundle(
    conn: Connection,
    scope: BundleScope,
    signed: ProvingCheckpoint,
    wishes: Wishes,
    progress: Callable[[int], None] = lambda _entries: None,
) -> dict[str, bytes]:
    """Return the files of a bundle, path -> bytes.

    Args:
        conn: a connection that sees one state.
        scope: what it is about.
        signed: the checkpoint to prove it by.
        wishes: how it is to be made.
        progress: called with 1 for each entry of the journal read.

    Raises:
        UsageError: the checkpoint is not of the journal as it is now.
        ProofFails: a checkpoint is not that of these entries.
        JournalError: what was made does not verify; it is not handed out.
    """
    size = journal.head(conn).seq
    _require_of_now(conn, signed.note, size)
    found = concerned(conn, scope, progress)
    names = people_names(conn)
    hide = _Hiding(names if wishes.pseudonyms else {})
    entries = proven(conn, found, size, hide.pattern)
    facts = hide.facts(bundle_facts(conn, scope, found, wishes))
    asked: dict[str, Any] = {}
    if scope.kind == "case":
        answer, asked = case_answer(conn, scope.code)
        facts = replace(facts, case=answer)
    tables = [hide.table(each) for each in _all_tables(facts)]
    pictures = _pictures(conn, facts)
    document = bundle_document(facts, tables, pictures, signed.key or "")
    files = {
        **evidence_files(_evidence(conn, facts, signed, entries, wishes)),
        **{name: json_bytes(hide.value(data)) for name, data in _exchange(facts).items()},
        **_tables(facts, tables),
        **_answer_file(hide.value(asked)),
        "genealogy.svg": pictures["both"].encode(),
        "report.html": document_page(document).encode(),
        "report.pdf": document_pdf(document),
    }
    withheld = [each for each in entries if each.withheld]
    bundle = sealed(
        {**files, "README.txt": readme(facts, files, withheld, sealed=signed.seal is not None).encode()},
        signed.seal,
    )
    result = verify_bundle.verify(bundle)
    if result.faults:
        raise JournalError(f"the bundle would not verify, so it was not written: {result.faults[0]}")
    return bundle


def _all_tables(facts: BundleFacts) -> list[Table]:
    told = [] if facts.case is None else case_tables(facts.case)
    return [*told, *back_tables(facts), *part_tables(facts), *forward_tables(facts), *act_tables(facts)]


def _answer_file(asked: dict[str, Any]) -> dict[str, bytes]:
    """What a case finds, with certificates; the digest is that of the file, in which names may be left out."""
    if not asked:
        return {}
    return {"answer.json": json_bytes({**asked, DIGEST: digest_of(asked)})}


def _require_of_now(conn: Connection, note: bytes, size: int) -> None:
    text = note.decode("utf-8", errors="replace").rpartition("\n\n")[0] + "\n"
    checkpoint = parse_checkpoint(text)
    if checkpoint.size != size:
        raise UsageError(
            f"the checkpoint is of {checkpoint.size} entries, the ledger has {size} now: sign a new one (`runout audit "
            "checkpoint`); give the older one with --since"
        )
    if checkpoint.root != stored.root(conn, size):
        raise ProofFails(
            "the checkpoint is not that of these entries: it was made of another ledger, or entries differ"
        )


def _evidence(
    conn: Connection, facts: BundleFacts, signed: ProvingCheckpoint, entries: list[Proven], wishes: Wishes
) -> BundleProof:
    seq, digest, at = facts.head
    consistency = None
    if signed.earlier is not None:
        consistency = _consistency(conn, signed.earlier, seq)
    return BundleProof(
        subject=facts.subject,
        entries=tuple(entries),
        checkpoint=signed.note,
        key=signed.key,
        earlier=signed.earlier,
        consistency=consistency,
        facts={
            "plant": facts.plant,
            "journal_entries": seq,
            "journal_head": digest,
            "journal_head_recorded_at": at,
            "people": "badges" if wishes.pseudonyms else "names",
            "late_after_minutes": facts.late_minutes,
            "identifiers_under": facts.domain,
            "program": f"runout {version('runout')}",
        },
    )


def _consistency(conn: Connection, earlier: bytes, size: int) -> tuple[int, int, tuple[bytes, ...]]:
    checkpoint = parse_checkpoint(parse_note(earlier).text)
    return checkpoint.size, size, growth(conn, checkpoint, size)


def _pictures(conn: Connection, facts: BundleFacts) -> dict[str, str]:
    records = SqlRecords(conn)
    judgements = [each for lot in facts.lots for each in records.judgements_of(lot)]
    walks = (
        ("back", facts.back, f"What {facts.subject} was made of"),
        ("forward", facts.forward, f"Where {facts.subject} went"),
        ("both", facts.tree, f"Where {facts.subject} comes from, and where it went"),
    )
    return {
        name: genealogy_svg(walk, title=title, head=facts.head[:2], at="", judgements=judgements)
        for name, walk, title in walks
    }


def _exchange(facts: BundleFacts) -> dict[str, dict[str, Any]]:
    names = names_for(facts)
    things = {
        *facts.parts,
        *facts.lots,
        *facts.tools,
        *facts.cartons,
        *facts.pallets,
        *facts.spindles,
        *facts.samples,
    }
    ledger = EpcisLedger(
        names=names,
        first_hash=facts.first_hash,
        things=frozenset(things),
        shipments={code: (note.order, note.consignee) for code, note in facts.shipments.items()},
        plant=facts.plant,
    )
    people = {badge: name for badge, (name, _) in facts.people.items() if name}
    return {
        "events.jsonld": epcis_document(facts.entries, ledger, facts.head[2]),
        "prov.json": prov_document(facts.entries, names, people),
    }


def _tables(facts: BundleFacts, tables: list[Table]) -> dict[str, bytes]:
    footer = imprint(facts.head[:2], "")
    return {
        **{f"tables/{each.key}.csv": csv_file(each) for each in tables},
        "tables.xlsx": workbook(tables, BookStamp(facts.subject, facts.head[2], footer), stored=True),
        "genealogy.graphml": graphml(facts.tree).encode(),
    }


class _Hiding:
    """Takes people's names out of everything that is made for reading; badges stand in their place.

    A name of several words is found however it is written; one of a single word only as it is enrolled, because
    small "may" or "will" is not a name.
    """

    def __init__(self, names: Mapping[str, str]) -> None:
        self._badges = {name.casefold(): badge for name, badge in names.items() if name}
        words = "|".join(
            _pattern(name) for name in sorted(names, key=lambda name: (-len(name), name)) if name
        )
        self.pattern = re.compile(rf"(?<!\w)(?:{words})(?!\w)") if words else None

    def text(self, text: str) -> str:
        """Return text without names."""
        if self.pattern is None:
            return text
        return self.pattern.sub(lambda found: self._badges.get(found[0].casefold(), "(name)"), text)

    def value(self, value: Any) -> Any:
        """Return plain data whose texts hold no name; keys stay as they are."""
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, Mapping):
            return {key: self.value(each) for key, each in value.items()}
        return [self.value(each) for each in value] if isinstance(value, list | tuple) else value

    def table(self, table: Table) -> Table:
        """Return a table without names."""
        if self.pattern is None:
            return table
        rows = tuple(
            tuple(self.text(cell) if isinstance(cell, str) else cell for cell in row) for row in table.rows
        )
        return replace(table, rows=rows)

    def facts(self, facts: BundleFacts) -> BundleFacts:
        """Return facts whose titles, places and walks hold no name."""
        if self.pattern is None:
            return facts
        return replace(
            facts,
            products={
                code: replace(note, title=self.text(note.title)) for code, note in facts.products.items()
            },
            back=self._tree(facts.back),
            forward=self._tree(facts.forward),
        )

    def _tree(self, tree: Tree) -> Tree:
        return replace(tree, nodes=tuple(each._replace(facts=self._pairs(each.facts)) for each in tree.nodes))

    def _pairs(self, pairs: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
        return tuple((name, self.text(value)) for name, value in pairs)


def _pattern(name: str) -> str:
    words = re.escape(name)
    return f"(?i:{words})" if len(name.split()) > 1 else words

"""Taking what came from the plants of a group: from the inbox into the ledger of each plant, entry by entry.

An entry is taken when it follows the one before, by number and hash, and its raw scans are those it names: the same check as
`audit verify`. It is projected in the transaction that takes it, as at the plant. What does not follow stops that plant alone,
and what was taken before stays as it is.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, bindparam, text

from tracelink.errors import BrokenChain, JournalError
from tracelink.facts.group_plants import PlantLink, PlantTaken
from tracelink.ledger.entry import Entry
from tracelink.ledger.proof.chain import Head, verify_chain
from tracelink.store.database.tables_journal import journal as journal_table
from tracelink.store.database.tables_journal import journal_pack
from tracelink.store.group.group_database import GroupDatabase
from tracelink.store.group.group_standing import link_of, note_heard
from tracelink.store.journal import journal, subtrees, tally
from tracelink.store.journal.rebuild import Replaying
from tracelink.store.ledger import Ledger

AT_A_TIME = 1000
"""Entries to one transaction."""

_CAME = text(
    "SELECT DISTINCT ON (i.seq, i.hash) i.seq, i.hash, i.kind, i.stored, p.packed FROM public.journal i "
    "LEFT JOIN public.journal_pack p ON p.plant = i.plant AND p.seq = i.seq WHERE i.plant = :plant "
    "ORDER BY i.seq, i.hash LIMIT :most"
)
_EMPTIED = (
    text("DELETE FROM public.journal WHERE plant = :plant AND seq <= :seq"),
    text("DELETE FROM public.journal_pack WHERE plant = :plant AND seq <= :seq"),
)
# A signature may come before the entry that its scans are sealed into; until then it waits.
_SIGNED = text(
    "WITH came AS (DELETE FROM public.scan_signature i USING station s WHERE i.plant = :plant AND s.code = i.station "
    "AND i.last <= s.last_number RETURNING i.*) INSERT INTO scan_signature (station, first, last, key, signature) "
    "SELECT station, first, last, key, signature FROM came ON CONFLICT DO NOTHING"
)
_TAKING = text("SET LOCAL runout.taking = 'on'")
_WHY = text("UPDATE public.group_plant SET why = :why WHERE plant = :plant")


def take_all(group: GroupDatabase) -> Iterator[PlantTaken]:
    """Take what came from every plant, and yield what it was, by name.

    Raises:
        NotALedger: it is no database of a group.
        LedgerError: the database cannot be used.
    """
    with group.engine(read_only=True) as engine, engine.connect() as conn:
        plants = group.plants(conn)
    for plant in plants:
        yield _take(group, plant)


def _take(group: GroupDatabase, plant: str) -> PlantTaken:
    with group.engine() as engine, engine.begin() as conn:
        note_heard(conn, plant)
        link = link_of(conn, plant)
    taken, why = 0, ""
    with Ledger.open(group.plant_url(plant)) as ledger:
        while link is not PlantLink.FIRST_COPY:
            try:
                with ledger.transaction() as conn:
                    came = _take_some(conn, plant)
            except JournalError as problem:
                why = str(problem)
                break
            taken += came.entries
            if came.rows < AT_A_TIME:
                break
        with ledger.transaction() as conn:
            conn.execute(_WHY, {"plant": plant, "why": why})
            link = link_of(conn, plant)
        head = ledger.head()
    return PlantTaken(plant, taken, head, link, why)


@dataclass(frozen=True, slots=True)
class _Came:
    rows: int
    entries: int


def _take_some(conn: Connection, plant: str) -> _Came:
    conn.execute(_TAKING)
    head = journal.head(conn)
    rows = conn.execute(_CAME, {"plant": plant, "most": AT_A_TIME}).all()
    _require_known(conn, [row for row in rows if row.seq <= head.seq], plant)
    new = [row for row in rows if row.seq > head.seq]
    last = _append(conn, head, new) if new else head
    for statement in _EMPTIED:
        conn.execute(statement, {"plant": plant, "seq": last.seq})
    conn.execute(_SIGNED, {"plant": plant})
    return _Came(len(rows), len(new))


_HASHES = text("SELECT seq, hash FROM journal WHERE seq IN :seqs").bindparams(
    bindparam("seqs", expanding=True)
)


def _require_known(conn: Connection, again: Iterable[Any], plant: str) -> None:
    """Look at entries that came once more, as after a plant was added anew: each must be the one that was taken.

    Raises:
        BrokenChain: one says something else; the plant's journal is another one now.
    """
    sent = {row.seq: row.hash for row in again}
    for seq, digest in conn.execute(_HASHES, {"seqs": list(sent)}).all() if sent else ():
        if sent[seq] != digest:
            raise BrokenChain(
                seq,
                f"entry {seq} of plant {plant} was taken with hash {bytes(digest).hex()[:16]}..., and came again with {bytes(sent[seq]).hex()[:16]}...: "
                "its journal is not the one that was followed",
            )


def _append(conn: Connection, head: Head, rows: list[Any]) -> Head:
    """Verify, write and project entries; they go on from `head`."""
    replaying = Replaying(conn, going_on=True)
    came = {row.seq: row for row in rows}

    def write_and_project(entry: Entry) -> None:
        row = came[entry.seq]
        values = {"seq": row.seq, "hash": row.hash, "kind": row.kind, "stored": row.stored}
        conn.execute(journal_table.insert(), values)
        if row.packed is not None:
            conn.execute(journal_pack.insert(), {"seq": row.seq, "packed": row.packed})
        replaying.entry(entry)
        # Both are made of the last entries that are written, one by one.
        subtrees.grow(conn, entry.seq)
        tally.grow(conn, entry.seq)

    lines = journal.read_in_order(
        head, ((row.seq, row.hash, row.stored, row.packed, row.kind) for row in rows)
    )
    last = verify_chain(lines, head, write_and_project)
    replaying.finish(())
    return last

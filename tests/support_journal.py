"""The stored journal, read and changed behind the program's back.

Statements of SQL alone cannot look into entries: they are stored in a short form. What is written here is stored as the
program would store it, so that a changed entry differs from an honest one by nothing but its content.
"""

from tracelink.ledger.entry import FIRST_PREV
from tracelink.ledger.packs import PackedScans
from tracelink.ledger.proof.chain import Head, JournalRow
from tracelink.store.compact.entry_form import stored_form
from tracelink.store.compact.pack_form import taken_apart
from tracelink.store.compact.stored_rows import read_row

_ROWS = (
    "SELECT j.seq, j.hash, j.stored, p.packed, j.kind, b.hash FROM journal j LEFT JOIN journal_pack p ON p.seq = j.seq "
    "LEFT JOIN journal b ON b.seq = j.seq - 1 WHERE j.seq >= ? ORDER BY j.seq"
)


def journal_rows(conn, first=1) -> list[JournalRow]:
    """Return the rows of the journal, whole, from an entry on; `conn` is one of the driver."""
    return [
        read_row(
            Head(seq, bytes(digest).hex()),
            bytes(stored),
            PackedScans(None) if packed is None else taken_apart(bytes(packed), seq),
            kind,
            FIRST_PREV if seq == 1 else before and bytes(before).hex(),
        )
        for seq, digest, stored, packed, kind, before in conn.execute(_ROWS, (first,)).fetchall()
    ]


def canonical_at(conn, seq) -> str:
    """Return the canonical text of an entry."""
    return journal_rows(conn, seq)[0].canonical.decode()


def to_store(canonical, digest, seq):
    """Return an update that stores another entry in a line of the journal."""
    values = (stored_form(canonical), bytes.fromhex(digest), seq)
    return ("UPDATE journal SET stored = ?, hash = ? WHERE seq = ?", values)


def changed_text(conn, seq, old, new):
    """Return an update that changes a word of an entry and nothing else, its recorded hash least of all."""
    row = journal_rows(conn, seq)[0]
    text = row.canonical.decode()
    assert old in text
    return to_store(text.replace(old, new).encode(), row.hash, seq)

"""Checkpoints of a ledger: signed only after what came since the last one was checked, entry by entry.

Two checkpoints signed with one key that contradict each other would prove that its owner rewrote history, so
that must never happen by mistake. A key therefore remembers the last checkpoint it signed, and before the
next one the tree is taken at that size, compared, and let grow by the entries read since: what is signed is
shown to begin with what was signed before, and costs only what is new.
"""

from collections.abc import Callable, Iterator

from sqlalchemy import Connection, select

from tracelink.errors import JournalError, ProofFails, UsageError
from tracelink.ledger.proof import merkle
from tracelink.ledger.proof.chain import EMPTY, Head, JournalRow, verify_chain
from tracelink.ledger.proof.merkle import Frontier
from tracelink.ledger.proof.note import (
    Checkpoint,
    Note,
    VerifierKey,
    key_name,
    parse_checkpoint,
    require_signed,
)
from tracelink.store.database.tables_plant import plant
from tracelink.store.journal import journal, subtrees
from tracelink.store.journal.keys import HeldKey, is_signed

Progress = Callable[[int], None]
"""Called with the sequence number reached."""


def log_name(conn: Connection) -> str:
    """Return the name under which the journal of this ledger is signed: that of its plant.

    Raises:
        UsageError: the ledger has no plant yet.
    """
    name = conn.execute(select(plant.c.name)).scalar()
    if name is None:
        raise UsageError(
            "the ledger has no plant yet, so its journal has no name: give the key one with --name"
        )
    return key_name(name)


def sign_checkpoint(conn: Connection, held: HeldKey, progress: Progress = lambda _seq: None) -> Note:
    """Sign how many entries the ledger has now and what they are.

    Args:
        conn: sees one consistent state of the ledger.
        held: the key of the ledger.
        progress: called with each entry checked on the way.

    Raises:
        ProofFails: the ledger does not go on from the last checkpoint signed with that key.
        BrokenChain: an entry since then does not follow from the one before.
    """
    size = journal.head(conn).seq
    root = checked_root(conn, size, held.last(), progress)
    checkpoint = Checkpoint(held.key.name, size, root)
    return Note(checkpoint.text(), (held.sign(checkpoint),))


def add_witness(
    conn: Connection,
    note: Note,
    log: VerifierKey,
    held: HeldKey,
    progress: Progress = lambda _seq: None,
) -> Note:
    """Add the signature of a witness to a checkpoint that its own look at the ledger bears out.

    Args:
        conn: sees one consistent state of the ledger.
        note: the checkpoint.
        log: the key that must have signed it.
        held: the witness's own key.
        progress: called with each entry checked on the way.

    Raises:
        ProofFails: it is not signed by `log`, is of another ledger, or contradicts the ledger or what the
            witness signed before.
        UsageError: the witness has signed this one, or a later one.
    """
    require_signed(note, [log], is_signed)
    checkpoint = parse_checkpoint(note.text)
    earlier = held.last()
    if earlier is not None and earlier.origin != checkpoint.origin:
        raise ProofFails(
            f"the checkpoint is of {checkpoint.origin!r}, but {held.file} is a witness of {earlier.origin!r}: one key "
            "watches one journal"
        )
    if earlier is not None and earlier.size > checkpoint.size:
        raise UsageError(
            f"{held.file} has signed a checkpoint of {earlier.size} entries already: this older one of "
            f"{checkpoint.size} says nothing new"
        )
    require_root(checkpoint, checked_root(conn, checkpoint.size, earlier, progress))
    if any((one.name, one.key_id) == _identity(held) for one in note.signatures):
        raise UsageError(f"the checkpoint is signed with {held.file} already")
    return Note(note.text, (*note.signatures, held.sign(checkpoint)))


def checked_root(
    conn: Connection, size: int, earlier: Checkpoint | None, progress: Progress = lambda _seq: None
) -> bytes:
    """Return the root over the first `size` entries, each checked since an earlier checkpoint.

    Raises:
        ProofFails: the ledger is shorter than `size` or the earlier checkpoint, does not begin with what that
            says, or its stored tree is another.
        BrokenChain: an entry does not follow from the one before.
    """
    entries = journal.head(conn).seq
    start = 0 if earlier is None else earlier.size
    if entries < max(start, size):
        raise ProofFails(
            f"the ledger has {entries} entries, but a checkpoint of {max(start, size)} was signed: its tail was cut off, an "
            "older copy was put in its place, or it is another ledger"
        )
    grown = Frontier.of(subtrees.StoredTree(conn), start)
    if earlier is not None and grown.root() != earlier.root:
        raise ProofFails(
            f"the first {start} entries are not those of the checkpoint signed before: they lead to root "
            f"{grown.root().hex()}, signed was {earlier.root.hex()}. Nothing is signed; `runout audit verify` with "
            "earlier checkpoints says more"
        )

    def growing(rows: Iterator[JournalRow]) -> Iterator[JournalRow]:
        for row in rows:
            if row.seq > size:
                return
            grown.add(subtrees.leaf(row.hash))
            yield row
            progress(row.seq)

    verify_chain(growing(journal.rows(conn, start)), _head_at(conn, start))
    if grown.root() != merkle.root(subtrees.StoredTree(conn), size):
        raise JournalError(
            "the stored tree is not the tree of the entries: `runout audit verify` says where, `runout rebuild` makes it "
            "anew from the journal"
        )
    return grown.root()


def require_root(checkpoint: Checkpoint, root: bytes) -> None:
    """Check that a checkpoint says of its entries what the ledger says of them.

    Raises:
        ProofFails: it says something else.
    """
    if root != checkpoint.root:
        raise ProofFails(
            f"the first {checkpoint.size} entries are not those of the checkpoint: they lead to root {root.hex()}, the "
            f"checkpoint says {checkpoint.root.hex()}"
        )


def _head_at(conn: Connection, seq: int) -> Head:
    row = next(journal.rows(conn, seq - 1), None) if seq else None
    return EMPTY if row is None else Head(row.seq, row.hash)


def _identity(held: HeldKey) -> tuple[str, bytes]:
    return held.key.name, held.key.verifier.key_id

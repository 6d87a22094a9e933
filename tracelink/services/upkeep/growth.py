"""That the journal only grew since a checkpoint, for somebody who kept that and has nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import ProofFails
from tracelink.ledger.proof.note import Checkpoint, Note, parse_checkpoint
from tracelink.services.signed_notes import read_note
from tracelink.store.journal import journal, subtrees
from tracelink.store.journal.checkpoints import require_root
from tracelink.store.ledger import Ledger


@dataclass(frozen=True, slots=True)
class GrowthProof:
    """That the entries of an earlier checkpoint are the first ones of those now, or of a later checkpoint."""

    old_size: int
    """Entries of the earlier checkpoint."""
    old_root: str
    """Root of their tree, hexadecimal."""
    new_size: int
    """Entries now, or of the later checkpoint."""
    new_root: str
    """Root of their tree, hexadecimal."""
    path: tuple[str, ...]
    """Hashes that lead from one root to the other, hexadecimal, in the order of RFC 9162 section 2.1.4."""
    later: str | None
    """The later checkpoint, a signed note; None for the entries now."""

    def to_dict(self) -> dict[str, Any]:
        """Return the same as plain data."""
        return {
            "old_size": self.old_size,
            "old_root": self.old_root,
            "new_size": self.new_size,
            "new_root": self.new_root,
            "path": list(self.path),
            "checkpoint": self.later,
        }


def prove_growth(ledger: Ledger, earlier: str, later: str | None) -> GrowthProof:
    """Prove that the journal only grew since a checkpoint.

    Args:
        ledger: the ledger.
        earlier: file of the checkpoint.
        later: file of a checkpoint after it; None for the entries now.

    Raises:
        UsageError: a file cannot be read.
        ProofFails: a checkpoint is of another journal, or the later one has fewer entries.
    """
    old = parse_checkpoint(read_note(earlier).text)
    note = None if later is None else read_note(later)
    with ledger.reading() as conn:
        new = _now(conn) if note is None else _borne_out(conn, note)
        path = growth(conn, old, new.size)
    return GrowthProof(
        old.size,
        old.root.hex(),
        new.size,
        new.root.hex(),
        tuple(one.hex() for one in path),
        None if note is None else note.encoded().decode(),
    )


def growth(conn: Connection, earlier: Checkpoint, size: int) -> tuple[bytes, ...]:
    """Return the proof that the first entries of the journal are those of a checkpoint.

    Args:
        conn: a connection that reads one state.
        earlier: the checkpoint.
        size: entries that the proof is over, at most those of the journal.

    Raises:
        ProofFails: it has more entries, or others.
    """
    if earlier.size > size:
        raise ProofFails(
            f"the earlier checkpoint has {earlier.size} entries, the ledger {size}: its tail was cut off, or it is "
            "another ledger"
        )
    if earlier.root != subtrees.root(conn, earlier.size):
        raise ProofFails(
            f"the first {earlier.size} entries are not those of the earlier checkpoint: the journal was written anew, or "
            "it is another ledger"
        )
    return subtrees.consistency(conn, earlier.size, size)


def _now(conn: Connection) -> Checkpoint:
    size = journal.head(conn).seq
    return Checkpoint("", size, subtrees.root(conn, size))


def _borne_out(conn: Connection, note: Note) -> Checkpoint:
    point = parse_checkpoint(note.text)
    require_root(point, subtrees.root(conn, point.size))
    return point

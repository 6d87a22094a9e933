"""What others need to see that the journal is whole: signed checkpoints, witnesses, proofs of single entries."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.ledger.proof.note import Checkpoint, Note, VerifierKey, parse_checkpoint, parse_verifier_key
from tracelink.services.signed_notes import read_note
from tracelink.store.journal import journal, subtrees, tally
from tracelink.store.journal.checkpoints import add_witness, require_root, sign_checkpoint
from tracelink.store.journal.keys import held_key, key_place, write_whole
from tracelink.store.ledger import Ledger


@dataclass(frozen=True, slots=True)
class SignedCheckpoint:
    """How many entries the ledger had and what they were, signed."""

    text: str
    """The signed note, as it is kept in a file."""
    size: int
    """Number of entries."""
    signers: tuple[str, ...]
    """Names of the keys that signed it."""


@dataclass(frozen=True, slots=True)
class EntryProof:
    """That an entry is in the journal, for somebody who has nothing else of it."""

    entry: int
    """Its number."""
    canonical: str
    """Its text."""
    size: int
    """Entries that the root is over."""
    root: str
    """Root of their tree, hexadecimal."""
    path: tuple[str, ...]
    """From the leaf to the root, lowest first, hexadecimal."""
    checkpoint: str | None
    """The signed note that it is proven to; None for the entries now."""

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout audit prove`."""
        return {
            "entry": self.entry,
            "canonical": self.canonical,
            "index": self.entry - 1,
            "size": self.size,
            "root": self.root,
            "path": list(self.path),
            "checkpoint": self.checkpoint,
        }


@dataclass(frozen=True, slots=True)
class JournalCounts:
    """What the journal holds."""

    kinds: dict[str, int]
    """Number of entries by kind."""
    head: tuple[int, str]
    """The last entry's number, and its hash."""


def counts(conn: Connection) -> JournalCounts:
    """Return how many entries of each kind the journal has."""
    head = journal.head(conn)
    return JournalCounts(tally.kind_counts(conn), (head.seq, head.hash))


def checkpoint(
    ledger: Ledger,
    *,
    key_file: str | None,
    witnesses: Sequence[str],
    out: str | None,
    progress: Callable[[int], None],
) -> SignedCheckpoint:
    """Sign how many entries the ledger has now and what they are.

    Args:
        ledger: the ledger.
        key_file: its signing key; beside the ledger's file unless said.
        witnesses: files of keys that sign as well.
        out: a new file that it is written to as well.
        progress: called with each entry checked on the way.

    Raises:
        UsageError: the file is there already, or there is no key.
        ProofFails, BrokenChain: the ledger does not go on from what was signed before; nothing was signed.
    """
    key, file = key_place(ledger.place, key_file), None if out is None else _new_file(out)
    with ledger.reading() as conn, held_key(key) as held:
        note = sign_checkpoint(conn, held, progress)
        for each in witnesses:
            with held_key(Path(each)) as watching:
                note = add_witness(conn, note, held.key.verifier, watching)
    if file is not None:
        write_whole(file, note.encoded())
    return _signed(note)


def witness(ledger: Ledger, file: str, key_file: str, log: str | None) -> SignedCheckpoint:
    """Add the signature of a witness to the checkpoint in a file.

    Args:
        ledger: the ledger.
        file: the checkpoint; it is written anew.
        key_file: the witness's own signing key.
        log: the public half of the ledger's key; None for that beside the ledger.

    Raises:
        ProofFails: the checkpoint contradicts the ledger or an earlier one; nothing was signed.
        UsageError: a file cannot be read, or the witness signed this one, or a later one.
    """
    note = read_note(file)
    signer = _log_key(ledger.place, log)
    with ledger.reading() as conn, held_key(Path(key_file)) as held:
        signed = add_witness(conn, note, signer, held)
    write_whole(Path(file), signed.encoded())
    return _signed(signed)


def prove(ledger: Ledger, seq: int, file: str | None) -> EntryProof:
    """Prove that an entry is among those of a checkpoint, or of the journal now.

    Args:
        ledger: the ledger.
        seq: number of the entry.
        file: the checkpoint; None for the entries now.

    Raises:
        UsageError: there is no such entry, or the checkpoint cannot be read.
        ProofFails: the checkpoint is of another journal.
    """
    note = None if file is None else read_note(file)
    point = None if note is None else parse_checkpoint(note.text)
    with ledger.reading() as conn:
        row = journal.row_at(conn, seq)
        size = journal.head(conn).seq if point is None else point.size
        root = subtrees.root(conn, size)
        path = subtrees.inclusion(conn, seq, size)
    require_root(point or Checkpoint("", size, root), root)
    return EntryProof(
        seq,
        row.canonical.decode(),
        size,
        root.hex(),
        tuple(one.hex() for one in path),
        None if note is None else note.encoded().decode(),
    )


def _new_file(out: str) -> Path:
    file = Path(out)
    if file.exists():
        raise UsageError(f"{out} exists already; an earlier checkpoint is never overwritten")
    if not file.parent.is_dir():
        raise UsageError(f"{out}: the folder {file.parent} does not exist")
    return file


def _log_key(place: str, given: str | None) -> VerifierKey:
    if given is not None:
        return parse_verifier_key(given)
    with held_key(key_place(place, None)) as held:
        return held.key.verifier


def _signed(note: Note) -> SignedCheckpoint:
    size = parse_checkpoint(note.text).size
    return SignedCheckpoint(note.encoded().decode(), size, tuple(one.name for one in note.signatures))

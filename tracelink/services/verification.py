"""Is the journal whole, is it what it was, and are the tables what it says? Asked with what was kept outside."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import LedgerError, ProofFails, UsageError
from tracelink.ledger.proof.kept import KeptHead
from tracelink.ledger.proof.note import VerifierKey, parse_checkpoint, parse_verifier_key, require_signed
from tracelink.services.signed_notes import read_note
from tracelink.store.journal.keys import held_key, is_signed, key_place
from tracelink.store.journal.verify import examine


@dataclass(frozen=True, slots=True)
class KeptOutside:
    """What was kept outside the plant, to compare the journal with."""

    checkpoints: Sequence[str | Path] = ()
    """Files with signed checkpoints."""
    keys: Sequence[str] = ()
    """Keys that may have signed them, as `runout audit key` shows them; the ledger's own is known."""
    heads: Sequence[str] = ()
    """Heads, each as ENTRIES:HASH."""


@dataclass(frozen=True, slots=True)
class Verification:
    """What a verification found."""

    entries: int
    """Entries in the journal."""
    head: str
    """Hash of the last one, 64 hexadecimal digits."""
    root: str | None
    """Root of the tree over all entries, the same; None if entries are missing."""
    faults: tuple[str, ...]
    """A sentence for each thing that is not as it should be."""
    more: int
    """Faults beyond those told one by one."""
    agreeing: tuple[tuple[str, int], ...]
    """What was kept outside and agrees: its name, and how many entries it speaks for."""

    @property
    def agrees(self) -> bool:
        """Whether no fault was found. It speaks of the records, not of what they describe."""
        return not self.faults

    def to_dict(self) -> list[dict[str, Any]]:
        """Return the same data as `runout audit verify --format json`: one row."""
        return [
            {
                "entries": self.entries,
                "head": self.head,
                "root": self.root,
                "differences": len(self.faults) + self.more,
                "kept": len(self.agreeing),
                "faults": list(self.faults),
            }
        ]


def verify(
    conn: Connection,
    place: str,
    kept: KeptOutside,
    *,
    tables: bool = True,
    progress: Callable[[int], None] = lambda _seq: None,
) -> Verification:
    """Check every entry against the one before, and every table against a replay.

    Args:
        conn: a connection that sees one state.
        place: where the ledger is, for its own key.
        kept: what was kept outside.
        tables: whether to compare the tables as well, which takes much longer.
        progress: called with each sequence number reached.

    Raises:
        UsageError: something kept outside has the wrong form, or no key is known for it.
    """
    keys = [parse_verifier_key(text) for text in kept.keys]
    heads = [_kept_head(text) for text in kept.heads]
    points, refused = _checkpoints(place, kept.checkpoints, keys)
    found = examine(conn, [*heads, *points], progress, replay=tables)
    return Verification(
        entries=found.head.seq,
        head=found.head.hash,
        root=None if found.root is None else found.root.hex(),
        faults=(*refused, *found.faults),
        more=found.more,
        agreeing=tuple((one.name, one.size) for one in found.agreeing),
    )


def _kept_head(given: str) -> KeptHead:
    match = re.fullmatch(r"([1-9][0-9]{0,15}):([0-9a-f]{64})", given.strip().lower())
    if match is None:
        raise UsageError(
            f"--kept {given!r}: expected the number of entries, a colon and the 64 digits of the head"
        )
    return KeptHead(f"the head kept of {match[1]} entries", int(match[1]), head=match[2])


def _checkpoints(
    place: str, files: Sequence[str | Path], known: list[VerifierKey]
) -> tuple[list[KeptHead], list[str]]:
    """Read checkpoints and check who signed them; returns the good ones, and why others are not."""
    keys = [*known, *_own_key(place)] if files else known
    if files and not keys:
        raise UsageError("no key is known that could have signed the checkpoints: give one with --key")
    points, refused = [], []
    for file in files:
        try:
            note = read_note(file)
        except ProofFails as problem:
            refused.append(str(problem))
            continue
        try:
            signers = require_signed(note, keys, is_signed)
            point = parse_checkpoint(note.text)
        except ProofFails as problem:
            refused.append(f"{file}: {problem}")
            continue
        name = f"{Path(file).name}, signed by {' and '.join(key.name for key in signers)}"
        points.append(KeptHead(name, point.size, root=point.root))
    return points, refused


def _own_key(place: str) -> list[VerifierKey]:
    """Return the ledger's own key, if it is here and may be read."""
    try:
        with held_key(key_place(place, None)) as held:
            return [held.key.verifier]
    except LedgerError:
        return []

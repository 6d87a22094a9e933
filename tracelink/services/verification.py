"""Is the journal whole, is it what it was, and are the tables what it says? Asked with what was kept outside."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import JournalError, LedgerError, ProofFails, UsageError
from tracelink.ledger.proof.judged import JudgedAgain
from tracelink.ledger.proof.kept import KeptHead
from tracelink.ledger.proof.note import VerifierKey, parse_checkpoint, parse_verifier_key, require_signed
from tracelink.services.signed_notes import read_note
from tracelink.store.beside.lost_since import lost_at
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
    clock: tuple[str, ...] = ()
    """Sentences about entries whose recording time runs back or jumps, the first of them."""
    more_clock: int = 0
    """Such entries beyond those told one by one."""
    judged: JudgedAgain | None = None
    """What judging the scans again came to; None if nobody asked for it, or the chain is broken."""

    @property
    def agrees(self) -> bool:
        """True if no fault was found. It speaks of the records, not of what they describe."""
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
                "clock": list(self.clock),
                **_judged_columns(self.judged),
            }
        ]


def _judged_columns(judged: JudgedAgain | None) -> dict[str, int | None]:
    names = ("scans", "forced", "given", "reworded", "not_judged")
    return {name: None if judged is None else getattr(judged, name) for name in names}


def verify(  # noqa: PLR0913 - each is a part of the question
    conn: Connection,
    place: str,
    kept: KeptOutside,
    *,
    tables: bool = True,
    judge_again: bool = False,
    progress: Callable[[int], None] = lambda _seq: None,
) -> Verification:
    """Check every entry against the one before, and every table against a replay.

    Args:
        conn: a connection that sees one state.
        place: where the ledger is, for its own key.
        kept: what was kept outside.
        tables: whether to compare the tables as well, which takes much longer.
        judge_again: whether to judge all raw scans again, which takes longer still.
        progress: called with each sequence number reached.

    Raises:
        UsageError: something kept outside has the wrong form, or no key is known for it.
    """
    keys = [parse_verifier_key(text) for text in kept.keys]
    heads = [_kept_head(text) for text in kept.heads]
    points, refused = _checkpoints(place, kept.checkpoints, keys)
    found = examine(conn, [*heads, *points], progress, replay=tables)
    judged, unjudged = _judge(conn, progress) if judge_again and found.broken is None else (None, [])
    return Verification(
        entries=found.head.seq,
        head=found.head.hash,
        root=None if found.root is None else found.root.hex(),
        faults=(*refused, *_lost(place), *found.faults, *unjudged),
        more=found.more,
        agreeing=tuple((one.name, one.size) for one in found.agreeing),
        clock=tuple(step.sentence for step in found.clock),
        more_clock=found.more_clock,
        judged=judged,
    )


def _lost(place: str) -> list[str]:
    try:
        return [lost.sentence for lost in lost_at(place)]
    except LedgerError:
        # It cannot be opened once more; what is wrong with it is told where it is read.
        return []


def _judge(conn: Connection, progress: Callable[[int], None]) -> tuple[JudgedAgain | None, list[str]]:
    from tracelink.store.stations.judge_again import judge_again  # noqa: PLC0415  all rules of stations, seldom asked for

    try:
        judged = judge_again(conn, progress)
    except JournalError as problem:
        return None, [f"the scans cannot be judged again: {problem}"]
    return judged, list(judged.faults)


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

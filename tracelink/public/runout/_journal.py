"""What shows others that the journal is whole."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path

from runout._areas import Area
from runout._arguments import (
    optional_file,
    require_a,
    require_count,
    require_day,
    require_file,
    require_places,
    require_text,
)
from tracelink.facts.upkeep.journal_page import EntriesAsked, JournalPage
from tracelink.services.upkeep import checkpointing, growth, listed_entries


class Journal(Area):
    """The entries themselves, for an auditor; `ledger.journal`."""

    def counts(self) -> checkpointing.JournalCounts:
        """Return how many entries of each kind there are."""
        with self._ledger.reading() as conn:
            return checkpointing.counts(conn)

    def entries(
        self, asked: EntriesAsked | None = None, *, newest: int | None = None, most: int = 50
    ) -> JournalPage:
        """Return a page of entries, the newest first. A question that finds few ends early and says where to go on.

        Args:
            asked: which ones; None for all.
            newest: number of the first entry to look at, such as `older` of the page before; None for the last of all.
            most: entries on a page, from 1.

        Raises:
            UsageError: a day is none, or there is no such station.
        """
        which = EntriesAsked() if asked is None else asked
        require_a("asked", which, EntriesAsked)
        for name in ("station", "kind", "person", "since", "until"):
            if getattr(which, name) is not None:
                require_text(f"EntriesAsked.{name}", getattr(which, name))
        for name in ("since", "until"):
            if getattr(which, name) is not None:
                require_day(f"EntriesAsked.{name}", getattr(which, name))
        if newest is not None:
            require_count("newest", newest)
        require_count("most", most)
        with self._ledger.reading() as conn:
            return listed_entries.entries(conn, which, newest, most)

    def checkpoint(
        self,
        *,
        key_file: str | Path | None = None,
        witnesses: Sequence[str | Path] = (),
        out: str | Path | None = None,
        progress: Callable[[int], None] = lambda _seq: None,
    ) -> checkpointing.SignedCheckpoint:
        """Sign how many entries the ledger has now and what they are; what came since the last one is checked first.

        Args:
            key_file: its signing key; beside the ledger's file unless said.
            witnesses: files of keys that sign as well.
            out: a new file that it is written to as well.
            progress: called with each entry checked on the way.

        Raises:
            UsageError: the file is there already, or there is no key.
            ProofFails, BrokenChain: the ledger does not go on from what was signed before; nothing was signed.
        """
        key = optional_file("key_file", key_file)
        file = optional_file("out", out)
        others = require_places("witnesses", witnesses)
        return checkpointing.checkpoint(
            self._ledger, key_file=key, witnesses=others, out=file, progress=progress
        )

    def witness(
        self, file: str | Path, key_file: str | Path, *, log: str | None = None
    ) -> checkpointing.SignedCheckpoint:
        """Add the signature of a witness to the checkpoint in a file, as far as this ledger bears it out.

        Args:
            file: the checkpoint; it is written anew.
            key_file: the witness's own signing key.
            log: the public half of the ledger's key; None for that beside the ledger.

        Raises:
            ProofFails: the checkpoint contradicts the ledger or an earlier one; nothing was signed.
            UsageError: a file cannot be read, or the witness signed this one, or a later one.
        """
        note, key = require_file("file", file), require_file("key_file", key_file)
        return checkpointing.witness(self._ledger, note, key, log)

    def prove(self, seq: int, *, checkpoint: str | Path | None = None) -> checkpointing.EntryProof:
        """Prove that an entry is in the journal.

        Args:
            seq: number of the entry.
            checkpoint: file of a checkpoint that it is proven to; None for the entries now.

        Raises:
            UsageError: there is no such entry, or the checkpoint cannot be read.
            ProofFails: the checkpoint is of another journal.
        """
        require_count("seq", seq)
        file = optional_file("checkpoint", checkpoint)
        return checkpointing.prove(self._ledger, seq, file)

    def prove_growth(self, earlier: str | Path, later: str | Path | None = None) -> growth.GrowthProof:
        """Prove that the journal only grew since a checkpoint.

        Args:
            earlier: file of the checkpoint.
            later: file of a checkpoint after it, which the proof leads to; None for the entries now.

        Raises:
            UsageError: a file cannot be read.
            ProofFails: a checkpoint is of another journal, or the later one has fewer entries.
        """
        old, new = require_file("earlier", earlier), optional_file("later", later)
        return growth.prove_growth(self._ledger, old, new)

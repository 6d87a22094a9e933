"""The key that signs the checkpoints of a ledger, or a witness's own."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tracelink.ledger.proof.note import require_key_name
from tracelink.store.journal.checkpoints import log_name
from tracelink.store.journal.keys import held_key, key_place, make_key
from tracelink.store.ledger import read_ledger


@dataclass(frozen=True, slots=True)
class KeyFile:
    """A signing key: whoever has its file can sign in its name."""

    file: Path
    """Where it lies; only its owner may read it."""
    public: str
    """Its public half, NAME+ID+KEY, to be handed to whoever checks."""


def key_of(place: str, key_file: str | None) -> KeyFile:
    """Return a signing key that exists.

    Args:
        place: the ledger.
        key_file: where the key is; beside the ledger's file unless said.

    Raises:
        UsageError, StorageFailed: there is none, or others may read it.
    """
    file = key_place(place, key_file)
    with held_key(file) as held:
        return KeyFile(file, str(held.key.verifier))


def make_key_of(place: str, key_file: str | None, name: str | None) -> KeyFile:
    """Make a signing key in a file that only its owner may read.

    Args:
        place: the ledger; looked into only for the name of its plant.
        key_file: where the key is to lie; beside the ledger's file unless said.
        name: of the key, without spaces; None for that of the plant.

    Raises:
        UsageError: the file exists, or the ledger has no plant yet.
        StorageFailed: it cannot be written.
    """
    file = key_place(place, key_file)
    return KeyFile(file, str(make_key(file, _plant_name(place) if name is None else require_key_name(name))))


def _plant_name(place: str) -> str:
    with read_ledger(place) as conn:
        return log_name(conn)

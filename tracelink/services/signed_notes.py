"""Signed checkpoints as files."""

from pathlib import Path

from tracelink.errors import ProofFails
from tracelink.ledger.proof.note import Note, parse_note
from tracelink.services.given_files import first_bytes

_LONGEST = 1 << 20
"""Bytes: longer than a hundred signatures could make it; not whatever a path may lead to."""


def read_note(file: str | Path) -> Note:
    """Read a signed note from a file.

    Raises:
        UsageError: it cannot be read.
        ProofFails: it is not a signed note.
    """
    data = first_bytes(file, _LONGEST, "the checkpoint")
    try:
        return parse_note(data)
    except ProofFails as problem:
        raise ProofFails(f"{file}: {problem}") from None

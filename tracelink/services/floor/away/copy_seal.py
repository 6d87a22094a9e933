"""What says that the copy beside a line is the one that was made there: its digest, signed with the station's own key.

A signed note (C2SP signed-note) beside the copy. Its text is five lines: the form, the station, the SHA-256 of the copy's file, the number
of the station's last scan in it, and when it was made. A copy without one serves only the program that had it made, which knows
the digest itself: whoever may write on the line's disk could else change what the line packs by.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tracelink.errors import ProofFails
from tracelink.ledger.proof.note import Note, parse_note, require_signed
from tracelink.store.journal.keys import is_signed

if TYPE_CHECKING:
    from tracelink.ledger.proof.note import VerifierKey

_FORM = "runout-away-copy 1"
_AT_ONCE = 1 << 20


@dataclass(frozen=True, slots=True)
class CopySeal:
    """What is signed of a copy."""

    station: str
    digest: str
    """SHA-256 of its file, in hexadecimal."""
    last: int
    """Number of the last scan of the station in it."""
    made_at: str
    """UTC."""

    def text(self) -> str:
        """Return what is signed."""
        return f"{_FORM}\n{self.station}\n{self.digest}\n{self.last}\n{self.made_at}\n"


def read_seal(file: Path, station: str, key: VerifierKey) -> CopySeal:
    """Read the seal of a copy.

    Args:
        file: that holds it.
        station: that the copy must be for.
        key: of the station.

    Raises:
        ProofFails: there is none, or it is not signed with the key, or not for the station.
    """
    try:
        data = file.read_bytes()
    except OSError:
        raise ProofFails("no seal lies beside the copy of the ledger") from None
    note: Note = parse_note(data)
    require_signed(note, [key], is_signed)
    match note.text.split("\n"):
        case [form, named, digest, last, made_at, ""] if (form, named) == (_FORM, station) and last.isdigit():
            return CopySeal(named, digest, int(last), made_at)
    raise ProofFails(f"the seal beside the copy of the ledger is none of station {station}")


def digest_of(file: Path) -> str:
    """Return the SHA-256 of a file, in hexadecimal."""
    found = hashlib.sha256()
    with file.open("rb") as opened:
        while block := opened.read(_AT_ONCE):
            found.update(block)
    return found.hexdigest()

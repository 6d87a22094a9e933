"""Ledgers as files: opened, made, brought back from a copy, brought up to date."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING

from runout._arguments import optional_file, require_file, require_place

if TYPE_CHECKING:
    from runout._ledger import OpenLedger
    from tracelink.facts.upkeep.copied_ledger import CopiedLedger
    from tracelink.services.floor.away.away_line import AwayLine
    from tracelink.services.upkeep.ledger_files import LedgerCopy, SchemaChange
    from tracelink.services.upkeep.signing import KeyFile

# Imported when it is called: the help of a command must not pay for a ledger, nor opening one for what makes and copies them.


def open_ledger(place: str | Path = "runout.db", *, read_only: bool = False) -> OpenLedger:
    """Open a ledger; close it by leaving the `with` block, or with `close`.

    Args:
        place: path of its file, or URL of its database.
        read_only: refuse whatever would write, at the connection itself.

    Raises:
        LedgerMissing: there is no ledger at that place.
        NotALedger: what is there is no ledger.
        UsageError: it was made by an older program: `runout upgrade` brings it up to date.
        NewerJournal: it was made by a newer program.
        LedgerDamaged: its file is damaged.
    """
    from runout._ledger import OpenLedger  # noqa: PLC0415
    from tracelink.store.ledger import Ledger  # noqa: PLC0415

    return OpenLedger(Ledger.open(require_place(place), read_only=read_only))


def create_ledger(
    place: str | Path, plant_file: str | Path, *, key_file: str | Path | None = None, at: str | None = None
) -> OpenLedger:
    """Make a ledger from a plant file and leave it open; its signing key is made by `make_signing_key`.

    Args:
        place: path of its file, or URL of its database; there must be nothing yet.
        plant_file: path of the plant file.
        key_file: where its signing key is to lie; beside the ledger unless said.
        at: since when what the file says is so, RFC 3339 with offset; None for now.

    Raises:
        IdentifierError: the time has no offset, or is no time; no ledger is left.
        UsageError: the plant file is wrong, or there is a ledger or a key already; no ledger is left.
    """
    key = optional_file("key_file", key_file)
    from runout._ledger import OpenLedger  # noqa: PLC0415
    from tracelink.services.upkeep import ledger_files  # noqa: PLC0415

    return OpenLedger(
        ledger_files.make(require_place(place), require_file("plant_file", plant_file), key, at)
    )


def restore_ledger(
    copy: str | Path, place: str | Path, progress: Callable[[int], None] = lambda _seq: None
) -> LedgerCopy:
    """Make a new ledger from a copy, which is verified first.

    Args:
        copy: path of the copy.
        place: path of the ledger; there must be nothing yet.
        progress: called with each sequence number verified.

    Raises:
        UsageError: there is no such copy, or something is at that place already.
        StorageFailed: there is no room.
        JournalError: the copy does not verify; nothing was made.
    """
    from tracelink.services.upkeep import ledger_files  # noqa: PLC0415

    return ledger_files.restore(require_file("copy", copy), require_place(place), progress)


def copy_ledger(
    source: str | Path, target: str | Path, progress: Callable[[int], None] = lambda _seq: None
) -> CopiedLedger:
    """Copy a ledger into an empty place, of the same database engine or another, and prove that both are equal.

    Args:
        source: path or URL of the ledger; it is only read.
        target: path of a file that does not exist, or URL of an empty database.
        progress: called with each sequence number verified in the copy.

    Raises:
        UsageError: the target is not empty.
        JournalError: the source does not verify, or the copy is not equal; nothing is left.
        LedgerError: the source cannot be opened, or the target not be written; nothing is left.
        BookingUnknown: the answer of the target's server was lost: it is whole there, or empty.
    """
    from tracelink.services.upkeep import ledger_files  # noqa: PLC0415

    return ledger_files.copy_to(require_place(source), require_place(target), progress)


def line_found_away(
    place: str | Path, code: str, folder: str | Path, *, why: str, key: str | Path | None = None
) -> AbstractContextManager[AwayLine]:
    """Be the only program at a packing line whose ledger is away at the start, and pack on from where an earlier program stood.

    Args:
        place: path or URL of the ledger.
        code: of the line.
        folder: that was given to `stations.line_that_packs_on` while the ledger was there.
        why: the ledger cannot be opened, as the error said.
        key: the file with the key of the line; beside the ledger's file unless said.

    Raises:
        StorageFailed: what lies in the folder does not let it; the sentence says why.
        RefusedByRule: another program packs by the folder.
    """
    from tracelink.errors import StorageFailed  # noqa: PLC0415
    from tracelink.services.floor.away import away_start  # noqa: PLC0415

    where, own = require_file("folder", folder), optional_file("key", key)
    return away_start.line_found_away(require_place(place), code, where, StorageFailed(why), own)


def upgrade_ledger(place: str | Path) -> SchemaChange:
    """Bring an older ledger to the schema of this program, and make its tables anew from the journal.

    Args:
        place: path or URL. A file is copied first, beside it, and the copy compared; a server is backed up by its own means.

    Raises:
        UsageError: there is no ledger, or no room for a copy.
        LedgerDamaged: the file cannot be read to its end; nothing was upgraded.
        NewerJournal: it was made by a newer program.
        BrokenChain: the journal does not verify; the schema is new, the tables are as they were.
    """
    from tracelink.services.upkeep import ledger_files  # noqa: PLC0415

    return ledger_files.bring_up_to_date(require_place(place))


def only_reading() -> AbstractContextManager[None]:
    """Refuse, while the block runs, every ledger that would be opened for writing: an auditor's session."""
    from tracelink.services.upkeep.reading_session import reading_session  # noqa: PLC0415

    return reading_session()


def signing_key(place: str | Path = "runout.db", *, key_file: str | Path | None = None) -> KeyFile:
    """Return a signing key that exists: its public half is to be handed to whoever checks.

    Args:
        place: the ledger.
        key_file: where the key is; beside the ledger's file unless said.

    Raises:
        UsageError, StorageFailed: there is none, or others may read it.
    """
    from tracelink.services.upkeep import signing  # noqa: PLC0415

    return signing.key_of(require_place(place), optional_file("key_file", key_file))


def make_signing_key(
    place: str | Path = "runout.db", *, key_file: str | Path | None = None, name: str | None = None
) -> KeyFile:
    """Make a signing key in a file that only its owner may read.

    Args:
        place: the ledger; looked into only for the name of its plant.
        key_file: where the key is to lie; beside the ledger's file unless said.
        name: of the key, without spaces, such as that of a witness; None for that of the plant.

    Raises:
        UsageError: the file exists, or the ledger has no plant yet.
        StorageFailed: it cannot be written.
    """
    key = optional_file("key_file", key_file)
    from tracelink.services.upkeep import signing  # noqa: PLC0415

    return signing.make_key_of(require_place(place), key, name)

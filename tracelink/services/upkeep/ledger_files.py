"""Ledgers as files: made from a plant file, copied, brought back, brought up to date, made anew."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tracelink.clock import utc_now
from tracelink.errors import UsageError, without_password
from tracelink.facts.upkeep.backups_kept import BackupsKept
from tracelink.facts.upkeep.copied_ledger import CopiedLedger
from tracelink.services.upkeep.plant_files import PlannedBy, read_file, record_all
from tracelink.store.copies.backup import copy_ledger, remove_left_parts
from tracelink.store.copies.before_upgrade import give_back_room, keep_before_upgrade
from tracelink.store.copies.between_engines import copy_between
from tracelink.store.copies.retention import backup_name, backup_pattern, require_room, thin_out
from tracelink.store.database.engine import ledger_url
from tracelink.store.journal import journal
from tracelink.store.journal import rebuild as rebuilding
from tracelink.store.journal.keys import key_place, refuse_existing_key
from tracelink.store.journal.upgrading import upgrade_ledger
from tracelink.store.ledger import Ledger
from tracelink.store.only_reading import require_writable

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

Progress = Callable[[int], None]
"""Called with each sequence number reached."""


@dataclass(frozen=True, slots=True)
class LedgerCopy:
    """A verified copy of a ledger."""

    file: Path
    """Path of the file."""
    head: tuple[int, str]
    """Its last entry's number, and its hash."""
    waiting: int
    """Scans in it that are not closed into an entry yet."""
    size: int
    """Bytes of the file."""
    free: int
    """Bytes that are free beside it."""


@dataclass(frozen=True, slots=True)
class SchemaChange:
    """Schemas before and after a ledger was brought up to date."""

    before: str
    after: str
    kept: Path | None = None
    """A copy of the file as it was; None where nothing was done, and on a server."""


def _require_no_entry(booking: Booking, place: str) -> None:
    """Refuse a ledger that another program made since, or that a server held before."""
    if journal.head(booking.connection).seq:
        raise UsageError(f"{without_password(place)} exists already; a ledger is never overwritten")


def make(place: str, plant_file: str | Path, key_file: str | None, at: str | None = None) -> Ledger:
    """Make a ledger from a plant file, and leave it open.

    Args:
        place: path or URL; there must be nothing yet.
        plant_file: path of the plant file.
        key_file: where its signing key is to lie; beside the ledger unless said. The key is not made here.
        at: since when it is so, RFC 3339 with offset; None for now.

    Raises:
        IdentifierError: the time has no offset, or is no time.
        UsageError: the plant file is wrong, or there is a ledger or a key already; no ledger is left.
    """
    content = read_file(plant_file, new_ledger=True)
    key = key_place(place, key_file)
    ledger = Ledger.create(place)
    try:
        refuse_existing_key(key)
        with ledger.writing() as booking:
            _require_no_entry(booking, place)
            record_all(booking, content, PlannedBy(at=at))
    except BaseException:
        ledger.discard_empty()
        raise
    return ledger


def back_up(ledger: Ledger, target: Path, progress: Progress) -> LedgerCopy:
    """Write a verified copy of a ledger while stations run.

    Args:
        ledger: the ledger.
        target: a file that does not exist yet; or a folder, in which the copy is named by ledger and time.
        progress: called with each sequence number verified in the copy.

    Raises:
        UsageError, StorageFailed, JournalError: as `copy_ledger`; or there is no room.
    """
    place = ledger.place
    file = target
    if target.is_dir():
        # What a copy left that was killed would lie there for ever: no other is written under its name.
        remove_left_parts(target, backup_pattern(place))
        file = backup_name(place, target, utc_now())
    if ledger_url(place).get_backend_name() == "sqlite" and file.parent.is_dir():
        require_room(place, file.parent)
    return _copied(place, file, progress)


def thin_out_beside(ledger: Ledger, made: LedgerCopy, keep: int) -> BackupsKept:
    """Remove the oldest backups beside a new one, as far as that holds them whole.

    Args:
        ledger: the ledger.
        made: the new backup; it is never removed.
        keep: how many to keep, 1 or more, the new one counted.
    """
    return thin_out(ledger.place, made.file, keep)


def restore(copy: str, place: str, progress: Progress) -> LedgerCopy:
    """Make a new ledger from a copy, which is verified first.

    Args:
        copy: path of the copy.
        place: path of the ledger; there must be nothing yet.
        progress: called with each sequence number verified.

    Raises:
        RefusedByRule: this session only reads.
        UsageError, StorageFailed, JournalError: as `copy_ledger`; or there is no room.
    """
    require_writable(place)
    if Path(copy).is_file() and Path(place).parent.is_dir():
        require_room(copy, Path(place).parent)
    return _copied(copy, Path(place), progress)


def _copied(source: str, target: Path, progress: Progress) -> LedgerCopy:
    head, waiting = copy_ledger(source, target, progress)
    free = shutil.disk_usage(target.parent).free
    return LedgerCopy(target, (head.seq, head.hash), waiting, target.stat().st_size, free)


def copy_to(source: str, target: str, progress: Progress) -> CopiedLedger:
    """Copy a ledger into an empty place, of any database engine, and prove that both are equal.

    Raises:
        UsageError, LedgerError: as `copy_between`.
    """
    return copy_between(source, target, progress)


def bring_up_to_date(place: str) -> SchemaChange:
    """Bring an older ledger to the schema of this program, and make its tables anew; its file is copied before.

    Raises:
        UsageError, JournalError: as `upgrade_ledger`, and as `keep_before_upgrade`.
    """
    kept = keep_before_upgrade(place)
    before, after = upgrade_ledger(place)
    if kept is not None:
        give_back_room(place)
    return SchemaChange(before, after, kept)


def rebuild_tables(ledger: Ledger, progress: Progress) -> tuple[int, str]:
    """Make every table anew from the journal, in one transaction; returns the head.

    Raises:
        JournalError: the journal does not verify, or an entry cannot be projected; nothing is changed.
    """
    with ledger.transaction() as conn:
        head = rebuilding.rebuild(conn, progress)
    return head.seq, head.hash

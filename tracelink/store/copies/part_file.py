"""A ledger that is being copied into a file: under a temporary name until it is whole, and by one program at a time."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from tracelink.errors import RefusedByRule, StorageFailed, UsageError
from tracelink.store.journal.secret_file import sync_folder
from tracelink.store.ledger import remove_ledger_file

PART = ".part"
"""What the name of a file that is not whole yet ends with."""


def require_free(target: Path) -> None:
    """Refuse a place for a copy where something is, or that has no folder.

    Raises:
        UsageError: it is such a place.
    """
    if target.exists():
        raise UsageError(f"{target} exists already; a copy never overwrites anything")
    if not target.parent.is_dir():
        raise UsageError(f"the folder of {target} does not exist")


@contextmanager
def written_whole(target: Path) -> Iterator[Path]:
    """Give the name under which a copy is written; when the block ends well it is synced and gets its own name.

    Raises:
        RefusedByRule: another copy is being written there.
        StorageFailed: the file cannot be made.
    """
    part = target.with_name(target.name + PART)
    with only_writer(part):
        try:
            yield part
            with part.open("rb") as written:
                os.fsync(written.fileno())
            os.replace(part, target)  # noqa: PTH105  the two are one file system and one name apart
            sync_folder(target)
        finally:
            remove_ledger_file(part)


@contextmanager
def only_writer(part: Path) -> Iterator[None]:
    """Begin an empty file in which nobody else writes a copy while the block runs; the system lets go of it at any end.

    Raises:
        RefusedByRule: another copy is being written there.
        StorageFailed: the file cannot be made.
    """
    import fcntl  # noqa: PLC0415  POSIX only, and no lock of SQLite's

    try:
        file = part.open("ab")
    except OSError as problem:
        raise StorageFailed(f"{part} cannot be written: {problem.strerror}") from None
    with file:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise RefusedByRule(f"{part} is being written by another copy: wait for it") from None
        # SQLite copies into an empty file only.
        file.truncate(0)
        yield

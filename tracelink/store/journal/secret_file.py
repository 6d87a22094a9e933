"""Files that only their owner may read: made so, and looked at again before anything relies on it."""

import os
import stat
from pathlib import Path

from tracelink.errors import StorageFailed
from tracelink.store.only_reading import require_writable

OWNER_ONLY = stat.S_IRUSR | stat.S_IWUSR


def write_secret(file: Path, text: str, what: str) -> None:
    """Write a secret to a new file that only its owner may read, synced before this returns; or leave no file.

    Args:
        file: where; it must not be there yet.
        text: the secret; with a name in it that may have any letter.
        what: what it is, for sentences.

    Raises:
        RefusedByRule: this is an auditor's session.
        StorageFailed: there is such a file, it cannot be written, or the place keeps nothing from others.
    """
    require_writable(str(file))
    # Before there is a file that a text which cannot be written would leave empty.
    data = text.encode()
    try:
        # Made with its final permissions, so that there is no moment at which others could open it.
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_CLOEXEC, OWNER_ONLY)
    except OSError as problem:
        raise StorageFailed(f"{what} {file} cannot be made: {problem.strerror}") from None
    try:
        with os.fdopen(handle, "wb") as opened:
            # A umask may have taken more away than it should.
            os.fchmod(opened.fileno(), OWNER_ONLY)
            _require_kept(opened.fileno(), file, what)
            opened.write(data)
            opened.flush()
            os.fsync(opened.fileno())
        sync_folder(file)
    except StorageFailed:
        file.unlink(missing_ok=True)
        raise
    except OSError as problem:
        # Half a key would bar the next try.
        file.unlink(missing_ok=True)
        raise StorageFailed(f"{what} {file} cannot be written: {problem.strerror}") from None


def _require_kept(handle: int, file: Path, what: str) -> None:
    """Refuse a place that takes permissions and does not keep them, as some file systems and shares do."""
    mode = stat.S_IMODE(os.fstat(handle).st_mode)
    if mode & ~OWNER_ONLY:
        raise StorageFailed(
            f"{what} {file} could be read or changed by others there (mode {mode:04o}): expected 0600. It was not written; "
            "name a place on a disk that keeps permissions"
        )


def sync_folder(file: Path) -> None:
    """Make the name of a file last through a power cut."""
    handle = os.open(file.resolve().parent, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)

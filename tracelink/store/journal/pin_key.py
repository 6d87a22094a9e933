"""The secret key of a ledger's PINs: a file that only its owner may read, beside the ledger and never in it.

For `plant.db` it is `plant.db.pin-key`; RUNOUT_PIN_KEY names another file, as it must where the ledger lies on a database
server. Every machine with stations needs the same file. It is in no backup and no export; keep a copy of it apart from
the copies of the ledger. Without it nobody's PIN can be checked, and PINs are set anew.
"""

import os
import secrets
from pathlib import Path

from tracelink.errors import StorageFailed, UsageError
from tracelink.ledger.pins import KEY_BYTES
from tracelink.plainfile import plain_bytes
from tracelink.store.database.engine import ledger_url
from tracelink.store.journal.secret_file import write_secret

ENVIRONMENT = "RUNOUT_PIN_KEY"


def key_file(place: str) -> Path:
    """Return where the key of the ledger at `place` lies.

    Raises:
        UsageError: the ledger has no file beside which it could lie, and the environment names none.
    """
    named = os.environ.get(ENVIRONMENT)
    if named:
        return Path(named)
    url = ledger_url(place)
    if url.get_backend_name() != "sqlite" or not url.database:
        raise UsageError(f"{place} is not a file: name the file of its PIN key with {ENVIRONMENT}")
    return Path(f"{url.database}.pin-key")


def read_key(place: str) -> bytes | None:
    """Return the key; None if there is no such file, or no place for one.

    Raises:
        StorageFailed: others may read the file, or it holds no key.
    """
    try:
        file = key_file(place)
        text = plain_bytes(file, 4096).decode("ascii").strip()
        is_open = file.stat().st_mode & 0o077
    except (UsageError, FileNotFoundError):
        return None
    except (OSError, UnicodeDecodeError) as problem:
        raise StorageFailed(f"the PIN key {file} cannot be read: {problem}") from None
    if is_open:
        raise StorageFailed(
            f"the PIN key {file} may be read by others than its owner: expected access 600, found "
            f"{file.stat().st_mode & 0o777:o}"
        )
    try:
        key = bytes.fromhex(text)
    except ValueError:
        key = b""
    if len(key) != KEY_BYTES:
        raise StorageFailed(f"the PIN key {file} is damaged: expected {2 * KEY_BYTES} hexadecimal digits")
    return key


def make_key(place: str) -> bytes:
    """Make a new key where there is none, and return it once it is safely written.

    Raises:
        StorageFailed: there is one already, or the file cannot be made.
    """
    key = secrets.token_bytes(KEY_BYTES)
    write_key(place, key)
    return key


def write_key(place: str, key: bytes) -> None:
    """Write a key where there is none.

    Raises:
        StorageFailed: as for `make_key`.
    """
    write_secret(key_file(place), key.hex() + "\n", "the PIN key")

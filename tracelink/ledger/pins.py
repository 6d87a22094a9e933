"""PINs: how one is kept so that the journal may be handed to anybody, and how long a wrong one makes wait.

Theory of operation
-------------------
The journal is given to auditors, and a PIN has 4 to 8 digits. However slow the hash, all ten thousand PINs of four
digits are tried in minutes by whoever holds salt and hash. So what the journal keeps is made with a secret key that is
not in it: scrypt over HMAC-SHA-256(key, badge and digits). The key lies in a file of its own that only the station's
own account may read (`store/journal/pin_key.py`); it is in no export, no backup and no table. Without it a kept hash tells nothing
about the digits; with it, scrypt still makes each guess cost. Everything else about PINs (set, asked, given, refused) is
an entry like any other, so that tables equal a replay.

Were the hash kept outside the journal instead, a rebuild would lose it and nobody could show when a PIN was changed.

Source: RFC 7914 (scrypt), RFC 2104 (HMAC). Not checked against NIST SP 800-63B: a secret salt kept apart from the hashes
(5.1.1.2), and no more than 100 failed attempts in a row (5.2.2).
"""

import hashlib
import hmac
import re
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from tracelink.errors import InvalidFormat
from tracelink.ledger.times import instant

PIN_MARK: Final = "#PIN"
"""What is kept in place of the line in which somebody keyed a PIN; it can be no number and no PIN."""

KEY_BYTES: Final = 32
SALT_BYTES: Final = 16

COST: Final = 2**14
"""scrypt's N; with r = 8 a check takes 16 MiB and some hundredths of a second. Not more, because a station checks inside
the write transaction in which it signs the person on, and the other stations wait for that."""
BLOCK: Final = 8
LANES: Final = 1

_DIGITS = re.compile(r"[0-9]{4,8}")
_ASCENDING = "01234567890"
_KEY_DOMAIN = b"runout pin key\x00"
_MAX_MEMORY = 64 * 1024 * 1024


@dataclass(frozen=True, slots=True)
class Verifier:
    """What is kept of a PIN."""

    salt: str
    """Random, 32 hexadecimal digits."""
    cost: int
    """scrypt's N."""
    block: int
    """scrypt's r."""
    lanes: int
    """scrypt's p."""
    digest: str
    """64 hexadecimal digits."""
    key_id: str
    """Which secret key it was made with: 16 hexadecimal digits that do not tell the key."""


@dataclass(frozen=True, slots=True)
class PinFact:
    """A person's PIN as it stands."""

    verifier: Verifier
    failures: int
    """Wrong PINs in a row since the last right one."""
    failed_at: str | None
    """When the last wrong one was recorded, UTC."""


@dataclass(frozen=True, slots=True)
class Limits:
    """How wrong PINs make wait; settings of the plant."""

    free: int
    """Wrong PINs in a row that cost no wait."""
    first_s: int
    """Seconds after one more; doubled for each further one."""
    longest_s: int
    most: int
    """After so many in a row the PIN is blocked until it is set anew; 0 for never."""


def require_pin(digits: str) -> str:
    """Return `digits` if they may be a PIN.

    Args:
        digits: 4 to 8 digits 0-9, not all the same, not a run such as 1234 or 9876.

    Raises:
        InvalidFormat: they may not; the sentence does not repeat them.
    """
    if not _DIGITS.fullmatch(digits):
        raise InvalidFormat(f"a PIN has 4 to 8 digits 0-9: found {len(digits)} characters, or others")
    if len(set(digits)) == 1 or digits in _ASCENDING or digits in _ASCENDING[::-1]:
        raise InvalidFormat(
            "a PIN of one digit repeated, or of digits in a row, is guessed first: choose another"
        )
    return digits


def key_id(key: bytes) -> str:
    """Return the text by which a secret key is told from others."""
    return hashlib.sha256(_KEY_DOMAIN + key).hexdigest()[:16]


def make_verifier(key: bytes, badge: str, digits: str, salt: bytes, cost: int = COST) -> Verifier:
    """Return what is kept of a PIN.

    Args:
        key: the ledger's secret key, 32 bytes.
        badge: whose PIN it is.
        digits: the PIN.
        salt: 16 random bytes, new for each PIN.
        cost: scrypt's N; less only for a PIN that is not a secret.
    """
    digest = _digest(key, badge, digits, salt, (cost, BLOCK, LANES))
    return Verifier(salt.hex(), cost, BLOCK, LANES, digest, key_id(key))


def fits(key: bytes, badge: str, digits: str, kept: Verifier) -> bool:
    """Say whether `digits` are the PIN of which `kept` was kept, in a time that does not depend on how far they agree."""
    parameters = (kept.cost, kept.block, kept.lanes)
    return hmac.compare_digest(_digest(key, badge, digits, bytes.fromhex(kept.salt), parameters), kept.digest)


def _digest(key: bytes, badge: str, digits: str, salt: bytes, parameters: tuple[int, int, int]) -> str:
    cost, block, lanes = parameters
    secret = hmac.digest(key, badge.encode() + b"\x00" + digits.encode(), "sha256")
    return hashlib.scrypt(secret, salt=salt, n=cost, r=block, p=lanes, maxmem=_MAX_MEMORY, dklen=32).hex()


def is_blocked(failures: int, limits: Limits) -> bool:
    """Say whether a PIN must be set anew because it was wrong too often."""
    return 0 < limits.most <= failures


def wait_s(failures: int, limits: Limits) -> int:
    """Return how many seconds must pass after the last of `failures` wrong PINs in a row."""
    over = failures - limits.free
    if over <= 0 or not limits.first_s:
        return 0
    # Doubled 30 times is longer than any limit; the number of failures itself may be too large to shift by.
    return min(limits.longest_s, limits.first_s << min(over - 1, 30))


def next_try(pin: PinFact, now: str, limits: Limits) -> str | None:
    """Return the time (UTC) from which a PIN is looked at again; None if it is looked at now.

    The wait goes by the clock that records, not by the times that scans say of themselves: whoever writes those could
    wait no moment, or lock somebody out until 2099. A recording clock that was set back does not shorten it.

    Args:
        pin: as it stands.
        now: recording time, UTC.
        limits: of the plant.
    """
    wait = wait_s(pin.failures, limits)
    if pin.failed_at is None or not wait:
        return None
    until = instant(pin.failed_at) + timedelta(seconds=wait)
    return until.isoformat() if instant(now) < until else None

"""Sessions: who signed in at which browser. They live in this server only, so that ending it ends them all."""

from __future__ import annotations

import secrets
import time
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from threading import Lock

from runout import SignedInPerson

IDLE_SECONDS = 15 * 60
"""Without a page, after which a session ends; common practice for shared machines."""
LONGEST_SECONDS = 8 * 60 * 60
"""After which a session ends whatever happens: a shift."""
_MOST = 1_000
_SECRET_BYTES = 32


@dataclass(frozen=True, slots=True)
class WebSession:
    """Somebody who is signed in."""

    person: SignedInPerson
    token: str
    """What every form of theirs carries: another site cannot know it."""
    since: float
    """When they signed in, by the clock of the sessions."""


class WebSessions:
    """All sessions of a server, by the secret that the browser keeps."""

    def __init__(self, now: Callable[[], float] = time.monotonic) -> None:
        """Begin without any.

        Args:
            now: seconds of a clock that does not run back.
        """
        self._now = now
        self._lock = Lock()
        self._open: OrderedDict[str, tuple[WebSession, float]] = OrderedDict()
        """Secret -> the session and when it was used last; the longest unused first."""

    def open(self, person: SignedInPerson) -> tuple[str, WebSession]:
        """Begin a session; returns its secret and the session."""
        secret, now = secrets.token_urlsafe(_SECRET_BYTES), self._now()
        session = WebSession(person, secrets.token_urlsafe(_SECRET_BYTES), now)
        with self._lock:
            self._open[secret] = session, now
            while len(self._open) > _MOST:
                self._open.popitem(last=False)
        return secret, session

    def find(self, secret: str, *, is_used: bool = True) -> WebSession | None:
        """Return the session of a secret; None if there is none, or not any more.

        Args:
            secret: what the browser keeps.
            is_used: true if a person asks, and it goes on from now; a page that fetches itself anew is nobody.
        """
        now = self._now()
        with self._lock:
            session, used = self._open.pop(secret, (None, 0.0))
            if session is None or now - used > IDLE_SECONDS or now - session.since > LONGEST_SECONDS:
                return None
            self._open[secret] = session, (now if is_used else used)
        return session

    def close(self, secret: str) -> None:
        """End a session; one that is not there stays so."""
        with self._lock:
            self._open.pop(secret, None)

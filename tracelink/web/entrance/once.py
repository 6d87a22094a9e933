"""A form is carried out once: sent twice, by a double click or the back button, it has the answer of the first time.

Every form carries a number that only this server can have made. It costs nothing to give one out; what is kept is what
became of those that were sent.
"""

from __future__ import annotations

import hmac
import secrets
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import dataclass
from threading import Lock
from typing import Generic, TypeVar

_NUMBER_BYTES = 16
_MOST_KEPT = 10_000
_SECONDS_TO_WAIT = 60
"""For the answer of the same form that is being carried out in another request."""

Answer = TypeVar("Answer")


@dataclass(frozen=True, slots=True)
class FirstAnswer(Generic[Answer]):
    """What a form led to."""

    answer: Answer
    is_repeat: bool
    """True if it was sent before, and this is what it led to then."""


class FormsSent(Generic[Answer]):
    """The forms that were sent to this server."""

    def __init__(self) -> None:
        """Begin without any, with a key of its own: a number from before the server was started is nobody's."""
        self._key = secrets.token_bytes(32)
        self._lock = Lock()
        self._sent: OrderedDict[str, Future[Answer]] = OrderedDict()

    def number(self) -> str:
        """Return the number of a new form."""
        text = secrets.token_hex(_NUMBER_BYTES)
        return f"{text}.{self._mark(text)}"

    def is_ours(self, number: str) -> bool:
        """Say whether this server gave out a number."""
        text, _, mark = number.partition(".")
        return hmac.compare_digest(mark.encode(), self._mark(text).encode())

    def carry_out(self, number: str, act: Callable[[], Answer]) -> FirstAnswer[Answer]:
        """Do what a form asks for, unless it was done; what raises was not done, and may be sent again.

        Args:
            number: of the form; one of ours.
            act: what it asks for.
        """
        with self._lock:
            before = self._sent.get(number)
            if before is None:
                mine = self._sent[number] = Future()
                while len(self._sent) > _MOST_KEPT:
                    self._sent.popitem(last=False)
        if before is not None:
            return FirstAnswer(before.result(_SECONDS_TO_WAIT), is_repeat=True)
        try:
            answer = act()
        except BaseException as problem:
            with self._lock:
                self._sent.pop(number, None)
            mine.set_exception(problem)
            raise
        mine.set_result(answer)
        return FirstAnswer(answer, is_repeat=False)

    def answer_of(self, number: str) -> Answer | None:
        """Return what a form led to; None if it is not known here."""
        with self._lock:
            sent = self._sent.get(number)
        return sent.result() if sent is not None and sent.done() and not sent.exception() else None

    def _mark(self, text: str) -> str:
        return hmac.digest(self._key, text.encode(), "sha256").hex()[:32]

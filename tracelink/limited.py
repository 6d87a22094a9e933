"""Reading what comes from outside in a process of its own, which may use so much time and memory and no more.

Some forms can be small and cost without end: a workbook that unzips to gigabytes, a key of a million parts, a template of
loops in loops. The parent waits for the answer, and ends the child with a sentence when it has used up its share. The child
is a copy of this process (fork), reads no ledger, and sends back the answer alone.
"""

import os
import pickle
import resource
import select
import signal
import time
from collections.abc import Callable
from typing import NoReturn, TypeVar

from tracelink.errors import UsageError

SECONDS = 10
"""Of processor time that one reader may use."""

MEGABYTES = 300
"""Of memory that one reader may use beyond what the program has already."""

_WAIT_SECONDS = 30
"""Time by the clock, on a machine that has other things to do."""

Answer = TypeVar("Answer")

_PAGE = os.sysconf("SC_PAGE_SIZE")


def within_limits(work: Callable[[], Answer], what: str, megabytes: int = MEGABYTES) -> Answer:
    """Return what `work` returns, or raise what it raises, as long as it keeps to the limits.

    Args:
        work: reads something; its answer and its errors can be sent from process to process.
        what: it reads, to begin a sentence with.
        megabytes: of memory it may use; more than usual only for a file that is large in itself.

    Raises:
        UsageError: it needs more time or memory.
    """
    source, target = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(source)
        _work(work, target, megabytes)
    os.close(target)
    try:
        sent = _received(source)
    finally:
        os.close(source)
        # It has answered, or gets no more time.
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
    if not sent:
        raise UsageError(
            f"{what} needs more than {SECONDS} s or {megabytes} MB to be read, and was not read: expected a file of the usual size "
            "and form"
        )
    is_answer, found = pickle.loads(sent)  # noqa: S301  made by this program, a moment ago
    if is_answer:
        answer: Answer = found
        return answer
    raise found


def _received(source: int) -> bytes:
    """Return all that comes until the other end is closed; nothing if that takes too long."""
    until = time.monotonic() + _WAIT_SECONDS
    parts: list[bytes] = []
    while True:
        ready, _, _ = select.select([source], [], [], max(0.0, until - time.monotonic()))
        if not ready:
            return b""
        part = os.read(source, 1 << 20)
        if not part:
            return b"".join(parts)
        parts.append(part)


def _work(work: Callable[[], object], target: int, megabytes: int) -> NoReturn:
    """Do the work in the child, and end it, whatever happens, before anything that the parent owns is touched."""
    try:
        _limit(megabytes)
        try:
            found = (True, work())
        except MemoryError:
            os._exit(1)
        except Exception as problem:  # noqa: BLE001  the parent raises it
            problem.__traceback__ = None
            found = (False, problem)
        with os.fdopen(target, "wb") as opened:
            pickle.dump(found, opened)
    finally:
        os._exit(0)


def _limit(megabytes: int) -> None:
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    _lower(resource.RLIMIT_CPU, SECONDS)
    with open("/proc/self/statm", encoding="ascii") as opened:  # noqa: PTH123  nothing is imported any more here
        pages = int(opened.read().split()[0])
    _lower(resource.RLIMIT_AS, pages * _PAGE + (megabytes << 20))


def _lower(limit: int, most: int) -> None:
    """Set a limit, or leave it where the program itself was started with a lower one, which it may not raise."""
    _soft, hard = resource.getrlimit(limit)
    at_most = most if hard == resource.RLIM_INFINITY else min(most, hard)
    resource.setrlimit(limit, (at_most, at_most))

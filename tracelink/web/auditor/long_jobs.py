"""Questions that take a while: one at a time, with how far it is."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tracelink.errors import LedgerError, RefusedByRule
from tracelink.report.format.document import Section


@dataclass(frozen=True, slots=True)
class JobResult:
    """What a long question came to."""

    sections: tuple[Section, ...]
    file: Path | None = None
    """A file to download; None for none."""


@dataclass(slots=True)
class LongJob:
    """A question that is being answered, or was."""

    title: str
    total: int
    """Steps that it has at most."""
    done: int = 0
    result: JobResult | None = None
    problem: str = ""
    """What stopped it; empty if nothing did."""

    @property
    def is_running(self) -> bool:
        """True until there is an answer."""
        return self.result is None and not self.problem

    @property
    def percent(self) -> int:
        """How far it is."""
        return min(99, 100 * self.done // max(1, self.total)) if self.is_running else 100

    def step(self, _number: int) -> None:
        """Count a step."""
        self.done += 1


class LongJobs:
    """The one long question of a server, and the one before it."""

    def __init__(self, tell_fault: Callable[[Exception], str]) -> None:
        """Begin without any.

        Args:
            tell_fault: keeps what nobody foresaw, and returns the sentence for the page.
        """
        self._tell_fault = tell_fault
        self._lock = threading.Lock()
        self.last: LongJob | None = None

    def start(self, job: LongJob, work: Callable[[LongJob], JobResult]) -> None:
        """Begin to answer a question in a thread of its own.

        Raises:
            RefusedByRule: another one is not answered yet.
        """
        with self._lock:
            if self.last is not None and self.last.is_running:
                raise RefusedByRule(
                    f"“{self.last.title}” is not answered yet, and one is answered at a time: wait for it"
                )
            self.last = job
        # A server that ends does not wait for it: it only reads.
        threading.Thread(target=self._run, args=(job, work), daemon=True).start()

    def _run(self, job: LongJob, work: Callable[[LongJob], JobResult]) -> None:
        try:
            job.result = work(job)
        except LedgerError as problem:
            job.problem = str(problem)
        except Exception as problem:  # noqa: BLE001  nothing may get past here
            job.problem = self._tell_fault(problem)

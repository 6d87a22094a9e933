"""Every turn among the scans of a ledger was given once: a scan taken out leaves a gap, one put in takes a turn twice.

Scans of an older program have no turn; the first turn comes after as many as there are of them. Scans are sealed later than they
were taken, so what is missing is known only at the end; until then no more is remembered than what waits.
"""

from collections.abc import Iterable, Iterator
from typing import Final

from tracelink.ledger.count_words import counted
from tracelink.ledger.proof.number_runs import number_runs

_FAR: Final = 1_000_000
"""More scans than this never wait in a ledger; a turn that far from the others is a damaged one."""


class ScanTurns:
    """Counts off the turns of all scans."""

    def __init__(self) -> None:
        """Begin with none."""
        self._without = 0
        self._first = 0
        self._highest = 0
        self._open = set[int]()
        self._wrong: list[str] = []

    def seen(self, turn: int | None) -> None:
        """Count one scan, sealed or in the spool; None has no turn."""
        if turn is None:
            self._without += 1
        elif not self._highest:
            self._first = self._highest = turn
        elif not self._first - _FAR <= turn <= self._highest + _FAR:
            self._wrong.append(f"turn {turn} is far from turns {self._first} to {self._highest}, the others")
        elif turn > self._highest:
            self._open.update(range(self._highest + 1, turn))
            self._highest = turn
        elif turn < self._first:
            self._open.update(range(turn + 1, self._first))
            self._first = turn
        elif turn in self._open:
            self._open.remove(turn)
        else:
            self._wrong.append(f"turn {turn} was given twice: a scan was put in, or its turn was changed")

    def seen_all(self, turns: Iterable[int | None]) -> None:
        """Count the scans of one entry."""
        for turn in turns:
            if self._highest and turn == self._highest + 1:
                self._highest = turn
            elif turn in self._open:
                self._open.remove(turn)
            else:
                self.seen(turn)

    def sentences(self) -> Iterator[str]:
        """Yield what is twice, far away or missing."""
        yield from self._wrong
        if self._highest:
            yield from self._gaps()

    def _gaps(self) -> Iterator[str]:
        begins = self._without + 1
        if self._first > begins:
            yield _missing(begins, self._first - 1)
        elif self._first < begins:
            more = counted(begins - self._first, "scan has", "scans have")
            yield f"{more} no turn, though turn {self._first} was the first: a scan was put in, or its turn was taken away"
        for first, last in number_runs(self._open):
            yield _missing(first, last)


def _missing(first: int, last: int) -> str:
    which = f"turn {first}" if first == last else f"turns {first} to {last}"
    return f"no scan has {which}: a scan was taken out, or its turn was changed"

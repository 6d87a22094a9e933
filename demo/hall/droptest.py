"""Turntables of the hall are dropped for three weeks at the lab; those with connectors of the bad lot break."""

from collections.abc import Sequence
from dataclasses import dataclass

from hall.bench import DAY_S, Bench

NAME = "drop test"
READINGS = (("10 drops", 7), ("50 drops", 21))
"""After what a turntable is looked at, and on which day; a choice of this plant."""
DEFECT = "connector loose"


@dataclass(slots=True)
class DropTest:
    """The lab's bench of the hall."""

    bench: Bench

    def begin(self, at: int, labels: Sequence[str]) -> None:
        """Draw some units and begin the test."""
        for label in labels:
            self.bench.do(at, "DRAWUNIT", label, "SLOWTEST", label, f'"{NAME}')

    def look(self, begun: int, labels: Sequence[str], broken: Sequence[str]) -> int:
        """Look at each unit after the days of the test.

        Args:
            begun: when it began.
            labels: the units.
            broken: those that break before the last reading.

        Returns:
            When the last of them was looked at.
        """
        for label, days in READINGS:
            is_last = (label, days) == READINGS[-1]
            for unit in labels:
                found = DEFECT if is_last and unit in broken else "good"
                self.bench.do(begun + days * DAY_S, "READING", unit, f'"{found}')
                if is_last and unit not in broken:
                    self.bench.do(begun + days * DAY_S, "GOOD", unit)
        return self.bench.last

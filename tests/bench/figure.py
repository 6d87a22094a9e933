"""A measured figure next to its baseline of the same run, and the table of many."""

import json
import os
import platform
import sys
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Figure:
    """One line of the table."""

    what: str
    """What was measured."""
    value: float
    unit: str
    """Such as ms, /s or MB."""
    baseline: str
    """What it is held against; empty for nothing."""
    base: float | None
    """That in the same unit, of the same run; None for nothing."""
    size: str
    """What there was in the ledger."""

    @property
    def ratio(self) -> float | None:
        """How many times the baseline."""
        return None if not self.base else self.value / self.base


def to_line(figure: Figure) -> str:
    """Return a figure as one line of JSON."""
    return json.dumps(asdict(figure))


def from_lines(lines: Iterable[str]) -> list[Figure]:
    """Read figures back; lines that are none are passed over."""
    return [Figure(**json.loads(line)) for line in lines if line.startswith('{"what"')]


def markdown(figures: Iterable[Figure]) -> str:
    """Return the table, and under it on which machine it was measured."""
    rows = ["| figure | measured | baseline of the same run | ratio | ledger |", "|---|--:|---|--:|---|"]
    for one in figures:
        base = "" if one.base is None else f"{_short(one.base)} {one.unit}: {one.baseline}"
        ratio = "" if one.ratio is None else f"{one.ratio:.2f}"
        rows.append(f"| {one.what} | {_short(one.value)} {one.unit} | {base} | {ratio} | {one.size} |")
    return "\n".join([*rows, "", _machine(), ""])


def _short(value: float) -> str:
    return f"{value:,.0f}" if value >= 100 else f"{value:.3g}"


def _machine() -> str:
    model = platform.processor() or platform.machine()
    for line in _lines_of("/proc/cpuinfo"):
        if line.startswith("model name"):
            model = line.partition(":")[2].strip()
            break
    load = f"{os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else "unknown"
    now = datetime.now(UTC).date().isoformat()
    return (
        f"{os.cpu_count()} processors ({model}), Python {platform.python_version()}, {sys.platform}; load at the end "
        f"{load}; {now}."
    )


def _lines_of(place: str) -> list[str]:
    file = Path(place)
    return file.read_text(encoding="utf-8").splitlines() if file.is_file() else []

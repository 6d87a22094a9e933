"""Whether a process keeps its limit, by what was measured."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from sqlalchemy import Connection

from tracelink.quality.cannot_tell import CannotTell
from tracelink.quality.capability import Capability, Tolerance, capability
from tracelink.quality.charts.control_chart import ChartKind
from tracelink.services.desks.charts.charted_values import charted_values
from tracelink.store.lab.chart_rows import charting_rules
from tracelink.store.records.sql_records import SqlRecords


@dataclass(frozen=True, slots=True)
class LabCapability:
    """Whether a process keeps its limit."""

    subject: str
    """The tool or press."""
    test: str
    """What was measured."""
    unit: str
    """Its unit."""
    limit: Tolerance
    """The limit that held for the last disc."""
    found: Capability | CannotTell
    """The capability, or why the data do not allow it."""
    head: tuple[int, str]
    """The last entry looked at, and its hash."""

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout capability --format json`."""
        told = not isinstance(self.found, CannotTell)
        return {
            "subject": self.subject,
            "test": self.test,
            "unit": self.unit,
            "limit": asdict(self.limit),
            "capability": asdict(self.found) if told else None,
            "cannot_tell": None if told else asdict(self.found),
            "head": {"seq": self.head[0], "hash": self.head[1]},
        }


def lab_capability(conn: Connection, subject: str, test: str) -> LabCapability:
    """Say whether the process of a tool or press keeps the limit of a test, or why the data cannot tell.

    Raises:
        UnknownCode, IdentifierError: the code is unknown or invalid.
        UsageError: there is no such test.
    """
    records = SqlRecords(conn)
    of = charted_values(conn, records, subject, test)
    least, how = records.setting("capability_values"), charting_rules(records)
    groups = [(disc.value,) for disc in of.discs]
    found = capability(ChartKind.INDIVIDUALS, groups, of.limit, least, how.tuning)
    return LabCapability(of.subject, test, of.unit, of.limit, found, of.head)

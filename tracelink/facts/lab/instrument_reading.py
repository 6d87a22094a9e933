"""How an instrument's files are read, and what was read from one."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from tracelink.ledger.closed_sets import LimitStanding


@dataclass(frozen=True, slots=True)
class ValueColumn:
    """A column that holds values of a test."""

    heading: str
    test: str
    unit: str | None
    """The unit of all values in it; None if a column says it row by row."""
    unit_heading: str | None
    """The column that says the unit."""


@dataclass(frozen=True, slots=True)
class InstrumentForm:
    """How the files of an instrument are to be read."""

    name: str
    decimal_sign: str
    """A point or a comma."""
    separator: str
    """Between the cells of a CSV."""
    sample_heading: str
    side_heading: str | None
    gauge: str | None
    gauge_heading: str | None
    columns: tuple[ValueColumn, ...]
    time_heading: str | None = None
    """The column with the time of each row; None if the files have none."""
    time_form: str | None = None
    """How times are written, such as DD.MM.YYYY hh:mm; None for RFC 3339 with offset."""

    @property
    def headings(self) -> tuple[str, ...]:
        """Every column that is read, each once."""
        named = [self.sample_heading, self.side_heading, self.gauge_heading, self.time_heading]
        for column in self.columns:
            named += [column.heading, column.unit_heading]
        return tuple(dict.fromkeys(each for each in named if each is not None))


@dataclass(frozen=True, slots=True)
class ReadValue:
    """A value that was booked from a file."""

    row: int
    """Row of the file, counted from 1 with its headings."""
    sample: str
    test: str
    side: str | None
    value: str
    unit: str
    standing: LimitStanding
    """Where it stands by the limit that held."""
    overdue: bool
    """True if the calibration of the gauge did not hold."""
    at: str
    """When it was measured, RFC 3339 with offset."""
    signal_on: tuple[str, ...] = ()
    """The tools and presses on whose charts it is a signal."""


@dataclass(frozen=True, slots=True)
class InstrumentFileResult:
    """What was booked from a file of an instrument."""

    file: str
    instrument: str
    values: tuple[ReadValue, ...]
    tried_out: bool
    """True if nothing was booked: it was a dry run."""

    def of(self, standing: LimitStanding) -> int:
        """Return how many values stand so."""
        return sum(each.standing is standing for each in self.values)

    @property
    def signals(self) -> int:
        """How many values are a signal on a chart."""
        return sum(bool(each.signal_on) for each in self.values)

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout read-results --format json`."""
        return {
            "file": self.file,
            "instrument": self.instrument,
            "tried_out": self.tried_out,
            "values": [asdict(each) for each in self.values],
        }

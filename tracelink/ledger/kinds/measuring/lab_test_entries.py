"""Entries of what the lab measures: its tests, their limits by date, and the gauges with their calibrations."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.origin import BY_QUALITY_OR_FILE, FROM_FILE, Origin

_ALWAYS = ExportRule(taken=Taken.ALWAYS, no_event=NoEvent.SAYS_WHAT_IS)


@dataclass(frozen=True, slots=True)
class LabTestNamed:
    """Something that the lab measures."""

    kind: ClassVar[str] = "lab-test-named"
    export: ClassVar[ExportRule] = _ALWAYS
    origin: ClassVar[Origin] = FROM_FILE
    test: str
    """What it is called, such as noise."""
    unit: str
    measured_on: str
    """side or disc."""
    method: str
    """How it is measured."""
    defect: str
    """What is proposed for a disc that is outside the limit."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        yield Insert(
            "lab_test",
            {
                "name": self.test,
                "unit": self.unit,
                "measured_on": self.measured_on,
                "method": self.method,
                "defect": self.defect,
                "seq": entry.seq,
            },
        )


@dataclass(frozen=True, slots=True)
class LimitSet:
    """A limit of a test holds from a day on; what was measured before stays under the limit that held then."""

    kind: ClassVar[str] = "limit-set"
    export: ClassVar[ExportRule] = ExportRule(
        on("gtin", Things.GTINS), taken=Taken.ALWAYS, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = BY_QUALITY_OR_FILE
    test: str
    gtin: str | None
    """The product it is for; None for every product that has no limit of its own."""
    lower: str | None
    """The least that is within, a decimal number; None if nothing is too low."""
    upper: str | None
    """The most that is within; None if nothing is too high."""
    since: str
    """The first local day on which it holds, YYYY-MM-DD."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row; the entry is the version of the limit."""
        yield Insert(
            "lab_limit",
            {
                "seq": entry.seq,
                "test": self.test,
                "gtin": self.gtin,
                "lower": self.lower,
                "upper": self.upper,
                "since": self.since,
            },
        )


@dataclass(frozen=True, slots=True)
class GaugeEntered:
    """An instrument of the lab, with its last calibration."""

    kind: ClassVar[str] = "gauge-entered"
    export: ClassVar[ExportRule] = _ALWAYS
    origin: ClassVar[Origin] = FROM_FILE
    gauge: str
    called: str
    tests: tuple[str, ...]
    """What it measures."""
    resolution: str
    """The step in which it reads, a decimal number."""
    calibrated: str
    """Local day, YYYY-MM-DD."""
    due: str
    """The last local day on which that calibration holds."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The gauge, a row per test, and its calibration."""
        row = {"code": self.gauge, "name": self.called, "resolution": self.resolution, "seq": entry.seq}
        yield Insert("gauge", row)
        for test in self.tests:
            yield Insert("gauge_test", {"gauge": self.gauge, "test": test})
        yield _calibration(entry, self.gauge, self.calibrated, self.due)


@dataclass(frozen=True, slots=True)
class GaugeCalibrated:
    """A gauge was calibrated again."""

    kind: ClassVar[str] = "gauge-calibrated"
    export: ClassVar[ExportRule] = _ALWAYS
    origin: ClassVar[Origin] = FROM_FILE
    gauge: str
    calibrated: str
    """Local day, YYYY-MM-DD."""
    due: str
    """The last local day on which it holds."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row."""
        yield _calibration(entry, self.gauge, self.calibrated, self.due)


def _calibration(entry: Entry, gauge: str, calibrated: str, due: str) -> Insert:
    row = {"seq": entry.seq, "gauge": gauge, "calibrated": calibrated, "due": due}
    return Insert("gauge_calibration", row)


@dataclass(frozen=True, slots=True)
class InstrumentColumn:
    """A column of an instrument's files that holds values of a test."""

    heading: str
    test: str
    unit: str | None
    """The unit of all values in it; None if a column says it row by row."""
    unit_heading: str | None
    """The column that says the unit; None if all are in one."""


@dataclass(frozen=True, slots=True)
class InstrumentDescribed:
    """How the files of an instrument are to be read: said once, never guessed."""

    kind: ClassVar[str] = "instrument-described"
    export: ClassVar[ExportRule] = _ALWAYS
    origin: ClassVar[Origin] = FROM_FILE
    instrument: str
    decimal: str
    """point or comma."""
    separator: str
    """Between the cells of a CSV."""
    sample_heading: str
    """The column with the sample tag."""
    side_heading: str | None
    """The column with the side; None if it measures whole discs only."""
    gauge: str | None
    """The gauge of all values; None if a column says it."""
    gauge_heading: str | None
    """The column with the gauge; None if it is one for all."""
    columns: tuple[InstrumentColumn, ...]
    time_heading: str | None
    """The column with the time of each row; None if its files have none."""
    time_form: str | None
    """How times are written, such as DD.MM.YYYY hh:mm; None for RFC 3339 with offset."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The instrument, and a row per column with values."""
        yield Insert(
            "instrument",
            {
                "name": self.instrument,
                "decimal_sign": self.decimal,
                "separator": self.separator,
                "sample_heading": self.sample_heading,
                "side_heading": self.side_heading,
                "gauge": self.gauge,
                "gauge_heading": self.gauge_heading,
                "seq": entry.seq,
                "time_heading": self.time_heading,
                "time_form": self.time_form,
            },
        )
        for line, column in enumerate(self.columns):
            row = {"instrument": self.instrument, "line": line, "heading": column.heading}
            more = {"test": column.test, "unit": column.unit, "unit_heading": column.unit_heading}
            yield Insert("instrument_column", {**row, **more})


@dataclass(frozen=True, slots=True)
class UntimedInstrumentDescribed:
    """The same by an older program, which took one time for all rows of a file."""

    kind: ClassVar[str] = InstrumentDescribed.kind
    export: ClassVar[ExportRule] = InstrumentDescribed.export
    origin: ClassVar[Origin] = InstrumentDescribed.origin
    instrument: str
    decimal: str
    separator: str
    sample_heading: str
    side_heading: str | None
    gauge: str | None
    gauge_heading: str | None
    columns: tuple[InstrumentColumn, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The instrument, and a row per column with values."""
        now = InstrumentDescribed(
            self.instrument,
            self.decimal,
            self.separator,
            self.sample_heading,
            self.side_heading,
            self.gauge,
            self.gauge_heading,
            self.columns,
            None,
            None,
        )
        yield from now.changes(entry)


KINDS: tuple[type[EntryBody], ...] = (
    LabTestNamed,
    LimitSet,
    GaugeEntered,
    GaugeCalibrated,
    InstrumentDescribed,
)
"""The kinds of this module, for the registry."""

EARLIER: tuple[type[EntryBody], ...] = (UntimedInstrumentDescribed,)
"""Forms of these kinds in older programs."""

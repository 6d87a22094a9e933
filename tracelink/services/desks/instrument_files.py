"""Values out of a file that an instrument wrote: all of it or nothing, every wrong cell by row and column.

The plant file says how the files of an instrument are read. What it does not say is not guessed: a value with another
decimal sign, unit, disc or gauge is named and refused, and with it the whole file.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from tracelink.clock import local_now
from tracelink.errors import IdentifierError, UsageError
from tracelink.facts.lab.instrument_reading import (
    InstrumentFileResult,
    InstrumentForm,
    ReadValue,
    ValueColumn,
)
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.closed_sets import LimitStanding
from tracelink.ledger.count_words import counted, either
from tracelink.ledger.decimal_sign import DecimalSign
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.measuring.result_entries import InstrumentFileRead, ResultRecorded
from tracelink.ledger.packs import RawScan
from tracelink.ledger.time_forms import strptime_form
from tracelink.services.badge_proof import Badge, require_pin, stamp_of
from tracelink.services.desks.instrument_times import row_time
from tracelink.services.table_files import TableForm, table_bytes, table_of
from tracelink.station.common.chart_signals import value_signals
from tracelink.station.common.outcome import Refused
from tracelink.station.common.station_facts import Sample
from tracelink.station.lab import lab_values
from tracelink.store.lab import instrument_forms
from tracelink.store.ledger import Ledger
from tracelink.store.office.office_acts import OfficeAct, authorised

if TYPE_CHECKING:
    from tracelink.store.stations.booking import Booking

Row = tuple[int, Mapping[str, str]]
_Asked = TypeVar("_Asked")
_MOST_FAULTS = 200


@dataclass(frozen=True, slots=True)
class InstrumentFile:
    """A file that an instrument wrote."""

    file: str | Path
    """A path ending in .csv or .xlsx."""
    instrument: str
    """As the plant file names it."""
    at: str | None = None
    """When it was measured, RFC 3339 with offset; None for now, and where the file says it row by row."""


def read_results(ledger: Ledger, given: InstrumentFile, by: Badge, *, dry_run: bool) -> InstrumentFileResult:
    """Book the values of a file, or say what would be booked.

    Args:
        ledger: open for writing.
        given: the file.
        by: who reads it in: somebody of the lab or of quality.
        dry_run: book nothing.

    Raises:
        UsageError: it cannot be read, was read before, or names every wrong cell; nothing of it was booked.
        RefusedByRule: the person may not.
    """
    with ledger.reading() as conn:
        form = instrument_forms.instrument_form(conn, given.instrument)
        known = either(instrument_forms.instruments(conn))
    if form is None:
        expected = known or "one that the plant file names in [[instrument]]; there is none"
        raise UsageError(f"instrument {given.instrument!r}: expected {expected}")
    if form.time_heading is not None and given.at is not None:
        raise UsageError(
            f"when it was measured stands in column {form.time_heading} of every row: expected no time beside it"
        )
    data = table_bytes(str(given.file), "results file")
    name, digest = Path(given.file).name, hashlib.sha256(data.data).hexdigest()
    headings = [each.lower() for each in form.headings]
    said = TableForm(form.separator, form.decimal_sign, form.time_form and strptime_form(form.time_form))
    rows = table_of(data, list, headings, said)
    if not dry_run:
        require_pin(ledger, by.code, by.pin)
    with ledger.dry_run() if dry_run else ledger.writing() as booking:
        authorised(booking.queries, by.code, OfficeAct.READ_RESULTS)
        values = _ValueReading(booking, form, stamp_of(by, given.at)).book(name, digest, rows)
    return InstrumentFileResult(name, form.name, values, dry_run)


class _ValueReading:
    """One file, booked value by value in one transaction."""

    def __init__(self, booking: Booking, form: InstrumentForm, stamp: Stamp) -> None:
        self._booking = booking
        self._form = form
        self._stamp = stamp
        self._tests = booking.queries.lab_tests()
        self._faults: list[str] = []
        self._now = local_now()
        self._file = 0

    def book(self, name: str, digest: str, rows: Sequence[Row]) -> tuple[ReadValue, ...]:
        """Book every value, or raise UsageError with all that is wrong."""
        before = instrument_forms.read_before(self._booking.connection, digest)
        if before is not None:
            raise UsageError(
                f"results file {name} was read already, as {before[1]} (entry {before[0]}): the same values do not count twice"
            )
        wanted = [
            (row, column) for row in rows for column in self._form.columns if row[1][column.heading.lower()]
        ]
        if not wanted:
            raise UsageError(f"results file {name} holds no value below its first row")
        body = InstrumentFileRead(digest, name, self._form.name, len(wanted))
        # Every row stays as it came, beside the entry that says which file it is of.
        raw = [RawScan(line, self._stamp.event_time, "\t".join(cells.values())) for line, cells in rows]
        self._booking.record(body, self._stamp, scans=raw)
        read = instrument_forms.read_before(self._booking.connection, digest)
        assert read is not None
        self._file = read[0]
        found = [self._value(line, cells, column) for (line, cells), column in wanted]
        self._refuse(name)
        return tuple(each for each in found if each is not None)

    def _refuse(self, name: str) -> None:
        if not self._faults:
            return
        shown = self._faults[:_MOST_FAULTS]
        if len(self._faults) > len(shown):
            shown.append(f"{counted(len(self._faults) - len(shown), 'more fault')} not told one by one")
        told = "\n".join(shown)
        raise UsageError(f"results file {name}: nothing was booked\n{told}")

    def _value(self, line: int, cells: Mapping[str, str], column: ValueColumn) -> ReadValue | None:
        queries, place = self._booking.queries, f"row {line}, column {column.heading}"
        at = self._told(place, lambda: row_time(self._form, cells, self._now) or self._stamp.event_time)
        queries.at = at or self._stamp.event_time
        tag = _cell(cells, self._form.sample_heading)
        sample = self._told(
            place, lambda: lab_values.sample_of(PlantCode.parse_one(CodeKind.SAMPLE, tag).text, queries)
        )
        sign = DecimalSign(self._form.decimal_sign)
        value = self._told(place, lambda: _decimal(_cell(cells, column.heading), sign))
        # Each of these is told for itself; what follows needs all of them.
        if at is None or sample is None or value is None:
            return None
        body = self._told(place, partial(self._result, sample, value, cells, column))
        signals = None if body is None else self._told(place, partial(value_signals, sample, body, queries))
        if body is None or signals is None:
            return None
        body = replace(body, file=self._file, row=line)
        stamp = replace(self._stamp, event_time=at)
        self._booking.record(body, stamp)
        for signal in signals:
            self._booking.record(signal, stamp)
        return ReadValue(
            line,
            body.sample,
            body.quantity,
            body.side,
            body.value,
            body.unit,
            LimitStanding(body.standing),
            body.overdue,
            at,
            tuple(dict.fromkeys(signal.subject for signal in signals)),
        )

    def _told(self, place: str, ask: Callable[[], _Asked]) -> _Asked | None:
        """Return what is asked for; None if it is wrong, which is told with its place."""
        try:
            return ask()
        except (Refused, UsageError, IdentifierError) as problem:
            told = problem.finding.sentence if isinstance(problem, Refused) else str(problem)
            self._faults.append(f"{place}: {told}")
            return None

    def _result(
        self, sample: Sample, value: str, cells: Mapping[str, str], column: ValueColumn
    ) -> ResultRecorded:
        queries, form = self._booking.queries, self._form
        day = (queries.at or self._stamp.event_time)[:10]
        test = lab_values.lab_test(column.test, self._tests)
        unit = column.unit if column.unit_heading is None else _cell(cells, column.unit_heading)
        lab_values.require_unit(test, unit or "")
        side = lab_values.side_for(test, _cell(cells, form.side_heading) if test.is_of_side else "")
        code = form.gauge or _gauge_code(_cell(cells, form.gauge_heading))
        gauge = lab_values.gauge_for(code, test, value, day, queries)
        lab_values.require_first(sample.code, test, side, queries)
        return lab_values.result(lab_values.LabValue(sample, test, value, side, gauge, day), queries)


def _cell(cells: Mapping[str, str], heading: str | None) -> str:
    return "" if heading is None else cells[heading.lower()]


def _gauge_code(text: str) -> str:
    return PlantCode.parse_one(CodeKind.GAUGE, text).text


def _decimal(text: str, sign: DecimalSign) -> str:
    found = sign.number(text)
    if found is None:
        raise UsageError(
            f"{text!r} is not a number with a decimal {sign.word}, as the plant file says of this instrument"
        )
    return found

"""What the lab draws and measures, and what quality holds and lifts."""

from __future__ import annotations

from collections.abc import Sequence

from runout._areas import Area
from runout._arguments import require_a, require_badge, require_file, require_text
from tracelink.facts.lab.due_readings import DueReadings
from tracelink.facts.lab.instrument_reading import InstrumentFileResult
from tracelink.facts.lab.lab_result_list import LabResults, LabTestFact
from tracelink.ledger.kinds.measuring.chart_entries import ChartBaselineFrozen
from tracelink.quality.sampling.sampling_asked import SamplingAsked
from tracelink.services.badge_proof import Badge
from tracelink.services.desks import (
    agreement_files,
    holding,
    instrument_files,
    lab_results,
    lab_samples,
    typing_values,
)
from tracelink.services.desks.agreement_files import GaugeAgreement, InspectorAgreement
from tracelink.services.desks.charts import chart_baselines, lab_capability, lab_charts
from tracelink.services.desks.charts.chart_baselines import BaselineAsked
from tracelink.services.desks.charts.charted_values import ChartAsked
from tracelink.services.desks.charts.lab_capability import LabCapability
from tracelink.services.desks.charts.lab_charts import LabChart
from tracelink.services.desks.instrument_files import InstrumentFile
from tracelink.services.desks.lab_samples import LotSamples
from tracelink.services.desks.typing_values import ResultBooked, TypedResult
from tracelink.services.place_holds import HoldResult


class Lab(Area):
    """Samples of lots, what was measured of them, and holds by hand; `ledger.lab`."""

    def samples(self, lot: str, asked: SamplingAsked | None = None) -> LotSamples:
        """Say which discs of a lot to draw and why, and what of it is done. Nothing is written.

        Args:
            lot: the lot, as code or raw scan.
            asked: the plan; None for the first and last discs of each stamper only.

        Raises:
            UnknownCode, IdentifierError: the code is unknown or invalid.
            UsageError: it is no lot, or there is no such plan.
        """
        require_text("lot", lot)
        how = SamplingAsked() if asked is None else asked
        require_a("asked", how, SamplingAsked)
        with self._ledger.reading() as conn:
            return lab_samples.lot_samples(conn, lot, how)

    def hold(self, thing: str, reason: str, by: Badge) -> HoldResult:
        """Put one thing on hold, as HOLD at a lab station does; what a cause touched is held by `ledger.hold`.

        Args:
            thing: whatever can be held, as code, SSCC, (01)GTIN(21)number or raw scan.
            reason: why.
            by: somebody with the role quality.

        Raises:
            RefusedByRule: the person may not, or it is nothing that can be held.
            IdentifierError: the code is invalid.
        """
        require_text("thing", thing)
        require_text("reason", reason)
        require_badge(by)
        return holding.hold_thing(self._ledger, thing, reason, by)

    def lift(self, hold: str, reason: str, by: Badge, second: Badge) -> str:
        """Lift a hold, as LIFT at a lab station does; returns what is said of it.

        Args:
            hold: its code, or that of a thing which only this open hold names.
            reason: why.
            by: somebody with the role quality.
            second: another such person, who agrees.

        Raises:
            RefusedByRule: there is no such open hold, several name the thing, or one of the two may not.
            IdentifierError: the code is invalid.
        """
        require_text("hold", hold)
        require_text("reason", reason)
        require_badge(by)
        require_badge(second, "second")
        return holding.lift_hold(self._ledger, hold, reason, by, second)

    def results(self, subject: str, test: str | None = None) -> LabResults:
        """Return what was measured of the discs that a thing pressed, in the order they were pressed.

        Args:
            subject: a tool, press, lot or sample, as code or raw scan. A mother, father or master stands for all
                stampers grown from it.
            test: only of this lab test; None for all.

        Raises:
            UnknownCode, IdentifierError: the code is unknown or invalid.
            UsageError: it presses nothing, or the plant has no such test.
        """
        require_text("subject", subject)
        if test is not None:
            require_text("test", test)
        with self._ledger.reading() as conn:
            return lab_results.lab_results(conn, subject, test)

    def read_results(
        self, given: InstrumentFile, by: Badge, *, dry_run: bool = False
    ) -> InstrumentFileResult:
        """Book the values of a file that an instrument wrote: all of it, or nothing.

        Args:
            given: the file, and how the plant file names its instrument.
            by: somebody of the lab or of quality.
            dry_run: say what would be booked, and book nothing.

        Raises:
            UsageError: the file cannot be read, was read before, or names every wrong cell by row and column.
            RefusedByRule: the person may not.
        """
        require_a("given", given, InstrumentFile)
        require_file("InstrumentFile.file", given.file)
        require_text("InstrumentFile.instrument", given.instrument)
        require_badge(by)
        return instrument_files.read_results(self._ledger, given, by, dry_run=dry_run)

    def type_result(self, given: TypedResult, by: Badge) -> ResultBooked:
        """Book a measured value that somebody types, as MEASURE at a lab station does.

        Args:
            given: the first value of a test of a disc; a second one needs a cause and is taken at the bench.
            by: somebody of the lab or of quality.

        Raises:
            UsageError: the value is no number with the decimal sign of the plant.
            IdentifierError: a code is invalid.
            RefusedByRule: the person may not, or the station would refuse the value.
        """
        require_a("given", given, TypedResult)
        for name in ("sample", "test", "value", "unit", "gauge"):
            require_text(f"TypedResult.{name}", getattr(given, name))
        require_badge(by)
        return typing_values.type_result(self._ledger, given, by)

    def compare_inspectors(self, people: Sequence[str] = ()) -> InspectorAgreement:
        """Say how far two inspectors agree, by what they said at the bench with COMPARE.

        Args:
            people: badges of the two; none if only two took part.

        Raises:
            IdentifierError: a badge is no plant code.
            UsageError: not two people compared discs.
        """
        for badge in people:
            require_text("people", badge)
        with self._ledger.reading() as conn:
            return agreement_files.inspectors_compared(conn, people)

    def study_gauge(self, gauge: str, test: str, tolerance: float | None = None) -> GaugeAgreement:
        """Say what a gauge and the people add to what is read, by what was read at the bench with STUDY.

        Args:
            gauge: its code.
            test: the lab test that was read with it.
            tolerance: width between the limits that it is to judge by; None if none is to be compared with.

        Raises:
            IdentifierError: the gauge is no plant code.
            UsageError: nobody read anything for it, or somebody did not read a disc as often as others.
        """
        require_text("gauge", gauge)
        require_text("test", test)
        with self._ledger.reading() as conn:
            return agreement_files.gauge_studied(conn, gauge, test, tolerance)

    def due(self, day: str | None = None) -> DueReadings:
        """Return the readings of slow tests that nobody took yet, by the day on which they are due.

        Args:
            day: on which it is asked, YYYY-MM-DD; None for today.

        Raises:
            UsageError: it is no day.
        """
        if day is not None:
            require_text("day", day)
        with self._ledger.reading() as conn:
            return lab_results.readings_due(conn, day)

    def tests(self) -> tuple[LabTestFact, ...]:
        """Return what the lab measures, by name; empty if the plant file names no lab tests."""
        with self._ledger.reading() as conn:
            return lab_results.lab_tests(conn)

    def chart(self, subject: str, asked: ChartAsked) -> LabChart:
        """Chart what was measured or judged of what a thing pressed, by its frozen baseline. Nothing is written.

        Args:
            subject: a tool, press or lot, as code or raw scan.
            asked: which chart.

        Raises:
            UnknownCode, IdentifierError: the code is unknown or invalid.
            UsageError: there is no such test or chart, or it cannot take these values.
        """
        require_text("subject", subject)
        require_a("asked", asked, ChartAsked)
        with self._ledger.reading() as conn:
            return lab_charts.lab_chart(conn, subject, asked)

    def capability(self, subject: str, test: str) -> LabCapability:
        """Say whether what a thing presses keeps the limit of a test, or why the data cannot tell.

        Raises:
            UnknownCode, IdentifierError: the code is unknown or invalid.
            UsageError: there is no such test.
        """
        require_text("subject", subject)
        require_text("test", test)
        with self._ledger.reading() as conn:
            return lab_capability.lab_capability(conn, subject, test)

    def baseline(self, subject: str, asked: BaselineAsked) -> ChartBaselineFrozen:
        """Work out the baseline of a chart as it would be frozen. Nothing is written.

        Raises:
            UnknownCode, IdentifierError: the code is unknown or invalid.
            UsageError: the data do not allow a baseline.
        """
        require_text("subject", subject)
        require_a("asked", asked, BaselineAsked)
        with self._ledger.reading() as conn:
            return chart_baselines.baseline_shown(conn, subject, asked)

    def freeze_baseline(
        self, subject: str, asked: BaselineAsked, reason: str, by: Badge, at: str | None = None
    ) -> ChartBaselineFrozen:
        """Freeze the baseline of a chart.

        Args:
            subject: a tool or press; the baseline holds for it and every tool grown from it.
            asked: which discs it is made of.
            reason: why these discs stand for the process.
            by: somebody with the role lab or quality.
            at: when it was frozen, RFC 3339 with offset; None for now.

        Raises:
            UnknownCode, IdentifierError: the code is unknown or invalid.
            UsageError: the data do not allow a baseline, or the reason is empty.
            RefusedByRule: the person may not.
        """
        require_text("subject", subject)
        require_text("reason", reason)
        require_a("asked", asked, BaselineAsked)
        require_badge(by)
        return chart_baselines.freeze_baseline(self._ledger, subject, asked, reason, by, at)

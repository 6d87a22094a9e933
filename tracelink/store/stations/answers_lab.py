"""What the lab measures, with which gauges and limits, and what it measured; a part of `SqlStationQueries`."""

from sqlalchemy import text

from tracelink.ledger.closed_sets import LimitStanding, MeasuredOn
from tracelink.station.common.queries_lab import (
    ChartWarning,
    Gauge,
    LabTest,
    LimitInForce,
    MeasuredBefore,
    MeasuredPoint,
)
from tracelink.store.stations.asking import Asking

_TESTS = text("SELECT name, unit, measured_on, method, defect FROM lab_test ORDER BY name")
_GAUGE = text("SELECT code, name, resolution FROM gauge WHERE code = :code")
_OF_GAUGE = text("SELECT test FROM gauge_test WHERE gauge = :code ORDER BY test")
_DUE = text("SELECT MAX(due) AS due FROM gauge_calibration WHERE gauge = :code AND calibrated <= :day")
_LIMIT = text(
    "SELECT seq, lower, upper, since FROM lab_limit WHERE test = :test AND (gtin = :gtin OR gtin IS NULL) "
    "AND since <= :day ORDER BY (gtin IS NULL), since DESC, seq DESC LIMIT 1"
)
_BEFORE = text(
    "SELECT r.seq, r.test, r.side, r.value, r.unit, r.standing, l.lower, l.upper FROM lab_result r "
    "LEFT JOIN lab_limit l ON l.seq = r.limit_seq WHERE r.sample = :sample AND r.replaced_by IS NULL ORDER BY r.seq"
)

_CHARTED = text("SELECT seq FROM chart_baseline WHERE test = :test LIMIT 1")


class LabAnswers(Asking):
    """Answers on what is measured, inside one transaction."""

    def lab_tests(self) -> list[LabTest]:
        """What the lab of this plant measures, by name."""
        return [
            LabTest(row.name, row.unit, MeasuredOn(row.measured_on), row.method, row.defect)
            for row in self._all(_TESTS)
        ]

    def gauge(self, code: str, day: str) -> Gauge | None:
        """A gauge of the lab as it is on a day."""
        row = self._first(_GAUGE, code=code)
        if row is None:
            return None
        due = self._first(_DUE, code=code, day=day)
        return Gauge(row.code, row.name, tuple(self._scalars(_OF_GAUGE, code=code)), row.resolution, due.due)

    def limit_of(self, test: str, gtin: str, day: str) -> LimitInForce | None:
        """The limit of a test for a product on a day: its own, else that of every product; None if none holds."""
        row = self._first(_LIMIT, test=test, gtin=gtin, day=day)
        return None if row is None else LimitInForce(row.seq, row.lower, row.upper, row.since)

    def measured_before(self, sample: str) -> list[MeasuredBefore]:
        """The values of a sample that stand, in the order they were measured."""
        return [
            MeasuredBefore(
                row.seq,
                row.test,
                row.side,
                row.value,
                row.unit,
                LimitStanding(row.standing),
                row.lower,
                row.upper,
            )
            for row in self._all(_BEFORE, sample=sample)
        ]

    def chart_warnings(self, point: MeasuredPoint) -> list[ChartWarning]:
        """The charts on which a value that is about to be booked is a signal."""
        if self._first(_CHARTED, test=point.test) is None:
            return []
        # Only where a plant froze a baseline: charts cost more to load than a scan.
        from tracelink.store.lab.chart_warnings import chart_warnings  # noqa: PLC0415

        return chart_warnings(self._conn, point)

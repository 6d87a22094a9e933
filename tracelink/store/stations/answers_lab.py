"""What the lab measures, with which gauges and limits, and what it measured; a part of `SqlStationQueries`."""

from collections.abc import Sequence

from sqlalchemy import text

from tracelink.ledger.closed_sets import LimitStanding, MeasuredOn
from tracelink.station.common.queries_lab import (
    ChartWarning,
    Gauge,
    LabTest,
    LimitInForce,
    MeasuredBefore,
    MeasuredPoint,
    SlowReading,
    TestedPoint,
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
    "SELECT r.seq, r.test, r.side, r.value, r.unit, r.standing, l.lower, l.upper, r.reading FROM lab_result r "
    "LEFT JOIN lab_limit l ON l.seq = r.limit_seq WHERE r.sample = :sample AND r.replaced_by IS NULL ORDER BY r.seq"
)

_CHARTED = text("SELECT seq FROM chart_baseline WHERE test = :test LIMIT 1")
_CHARTED_OF = text(
    "SELECT seq FROM chart_baseline WHERE subject IN (:part, :station) AND test LIKE 'fault%' LIMIT 1"
)
_SLOW_READINGS = text("SELECT label, days FROM slow_test_reading WHERE slow_test = :name ORDER BY line")
_SLOW_TESTS = text("SELECT name FROM slow_test ORDER BY name")
_BEGUN = text("SELECT 1 FROM slow_reading WHERE sample = :sample LIMIT 1")
_NEXT_READING = text(
    "SELECT line, slow_test, label, due, (SELECT COUNT(*) FROM slow_reading o WHERE o.sample = :sample "
    "AND o.taken_seq IS NULL) AS remaining FROM slow_reading WHERE sample = :sample AND taken_seq IS NULL ORDER BY line LIMIT 1"
)
_COMPARED = text("SELECT 1 FROM compared_verdict WHERE sample = :sample AND person = :person")
_PLANNED = text("SELECT planned FROM lot WHERE code = :lot")
_IS_MISSED = text("SELECT 1 FROM missed_disc WHERE lot = :lot AND stroke = :stroke")
_WAIVED = text("SELECT 1 FROM sample_waiver WHERE sample = :sample")
_UNJUDGED_OUTSIDE = text(
    "SELECT DISTINCT s.code FROM sample s JOIN lab_result r ON r.sample = s.code WHERE s.lot = :lot "
    "AND r.standing = 'outside' AND r.replaced_by IS NULL AND NOT EXISTS (SELECT 1 FROM judgement j "
    "WHERE j.sample = s.code AND j.corrected_by IS NULL) ORDER BY s.code"
)

# What may hold a disc: the stacks of its stroke, and on from there whatever anything of the lot was moved to. Matches that
# are not sealed yet are moves as well.
_MAY_HOLD = text(
    "WITH RECURSIVE step(source, target) AS (SELECT source, target FROM movement WHERE lot = :lot UNION "
    "SELECT spindle, carton FROM spool WHERE lot = :lot AND spindle IS NOT NULL AND carton IS NOT NULL), reach(place) AS ("
    "SELECT target FROM movement WHERE lot = :lot AND source = 'counter' "
    'AND "first" <= :last AND "last" >= :first UNION SELECT s.target FROM step s JOIN reach r ON s.source = r.place) '
    "SELECT place FROM reach WHERE place IN (SELECT code FROM spindle) OR place IN (SELECT sscc FROM carton) ORDER BY place"
)


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

    def limit_of(self, test: str, gtin: str | None, day: str) -> LimitInForce | None:
        """The limit of a test for a product on a day: its own, else that of every product; None if none holds."""
        row = self._first(_LIMIT, test=test, gtin=gtin, day=day)
        return None if row is None else LimitInForce(row.seq, row.lower, row.upper, row.since)

    def slow_test(self, name: str) -> list[tuple[str, int]] | None:
        """The readings of a slow test, each with the days after which it is due; None if the plant names no such test."""
        return [(row.label, row.days) for row in self._all(_SLOW_READINGS, name=name)] or None

    def slow_tests(self) -> list[str]:
        """The names of the plant's slow tests."""
        return self._scalars(_SLOW_TESTS)

    def in_slow_test(self, sample: str) -> bool:
        """Return whether a sample ever began a slow test."""
        return self._first(_BEGUN, sample=sample) is not None

    def next_reading(self, sample: str) -> SlowReading | None:
        """The next reading of a sample; None if it is in no slow test, or all are taken."""
        row = self._first(_NEXT_READING, sample=sample)
        return None if row is None else SlowReading(*row)

    def has_compared(self, sample: str, person: str) -> bool:
        """Return whether somebody said what a sample is, for a comparison of inspectors."""
        return self._first(_COMPARED, sample=sample, person=person) is not None

    def places_of_strokes(self, lot: str, first: int, last: int) -> list[str]:
        """The spindles and cartons, by code, that may hold a disc of these strokes: into which their discs, or discs from there, went."""
        return self._scalars(_MAY_HOLD, lot=lot, first=first, last=last)

    def wanted_samples(self, lot: str, after: int, most: int, ends: Sequence[int] = ()) -> list[int]:
        """The next strokes behind one that the plans kept for the product draw, with first and last discs of stampers among them.

        In order; none if no plan is kept.
        """
        # Only presses ask this; every command that reads loads this module.
        from tracelink.quality.sampling.sampling_asked import LotToDraw, drawn_by  # noqa: PLC0415
        from tracelink.store.lab.kept_plans import kept_plans, missing_strokes  # noqa: PLC0415

        plans, wanted = kept_plans(self._conn, lot), set[int]()
        for kept in plans:
            planned = int(self._scalars(_PLANNED, lot=lot)[0])
            plan, one_in = kept.asked.plan(planned), kept.asked.one_in
            if plan is not None:
                missing = missing_strokes(self._conn, lot)
                to_draw = LotToDraw(lot, planned, after, ended=False, missing=missing)
                wanted |= {stroke for stroke in drawn_by(plan, to_draw) if stroke > after}
            if one_in is not None:
                start = after // one_in + 1
                wanted |= {one_in * each for each in range(start, start + most)}
        if plans and ends:
            return sorted({*sorted(wanted)[:most], *(set(ends) - missing_strokes(self._conn, lot))})
        return sorted(wanted)[:most]

    def is_missed(self, lot: str, stroke: int) -> bool:
        """Return whether a disc was looked for and is not to be had."""
        return self._first(_IS_MISSED, lot=lot, stroke=stroke) is not None

    def is_waived(self, sample: str) -> bool:
        """Return whether two people let a bad sample not stand against its lot."""
        return self._first(_WAIVED, sample=sample) is not None

    def unjudged_outside(self, lot: str) -> list[str]:
        """The samples of a lot with a value outside its limit that nobody judged."""
        return self._scalars(_UNJUDGED_OUTSIDE, lot=lot)

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
                row.reading,
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

    def fault_warnings(self, point: TestedPoint) -> list[ChartWarning]:
        """The charts of faults on which a test that is about to be booked is a signal."""
        if self._first(_CHARTED_OF, part=point.part, station=point.station) is None:
            return []
        from tracelink.store.assembly.fault_warnings import fault_warnings  # noqa: PLC0415  as above

        return fault_warnings(self._conn, point)

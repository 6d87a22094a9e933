"""The charts of faults on which a test that is about to be booked is a signal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import Connection

from tracelink.genealogy.charting.charted_discs import DISCS_IN_A_GROUP, SINGLE, ChartedDisc
from tracelink.genealogy.charting.process_chart import FrozenBaseline
from tracelink.ledger.chart_words import fault_in, is_fault
from tracelink.station.common.queries_lab import ChartWarning, MeasuredPoint, TestedPoint
from tracelink.store.assembly.tested_pieces import first_tests, how_many_tested, made_of, was_tested
from tracelink.store.lab.chart_rows import baselines_of
from tracelink.store.lab.chart_warnings import warning_of
from tracelink.store.records.sql_records import SqlRecords

_MOST = 400
"""Pieces that are looked back on at a test station."""


@dataclass(frozen=True, slots=True)
class _Charted:
    """A chart that the test comes onto."""

    subject: str
    test: str
    frozen: FrozenBaseline


def fault_warnings(conn: Connection, point: TestedPoint) -> list[ChartWarning]:
    """Return a warning for each chart of faults with a frozen baseline on which a test is a signal.

    Args:
        conn: a connection in the transaction of the test, which is not booked yet.
        point: the test.
    """
    records = SqlRecords(conn)
    found = [_warning(conn, records, point, each) for each in _charts(conn, records, point)]
    return [one for one in found if one is not None]


def _charts(conn: Connection, records: SqlRecords, point: TestedPoint) -> Iterator[_Charted]:
    for subject in (point.part, point.station):
        frozen = baselines_of(records, conn, subject).items()
        charts = [_Charted(subject, test, one) for (test, _kind), one in frozen if is_fault(test)]
        # What comes back from rework was repaired: it says nothing about how it was built.
        if charts and not was_tested(conn, subject, point.piece):
            yield from charts


def _warning(
    conn: Connection, records: SqlRecords, point: TestedPoint, chart: _Charted
) -> ChartWarning | None:
    bad = point.failed and fault_in(chart.test, point.symptom, point.position)
    kind = chart.frozen.baseline.kind
    size = 1 if kind in SINGLE else chart.frozen.group or DISCS_IN_A_GROUP
    total = how_many_tested(conn, chart.subject)
    # Points stay the same pieces however far is looked back.
    earlier = max(0, total - _MOST) // size * size
    pieces = first_tests(conn, chart.subject, chart.test, earlier)
    made_with = made_of(conn, point.piece, point.station, records.head()[0] + 1)
    pieces.append(ChartedDisc(point.piece, point.build, point.number, total + 1, float(bad), bad, made_with))
    measured = MeasuredPoint(
        point.piece, point.build, point.number, chart.test, None, str(int(bad)), "", outside=bad
    )
    return warning_of(records, chart.subject, chart.frozen, pieces, measured)

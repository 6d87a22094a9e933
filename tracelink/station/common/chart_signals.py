"""The charts on which a value, a judgement or a test is a signal: told where it is booked, and an entry of each."""

from collections.abc import Sequence

from tracelink.ledger.chart_words import JUDGED
from tracelink.ledger.closed_sets import LimitStanding
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.measuring.chart_entries import ChartSignalled
from tracelink.ledger.kinds.measuring.result_entries import ResultRecorded
from tracelink.station.common.forms import ActResult
from tracelink.station.common.outcome import Act
from tracelink.station.common.queries import StationQueries
from tracelink.station.common.queries_lab import ChartWarning, MeasuredPoint, TestedPoint
from tracelink.station.common.station_facts import Sample
from tracelink.station.sentences.bench import measuring_sentences as say


def judgement_signals(sample: Sample, queries: StationQueries, *, good: bool) -> list[ChartSignalled]:
    """Return the entries of the charts of judged discs on which a judgement is a signal; it is about to be booked."""
    value = "0" if good else "1"
    return _signals(
        MeasuredPoint(sample.code, sample.lot, sample.stroke, JUDGED, None, value, "", not good), "", queries
    )


def value_signals(sample: Sample, body: ResultRecorded, queries: StationQueries) -> list[ChartSignalled]:
    """Return the entries of the charts on which a value is a signal; it is about to be booked.

    A value of a slow test is on no chart: it tells what playing, heat or storage did to the disc, not how it was pressed.
    """
    if body.reading is not None:
        return []
    point = MeasuredPoint(
        body.sample,
        sample.lot,
        sample.stroke,
        body.quantity,
        body.side,
        body.value,
        body.gauge,
        body.standing == LimitStanding.OUTSIDE,
    )
    return _signals(point, body.unit, queries)


def fault_signals(point: TestedPoint, queries: StationQueries) -> list[ChartSignalled]:
    """Return the entries of the charts of faults on which a test is a signal; it is about to be booked."""
    return _entries(point.piece, queries.fault_warnings(point), "")


def _signals(point: MeasuredPoint, unit: str, queries: StationQueries) -> list[ChartSignalled]:
    return _entries(point.sample, queries.chart_warnings(point), unit)


def _entries(sample: str, warnings: Sequence[ChartWarning], unit: str) -> list[ChartSignalled]:
    return [
        ChartSignalled(
            sample=sample,
            test=each.test,
            subject=each.subject,
            chart=each.chart,
            baseline=each.baseline,
            rules=each.rules,
            value=each.value,
            unit=unit,
            lower=each.lower,
            centre=each.centre,
            upper=each.upper,
            begins_after=each.begins_after,
            begins_by=each.begins_by,
            stage=each.stage,
            stage_code=each.stage_code,
        )
        for each in warnings
    ]


def with_signals(
    acts: Sequence[Act], told: str, signals: Sequence[ChartSignalled], finding: FindingCode | None = None
) -> ActResult:
    """Return the result of an act at the bench with its signals behind it.

    Args:
        acts: what is booked.
        told: what is said of it.
        signals: the charts on which it is one.
        finding: of the act itself; it comes first, because there a disc is to be judged.
    """
    found = finding or (FindingCode.CHART_SIGNAL if signals else None)
    return ActResult(
        (*acts, *map(Act, signals)), " ".join([told, *map(say.chart_signal, signals)]), finding=found
    )

"""The charts on which a value that is about to be booked is a signal."""

from __future__ import annotations

from sqlalchemy import Connection, text

from tracelink.genealogy.charting.charted_discs import ChartedDisc, chart_of, points_of
from tracelink.genealogy.charting.process_chart import ChangeOnset, FrozenBaseline, onset_of
from tracelink.genealogy.model.facts import SegmentFact
from tracelink.quality.cannot_tell import CannotTell
from tracelink.quality.charts.control_chart import Panel
from tracelink.station.common.queries_lab import ChartWarning, MeasuredPoint
from tracelink.store.lab.chart_rows import baselines_of, charting_rules
from tracelink.store.records.sql_records import SqlRecords

_MOST = 400
"""Discs of a tool or press that are looked back on at a station: a press never stops having more."""

_CHARTED = text(
    "SELECT g.seq, g.press, g.stamper_a, g.stamper_b, g.life_a, g.life_b, g.first, g.compound, s.lot, s.stroke, s.code, "
    "r.side, r.value, r.gauge, r.standing FROM run_segment g JOIN sample s ON s.lot = g.lot AND s.stroke >= g.first "
    "AND s.stroke <= g.last JOIN lab_result r ON r.sample = s.code WHERE (g.press = :subject OR g.stamper_a = :subject "
    "OR g.stamper_b = :subject) AND r.test = :test AND r.replaced_by IS NULL "
    "AND NOT (s.code = :sample AND COALESCE(r.side, '') = :side) "
    "ORDER BY g.seq DESC, s.stroke DESC, r.seq DESC LIMIT :most"
)


def chart_warnings(conn: Connection, point: MeasuredPoint) -> list[ChartWarning]:
    """Return a warning for each chart with a frozen baseline on which a value is a signal.

    Args:
        conn: a connection in the transaction of the value, which is not booked yet.
        point: the value.
    """
    if point.stroke is None:
        return []
    records = SqlRecords(conn)
    stroke = point.stroke
    segment = next((one for one in records.segments_of(point.lot) if one.first <= stroke <= one.last), None)
    if segment is None:
        return []
    stampers = {"A": (segment.stamper_a,), "B": (segment.stamper_b,)}.get(
        point.side or "", (segment.stamper_a, segment.stamper_b)
    )
    found = []
    for subject in dict.fromkeys((*stampers, segment.press)):
        frozen = [
            one for (test, _kind), one in baselines_of(records, conn, subject).items() if test == point.test
        ]
        if frozen:
            discs = _discs(conn, subject, segment, point, stroke)
            found += [_warning(records, subject, one, discs, point) for one in frozen]
    return [one for one in found if one is not None]


def _discs(
    conn: Connection, subject: str, segment: SegmentFact, point: MeasuredPoint, stroke: int
) -> list[ChartedDisc]:
    """The discs of a tool or press in the order in which they were made, with the new one among them."""
    asked = {
        "subject": subject,
        "test": point.test,
        "sample": point.sample,
        "side": point.side or "",
        "most": _MOST,
    }
    ordered: list[tuple[tuple[int, int], ChartedDisc]] = []
    for row in reversed(conn.execute(_CHARTED, asked).all()):
        own = {row.stamper_a: "A", row.stamper_b: "B"}.get(subject)
        if own is not None and row.side is not None and row.side != own:
            # The other side of the disc was pressed by another stamper.
            continue
        life = {row.stamper_a: row.life_a, row.stamper_b: row.life_b}.get(subject)
        place = len(ordered) + 1 if life is None else life + row.stroke - row.first + 1
        made_with = _made_with(row)
        disc = ChartedDisc(
            row.code, row.lot, row.stroke, place, float(row.value), row.standing == "outside", made_with
        )
        ordered.append(((row.seq, row.stroke), disc))
    life = {segment.stamper_a: segment.life_a, segment.stamper_b: segment.life_b}.get(subject)
    place = len(ordered) + 1 if life is None else life + stroke - segment.first + 1
    made_with = _made_with(segment) | {"gauge": point.gauge}
    new = ChartedDisc(point.sample, point.lot, stroke, place, float(point.value), point.outside, made_with)
    ordered.append(((segment.seq, stroke), new))
    return [disc for _order, disc in sorted(ordered, key=lambda one: one[0])]


def _made_with(row: object) -> dict[str, str]:
    names = ("gauge", "press", "stamper_a", "stamper_b", "compound", "lot")
    return {name: getattr(row, name) for name in names if hasattr(row, name)}


def _warning(
    records: SqlRecords,
    subject: str,
    frozen: FrozenBaseline,
    discs: list[ChartedDisc],
    point: MeasuredPoint,
) -> ChartWarning | None:
    kind = frozen.baseline.kind
    points, _left_over = points_of(kind, discs, frozen.baseline.size or len(discs))
    number = next(
        (
            number
            for number, behind in enumerate(points, 1)
            if any(disc.sample == point.sample for disc in behind)
        ),
        None,
    )
    if number is None:
        return None
    # What came after it in the life of the tool was judged before; here only what led up to this disc counts.
    led = points[:number]
    for panel in chart_of(frozen.baseline, led, charting_rules(records)).warning_panels:
        rules = tuple(signal.rule.value for signal in panel.signals if signal.point == number)
        if rules:
            # Searched only now: it takes long, and other stations wait for the end of this transaction.
            return _of(panel, rules, onset_of(led), subject, frozen, point, number)
    return None


def _of(  # noqa: PLR0913, PLR0917 - a warning is these things
    panel: Panel,
    rules: tuple[str, ...],
    change: ChangeOnset | CannotTell,
    subject: str,
    frozen: FrozenBaseline,
    point: MeasuredPoint,
    number: int,
) -> ChartWarning:
    lines, value = panel.limits[number - 1], panel.values[number - 1]
    assert value is not None, "a point that signals has a value"
    onset = change if isinstance(change, ChangeOnset) else None
    stage = onset.stages[0] if onset is not None and onset.stages else None
    return ChartWarning(
        test=point.test,
        subject=subject,
        chart=frozen.baseline.kind.value,
        baseline=frozen.entry,
        rules=rules,
        value=f"{value:.5g}",
        lower=None if lines.lower is None else f"{lines.lower:.5g}",
        centre=f"{lines.centre:.5g}",
        upper=f"{lines.upper:.5g}",
        begins_after=None if onset is None else onset.after.place,
        begins_by=None if onset is None else onset.by.place,
        stage=None if stage is None else stage.kind,
        stage_code=None if stage is None else stage.code,
    )

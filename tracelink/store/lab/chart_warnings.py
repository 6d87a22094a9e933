"""The charts on which a value that is about to be booked is a signal."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sqlalchemy import BindParameter, Connection, text

from tracelink.genealogy.charting.charted_discs import (
    DISCS_IN_A_GROUP,
    SINGLE,
    ChartedDisc,
    chart_of,
    in_order,
    points_of,
)
from tracelink.genealogy.charting.process_chart import ChangeOnset, FrozenBaseline, onset_of
from tracelink.genealogy.charting.stroke_life import lives_at
from tracelink.genealogy.model.facts import SegmentFact
from tracelink.ledger.chart_words import JUDGED
from tracelink.quality.cannot_tell import CannotTell
from tracelink.quality.charts.control_chart import Panel
from tracelink.station.common.queries_lab import ChartWarning, MeasuredPoint
from tracelink.store.database.in_lists import text_list
from tracelink.store.lab.chart_rows import baselines_of, charting_rules, stampers_of
from tracelink.store.records.sql_records import SqlRecords

_MOST = 400
"""Discs of a tool or press that are looked back on at a station: a press never stops having more."""

_OF_SUBJECT = (
    "FROM run_segment g JOIN sample s ON s.lot = g.lot AND s.stroke >= g.first AND s.stroke <= g.last "
    "{found} WHERE (g.press = :press OR g.stamper_a IN :stampers OR g.stamper_b IN :stampers) AND {counts} "
)
_STAMPERS: BindParameter[tuple[str, ...]] = text_list("stampers")
_SEGMENT = "g.seq, g.press, g.stamper_a, g.stamper_b, g.life_a, g.life_b, g.first, g.compound, s.lot, s.stroke, s.code"
_MEASURED = _OF_SUBJECT.format(
    found="JOIN lab_result r ON r.sample = s.code",
    counts="r.test = :test AND r.replaced_by IS NULL AND r.reading IS NULL AND NOT (s.code = :sample AND COALESCE(r.side, '') = :side)",
)
_CHARTED = text(
    f"SELECT {_SEGMENT}, r.side, r.value, r.gauge, r.standing = 'outside' AS outside {_MEASURED}"
    "ORDER BY g.seq DESC, s.stroke DESC, r.seq DESC LIMIT :most"
).bindparams(_STAMPERS)
_HOW_MANY = text(f"SELECT COUNT(*) {_MEASURED}").bindparams(_STAMPERS)
# A disc judged more than once is bad if it was bad for anything.
_JUDGED_DISCS = _OF_SUBJECT.format(
    found="JOIN (SELECT sample, MIN(good) AS good FROM judgement WHERE corrected_by IS NULL GROUP BY sample) j ON j.sample = s.code",
    counts="s.code <> :sample",
)
_JUDGED = text(
    f"SELECT {_SEGMENT}, NULL AS side, 1 - j.good AS value, j.good = 0 AS outside {_JUDGED_DISCS}"
    "ORDER BY g.seq DESC, s.stroke DESC LIMIT :most"
).bindparams(_STAMPERS)
_HOW_MANY_JUDGED = text(f"SELECT COUNT(*) {_JUDGED_DISCS}").bindparams(_STAMPERS)


@dataclass(frozen=True, slots=True)
class ChartSubject:
    """A tool or press of which there are charts."""

    code: str
    stampers: tuple[str, ...]
    """Itself, or all stampers that were grown from it; none for a press."""


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
    for subject, frozen in _charts(records, conn, (*stampers, segment.press), point.test).items():
        discs = discs_with(conn, subject, segment, point, stroke)
        found += [warning_of(records, subject.code, one, discs, point) for one in frozen]
    return [one for one in found if one is not None]


def _charts(
    records: SqlRecords, conn: Connection, codes: Sequence[str], test: str
) -> dict[ChartSubject, list[FrozenBaseline]]:
    """The baselines of a test by what they judge: each stamper and the press, and the families for which one was frozen."""
    found: dict[ChartSubject, list[FrozenBaseline]] = {}
    for code in dict.fromkeys(codes):
        frozen = [one for (of, _kind), one in baselines_of(records, conn, code).items() if of == test]
        if not frozen:
            continue
        found[ChartSubject(code, () if records.tool(code) is None else (code,))] = frozen
        for family in dict.fromkeys(one.subject for one in frozen if one.subject != code):
            stampers = stampers_of(records, family)
            # Of a family of one stamper the chart is that of the stamper.
            if len(stampers) > 1:
                found[ChartSubject(family, stampers)] = [one for one in frozen if one.subject == family]
    return found


def discs_with(
    conn: Connection, subject: ChartSubject, segment: SegmentFact, point: MeasuredPoint, stroke: int
) -> list[ChartedDisc]:
    """The discs of a tool, family or press in the order in which they were made, with the new one among them."""
    asked: dict[str, str | int | tuple[str, ...]] = {
        "press": subject.code,
        "stampers": subject.stampers,
        "sample": point.sample,
        "most": _MOST,
    }
    if point.test == JUDGED:
        rows, how_many = conn.execute(_JUDGED, asked).all(), _HOW_MANY_JUDGED
    else:
        asked |= {"test": point.test, "side": point.side or ""}
        rows, how_many = conn.execute(_CHARTED, asked).all(), _HOW_MANY
    earlier = 0
    if len(rows) == _MOST:
        del asked["most"]
        earlier = int(conn.execute(how_many, asked).scalar_one()) - _MOST
    made: list[tuple[tuple[int, int], ChartedDisc]] = []
    for row in reversed(rows):
        made_by = {"A": row.stamper_a, "B": row.stamper_b}.get(row.side or "")
        if subject.stampers and made_by is not None and made_by not in subject.stampers:
            # The other side of the disc was pressed by another stamper.
            continue
        life = lives_at(row, row.stroke).get(subject.code, 0)
        disc = ChartedDisc(
            row.code, row.lot, row.stroke, life, float(row.value), bool(row.outside), _made_with(row)
        )
        made.append(((row.seq, row.stroke), disc))
    life = lives_at(segment, stroke).get(subject.code, 0)
    made_with = _made_with(segment) | ({"gauge": point.gauge} if point.gauge else {})
    new = ChartedDisc(point.sample, point.lot, stroke, life, float(point.value), point.outside, made_with)
    made.append(((segment.seq, stroke), new))
    discs = [disc for _order, disc in sorted(made, key=lambda one: one[0])]
    return in_order(discs, earlier)


def _made_with(row: object) -> dict[str, str]:
    names = ("gauge", "press", "stamper_a", "stamper_b", "compound", "lot")
    return {name: getattr(row, name) for name in names if hasattr(row, name)}


def warning_of(
    records: SqlRecords,
    subject: str,
    frozen: FrozenBaseline,
    discs: list[ChartedDisc],
    point: MeasuredPoint,
) -> ChartWarning | None:
    """Return the warning of a chart on which a value is a signal; None if it is none there.

    Args:
        records: the records.
        subject: of which the chart is.
        frozen: its baseline.
        discs: in the order of the chart, with that of the value among them.
        point: the value.
    """
    kind = frozen.baseline.kind
    size = 1 if kind in SINGLE else frozen.group or DISCS_IN_A_GROUP
    points, _left_over = points_of(kind, discs, size)
    number = next(
        (
            number
            for number, behind in enumerate(points, 1)
            if any(disc.sample == point.sample for disc in behind)
        ),
        None,
    )
    # A share of fewer discs than a point stands for is waited for: of one bad disc alone it is always beyond its limit.
    if number is None or len(points[number - 1]) < size:
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

"""Frozen baselines of charts, and the discs that are charted, from the tables."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from sqlalchemy import Connection, text

from tracelink.facts.lab.lab_result_list import LabResult
from tracelink.genealogy.charting.charted_discs import ChartedDisc, ChartingRules, in_order
from tracelink.genealogy.charting.process_chart import FrozenBaseline
from tracelink.genealogy.model.facts import STAMPER
from tracelink.ledger.closed_sets import LimitStanding
from tracelink.quality.charts.control_chart import ChartBaseline, ChartKind, ChartTuning
from tracelink.quality.charts.run_rules import RuleSet
from tracelink.store.records.sql_records import SqlRecords

_BASELINES = text(
    "SELECT seq, subject, test, chart, centre, sigma, group_size, points FROM chart_baseline "
    "WHERE subject = :subject ORDER BY seq"
)


def baselines_of(
    records: SqlRecords, conn: Connection, subject: str
) -> dict[tuple[str, ChartKind], FrozenBaseline]:
    """Return the baselines that hold for a thing, by test and chart: its own, else that of what it was grown from."""
    found: dict[tuple[str, ChartKind], FrozenBaseline] = {}
    for code in _lineage(records, subject):
        own = {}
        for row in conn.execute(_BASELINES, {"subject": code}):
            kind = ChartKind(row.chart)
            # On these charts points may stand for other numbers of discs than the baseline's.
            size = 0 if kind in {ChartKind.P, ChartKind.U} else row.group_size
            baseline = ChartBaseline(kind, float(row.centre), float(row.sigma), size, row.points)
            own[row.test, kind] = FrozenBaseline(row.seq, code, baseline, row.group_size)
        found = {**own, **found}
    return found


def _lineage(records: SqlRecords, subject: str) -> Iterable[str]:
    """A thing, then the tool that it was grown from, and so on."""
    yield subject
    tool = records.tool(subject)
    while tool is not None and tool.parent is not None:
        yield tool.parent
        tool = records.tool(tool.parent)


def stampers_of(records: SqlRecords, code: str) -> tuple[str, ...]:
    """Return every stamper grown from a tool, or the tool itself if it is one."""
    tool = records.tool(code)
    if tool is None:
        return ()
    found: list[str] = []
    waiting = [tool]
    while waiting:
        one = waiting.pop()
        if one.kind == STAMPER:
            found.append(one.code)
        waiting += records.children_of(one.code)
    return tuple(found)


def charting_rules(records: SqlRecords) -> ChartingRules:
    """Return how this plant judges the points of charts."""
    rules = RuleSet.NELSON if records.setting("chart_rules") == 2 else RuleSet.WESTERN_ELECTRIC
    hundredths = ("ewma_weight_percent", "ewma_limit_percent", "cusum_slack_percent", "cusum_limit_percent")
    weight, width, slack, decision = (records.setting(name) / 100 for name in hundredths)
    return ChartingRules(
        rules, ChartTuning(weight, width, slack, decision), records.setting("chart_baseline_points")
    )


def life_of(result: LabResult, stamper: str) -> int | None:
    """Return which stroke of a stamper's life a disc was; None if that stamper did not press it."""
    return {result.stamper_a: result.life_a, result.stamper_b: result.life_b}.get(stamper)


def charted(results: Sequence[LabResult], subject: str, compounds: dict[int, str]) -> list[ChartedDisc]:
    """Return measured discs in the order in which they were made, those that count.

    Args:
        results: in the order in which their discs were pressed.
        subject: the tool or press of which they are charted.
        compounds: compound lot by run segment.
    """
    found: list[ChartedDisc] = []
    for result in results:
        if result.replaced_by is not None or result.reading is not None:
            # What a disc is after hours of playing tells nothing of the process that pressed it.
            continue
        life = life_of(result, subject)
        made_with = {
            "gauge": result.gauge,
            "press": result.press,
            "stamper_a": result.stamper_a,
            "stamper_b": result.stamper_b,
            "lot": result.lot,
        }
        compound = compounds.get(result.segment)
        if compound is not None:
            made_with["compound"] = compound
        found.append(
            ChartedDisc(
                sample=result.sample,
                lot=result.lot,
                stroke=result.stroke,
                place=life or 0,
                value=float(result.value),
                outside=result.standing is LimitStanding.OUTSIDE,
                made_with=made_with,
                judged=result.good is not None,
            )
        )
    return in_order(found)

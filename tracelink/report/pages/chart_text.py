"""Control charts as rows and as sentences: what warns, where it begins, what changed with it."""

from __future__ import annotations

from collections.abc import Iterable

from tracelink.genealogy.charting.process_chart import ChangeOnset, ProcessChart
from tracelink.genealogy.charting.stage_before import StageEvidence
from tracelink.ledger.chart_words import lines_words, rule_words
from tracelink.ledger.count_words import counted, grouped
from tracelink.ledger.limit_words import limit_words
from tracelink.quality.cannot_tell import CannotTell
from tracelink.quality.capability import Capability, Tolerance
from tracelink.quality.charts.control_chart import ChartKind
from tracelink.quality.charts.exact_limits import discs_for_runs, exact_limits, too_few
from tracelink.quality.estimate import Estimate
from tracelink.quality.level_change import ChangeShape
from tracelink.report.format.table import Cell, Column, Kind
from tracelink.report.pages.agreement_text import interval
from tracelink.report.pages.doubt_text import doubt_sentence, measure

COLUMNS = (
    Column("point", "point", Kind.NUMBER),
    Column("sample", "sample"),
    Column("lot", "lot"),
    Column("stroke", "stroke", Kind.NUMBER),
    Column("place", "place in life", Kind.NUMBER),
    Column("discs", "discs", Kind.COUNT),
    Column("value", "value", Kind.MEASURE),
    Column("lower", "lower limit", Kind.MEASURE),
    Column("centre", "centre", Kind.MEASURE),
    Column("upper", "upper limit", Kind.MEASURE),
    Column("signal", "signal", Kind.TEXT),
)
SCREEN = tuple(column for column in COLUMNS if column.key in {"point", "sample", "place", "value", "signal"})
"""What a person needs; centre and limits are told below the table."""
CAPABILITY_COLUMNS = (
    Column("index", "index"),
    Column("value", "value", Kind.MEASURE),
    Column("low", "from", Kind.MEASURE),
    Column("high", "to", Kind.MEASURE),
)
_MOST_ROWS = 12
"""Points on a screen; csv and json have all."""
STAGE_WORDS = {
    "gauge": "measuring: gauge",
    "compound": "material: compound",
    "press": "pressing: press",
    "stamper_a": "tool change: stamper A",
    "stamper_b": "tool change: stamper B",
    "lot": "set-up: lot",
}
"""How the stages before a signal are told."""


def rows(found: ProcessChart) -> list[dict[str, Cell]]:
    """Return one row per point of the first panel, keys of `COLUMNS`."""
    panel = None if found.chart is None else found.chart.panels[0]
    told = _signals(found)
    table: list[dict[str, Cell]] = []
    for number, point in enumerate(found.points, 1):
        disc = point[-1]
        row: dict[str, Cell] = {
            "point": number,
            "sample": disc.sample,
            "lot": disc.lot,
            "stroke": disc.stroke,
        }
        row |= {"place": disc.place, "discs": len(point), "signal": told.get(number)}
        if panel is None:
            row |= {"value": _short(sum(one.value for one in point) / len(point))}
            row |= {"lower": None, "centre": None, "upper": None}
        else:
            lines = panel.limits[number - 1]
            row |= {"value": _short(panel.values[number - 1]), "lower": _short(lines.lower)}
            row |= {"centre": _short(lines.centre), "upper": _short(lines.upper)}
        table.append({column.key: row[column.key] for column in COLUMNS})
    return table


def on_screen(table: list[dict[str, Cell]]) -> tuple[list[dict[str, Cell]], int]:
    """Return the rows for a screen, signals and the newest ones, and how many are left out."""
    newest = {id(row) for row in table[-_MOST_ROWS:]}
    kept = [row for row in table if row["signal"] or id(row) in newest][-2 * _MOST_ROWS :]
    return kept, len(table) - len(kept)


def sentences(
    found: ProcessChart, subject: str, limit: Tolerance, unit: str, *, by_stroke: bool
) -> list[str]:
    """Say what a chart shows.

    Args:
        found: the chart.
        subject: of which it is.
        limit: the limit that held for the last disc.
        unit: of the values.
        by_stroke: True if places are strokes of a tool's life.
    """
    if not found.points:
        return [
            f"Cannot tell: nothing was measured or judged of what {subject} pressed, so there is no chart."
        ]
    said = [_basis(found, subject)]
    if found.frozen is not None:
        said += few_sentences(found.kind, found.frozen.baseline.centre, found.size)
    if found.left_over:
        said.append(f"{counted(found.left_over, 'disc')} at the end are too few for another point.")
    if found.chart is not None:
        said.append(_warns(found, _place(by_stroke=by_stroke)))
    said += _onset_sentences(found.onset, subject, by_stroke=by_stroke)
    bad = [disc for point in found.points for disc in point if disc.outside]
    if bad:
        what = f"outside the limit ({_limit(limit, unit)})" if unit else "judged bad"
        said.append(
            f"{counted(len(bad), 'disc')} {what}, the first at {_place(by_stroke=by_stroke)} {bad[0].place}."
        )
    if found.signalled:
        said.append(
            "A signal says that the process is probably not what it was; a person decides what follows."
        )
    return said


def stage_sentence(stages: Iterable[StageEvidence], subject: str) -> str:
    """Say which stage to look at, with the evidence."""
    told = [
        f"{STAGE_WORDS.get(one.kind, one.kind)} {one.code}, with {one.after} of {one.all_after} discs after the change and "
        f"{one.before} of {one.all_before} before it"
        for one in stages
    ]
    if told:
        return f"Look first at what changed with it: {'; '.join(told)}."
    return f"Nothing recorded changed with it, so look at {subject} itself: wear, damage, or how it was made."


def capability_sentences(found: Capability | CannotTell, limit: Tolerance, unit: str) -> list[str]:
    """Say whether a process keeps its limit, or why nobody can tell."""
    if isinstance(found, CannotTell):
        return [doubt_sentence(found, "values")]
    said = [
        f"{grouped(found.values)} values, mean {measure(found.mean)} {unit}; limit {_limit(limit, unit)}.",
        f"Standard deviation within: {measure(found.sigma)}; of all values: {measure(found.deviation)}.",
    ]
    said += [f"{name} {interval(estimate, 2)}." for name, estimate in _indices(found) if estimate is not None]
    if found.cpk.low <= 1 <= found.cpk.high:
        said.append("The interval holds 1: these values cannot tell whether the process keeps its limit.")
    return said


def capability_rows(found: Capability | CannotTell) -> list[dict[str, Cell]]:
    """Return one row per index, keys of `CAPABILITY_COLUMNS`; none if the data cannot tell."""
    if isinstance(found, CannotTell):
        return []
    return [
        {"index": name, "value": _short(one.value), "low": _short(one.low), "high": _short(one.high)}
        for name, one in _indices(found)
        if one is not None
    ]


def _indices(found: Capability) -> tuple[tuple[str, Estimate | None], ...]:
    return ("Cp", found.cp), ("Cpk", found.cpk), ("Pp", found.pp), ("Ppk", found.ppk)


def _basis(found: ProcessChart, subject: str) -> str:
    many = counted(len(found.points), "point")
    if found.frozen is None:
        return (
            f"{many}; no baseline is frozen for {subject} or what it was grown from, so there are no limits and nothing warns. "
            "runout baseline freezes one."
        )
    baseline = found.frozen.baseline
    lines = ""
    if found.chart is not None and found.chart.panels[0].limits:
        # Limits that differ from point to point are in the picture and in csv.
        last = found.chart.panels[0].limits[-1]
        lower = None if last.lower is None else measure(last.lower)
        lines = f"; {lines_words(lower, measure(last.centre), measure(last.upper))} at the last"
    return (
        f"{many}, judged by the baseline of entry {found.frozen.entry} ({found.frozen.subject}, {grouped(baseline.points)} "
        f"points){lines}."
    )


def few_sentences(kind: ChartKind, centre: float, discs: int) -> list[str]:
    """Say that too few are counted at a point for run rules, and what would be enough; empty if enough are.

    Args:
        kind: any chart.
        centre: of its baseline.
        discs: for each point.
    """
    if not kind.counts or not too_few(kind, centre, discs):
        return []
    upper, judged = int(exact_limits(kind, centre, discs).upper), kind in {ChartKind.P, ChartKind.NP}
    thing = "bad disc" if judged else "defect"
    warns = f"a point warns from {upper + 1} on" if upper < discs or not judged else "no such point warns"
    more = "a u chart with points" if kind is ChartKind.C else "points"
    expected = f"{measure(centre * discs)} {thing}s are expected at a point of {counted(discs, 'disc')}"
    enough = counted(discs_for_runs(kind, centre), "disc")
    return [
        f"{expected}: too few to judge runs of points by; {warns}.",
        f"For runs take {more} of {enough} or more (--size).",
    ]


def _warns(found: ProcessChart, place: str) -> str:
    signalled = found.signalled
    if not signalled:
        return "No point is a signal."
    first = found.points[signalled[0] - 1][-1]
    return (
        f"{counted(len(signalled), 'point')} signal, the first sample {first.sample} at {place} {first.place}: "
        f"{_signals(found)[signalled[0]]}."
    )


def _onset_sentences(onset: ChangeOnset | CannotTell | None, subject: str, *, by_stroke: bool) -> list[str]:
    if onset is None:
        return []
    if isinstance(onset, CannotTell):
        return [f"Where it begins: {doubt_sentence(onset, 'points').lower()}"]
    shape = "A drift" if onset.shape is ChangeShape.DRIFT else "A step"
    place = _place(by_stroke=by_stroke)
    begins = f"{shape} that begins between {place} {onset.after.place} and {onset.by.place} (95 %)"
    levels = f"from {measure(onset.before)} on average to {measure(onset.since)}"
    return [f"{begins}: {levels}.", stage_sentence(onset.stages, subject)]


def _signals(found: ProcessChart) -> dict[int, str]:
    """The rules by point, of the panels that warn."""
    told: dict[int, list[str]] = {}
    for panel in found.chart.warning_panels if found.chart is not None else ():
        for signal in panel.signals:
            told.setdefault(signal.point, []).append(signal.rule.value)
    return {point: rule_words(rules) for point, rules in told.items()}


def _place(*, by_stroke: bool) -> str:
    return "stroke" if by_stroke else "disc"


def _limit(limit: Tolerance, unit: str) -> str:
    bounds = [None if bound is None else measure(bound) for bound in (limit.lower, limit.upper)]
    return limit_words(bounds[0], bounds[1], unit)


def _short(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.6g}")

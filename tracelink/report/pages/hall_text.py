"""The log of faults and the pace of a line, as rows and as sentences."""

from __future__ import annotations

from tracelink.facts.hall.fault_log import FaultCount, FaultLog, FaultRise
from tracelink.facts.hall.line_pace import LinePace, StationPace
from tracelink.ledger.count_words import counted
from tracelink.report.format.table import Cell, Column, Kind
from tracelink.report.pages.common_cause_text import by_chance
from tracelink.report.pictures.pace_svg import pace_svg
from tracelink.report.pictures.pareto_svg import pareto_svg

FAULT_COLUMNS = (
    Column("entry", "entry", Kind.ENTRY),
    Column("at", "at", Kind.TIME),
    Column("piece", "piece"),
    Column("part", "part"),
    Column("station", "station"),
    Column("programme", "programme", Kind.TEXT),
    Column("symptom", "symptom", Kind.TEXT),
    Column("position", "position"),
    Column("repaired", "repaired", Kind.YES_NO),
)
"""The log of faults."""
COUNT_COLUMNS = (
    Column("what", "what", Kind.TEXT),
    Column("faults", "faults", Kind.COUNT),
    Column("share", "share", Kind.SHARE),
    Column("running", "with those above", Kind.SHARE),
    Column("pieces", "pieces", Kind.COUNT),
    Column("open", "not repaired", Kind.COUNT),
)
"""What is most frequent."""
PACE_COLUMNS = (
    Column("work", "work"),
    Column("station", "station"),
    Column("name", "name", Kind.TEXT),
    Column("pieces", "pieces", Kind.COUNT),
    Column("seconds_each", "seconds each", Kind.MEASURE),
    Column("per_hour", "an hour", Kind.MEASURE),
    Column("slowest", "slowest", Kind.YES_NO),
)
"""The stations of a line."""


def count_rows(found: FaultLog) -> list[dict[str, Cell]]:
    """Return one row for each kind of fault, keys of `COUNT_COLUMNS`."""
    return [{column.key: getattr(one, column.key) for column in COUNT_COLUMNS} for one in found.counts]


def fault_rows(found: FaultLog) -> list[dict[str, Cell]]:
    """Return one row for each failed test, keys of `FAULT_COLUMNS`."""
    return [{column.key: getattr(one, column.key) for column in FAULT_COLUMNS} for one in found.faults]


def fault_sentences(found: FaultLog) -> list[str]:
    """Say how many tests failed, and which fault rose where."""
    said = [f"{counted(len(found.faults), 'fault')} in {counted(found.tested, 'test')}."]
    said += [_rose(one, one.rise) for one in found.counts if one.rise is not None]
    if len(said) > 1:
        said.append("A rise says where to look first; a person decides what follows.")
    return said


def _rose(one: FaultCount, rise: FaultRise) -> str:
    look = (
        f"Look first at what changed with it: {'; '.join(rise.look_at)}."
        if rise.look_at
        else "Nothing recorded changed with it: look at the station before the test."
    )
    return (
        f"{one.what}: {rise.faults_since} of {counted(rise.tested_since, 'piece')} since {rise.first}, "
        f"{rise.faults_before} of {rise.tested_before} up to {rise.after}; by chance: {by_chance(rise.chance)}. {look}"
    )


def pace_rows(found: LinePace) -> list[dict[str, Cell]]:
    """Return one row for each station, keys of `PACE_COLUMNS`."""
    slowest = found.slowest
    return [
        {
            "work": one.work,
            "station": one.station,
            "name": one.name,
            "pieces": one.pieces,
            "seconds_each": _short(one.seconds_each),
            "per_hour": _short(one.per_hour),
            "slowest": one is slowest,
        }
        for one in found.stations
    ]


def _short(value: float | None) -> float | None:
    return None if value is None else float(f"{value:.4g}")


def pace_sentences(found: LinePace) -> list[str]:
    """Name the slowest station, with the evidence."""
    slowest = found.slowest
    if slowest is None:
        return ["Cannot tell: no station did two pieces one after the other without a break between."]
    return [_slowest(found, slowest)]


def _slowest(found: LinePace, slowest: StationPace) -> str:
    alike = sum(each.work == slowest.work for each in found.stations)
    one_of = f" Of {alike} stations of this work it is one." if alike > 1 else ""
    return (
        f"The slowest is {slowest.work} at {slowest.name}, {slowest.station}: {slowest.per_hour:.1f} pieces an hour, by the times of "
        f"{counted(slowest.timed, 'piece')}.{one_of} Times over {found.break_minutes} minutes between two entries count as breaks."
    )


def fault_picture(found: FaultLog, most: int | None = None) -> str:
    """Draw how often each kind of fault was found, the most frequent first; there is one at least.

    Args:
        found: the log.
        most: kinds that are drawn at most; None for all.
    """
    drawn = found.counts[:most]
    more = "" if len(drawn) == len(found.counts) else f", the {len(drawn)} most frequent"
    return pareto_svg(f"Faults by {found.by.value}{more}", [(one.what, one.faults) for one in drawn])


def pace_picture(found: LinePace) -> str:
    """Draw the pieces an hour along the line, the slowest station in full."""
    slowest = found.slowest
    bars = [(one.work, one.name, one.per_hour, one is slowest) for one in found.stations]
    return pace_svg("Pieces an hour along the line", bars)

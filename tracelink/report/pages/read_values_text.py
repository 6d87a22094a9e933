"""Values that were read from a file, as rows and as text."""

from __future__ import annotations

from tracelink.facts.lab.instrument_reading import InstrumentFileResult
from tracelink.ledger.closed_sets import LimitStanding
from tracelink.ledger.count_words import counted
from tracelink.report.format.table import Cell, Column, Kind

COLUMNS = (
    Column("row", "row", Kind.NUMBER),
    Column("sample", "sample"),
    Column("test", "test"),
    Column("side", "side"),
    Column("value", "value", Kind.MEASURE),
    Column("unit", "unit"),
    Column("standing", "by its limit", Kind.TEXT),
    Column("overdue", "gauge overdue", Kind.YES_NO),
    Column("signal_on", "signal on the chart of"),
)


def rows(answer: InstrumentFileResult) -> list[dict[str, Cell]]:
    """Return one row per value, keys of `COLUMNS`."""
    return [
        {
            "row": each.row,
            "sample": each.sample,
            "test": each.test,
            "side": each.side,
            "value": float(each.value),
            "unit": each.unit,
            "standing": each.standing.value,
            "overdue": each.overdue,
            "signal_on": ", ".join(each.signal_on) or None,
        }
        for each in answer.values
    ]


def sentences(answer: InstrumentFileResult) -> list[str]:
    """Say what was booked, and what of it wants a person."""
    begin = "would be booked" if answer.tried_out else "booked"
    said = [f"{counted(len(answer.values), 'value')} of {answer.file} {begin}."]
    outside = answer.of(LimitStanding.OUTSIDE)
    if outside:
        said.append(f"{outside} outside the limit: a person judges those discs.")
    without = answer.of(LimitStanding.NO_LIMIT)
    if without:
        said.append(f"{without} under no limit: they say neither good nor bad.")
    overdue = sum(each.overdue for each in answer.values)
    if overdue:
        said.append(f"{overdue} from a gauge whose calibration is overdue: they count and are marked.")
    if answer.signals:
        charts = {(subject, each.test): None for each in answer.values for subject in each.signal_on}
        asked = "; ".join(f"runout chart {subject} --test {test}" for subject, test in charts)
        said.append(f"{answer.signals} a signal on a chart. See {asked}.")
    return said

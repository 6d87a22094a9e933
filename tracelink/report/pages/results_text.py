"""Measured values as rows and as text."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict

from tracelink.facts.lab.lab_result_list import LabResult, LabResults
from tracelink.ledger.closed_sets import LimitStanding
from tracelink.ledger.count_words import counted
from tracelink.ledger.limit_words import limit_words
from tracelink.report.format.table import Cell, Column, Kind

COLUMNS = (
    Column("test", "test"),
    Column("lot", "lot"),
    Column("stroke", "stroke", Kind.NUMBER),
    Column("side", "side"),
    Column("value", "value", Kind.MEASURE),
    Column("unit", "unit"),
    Column("standing", "by its limit", Kind.TEXT),
    Column("limit", "limit", Kind.TEXT),
    Column("gauge", "gauge"),
    Column("overdue", "gauge overdue", Kind.YES_NO),
    Column("sample", "sample"),
    Column("good", "judged good", Kind.YES_NO),
    Column("defect", "defect", Kind.TEXT),
    Column("stamper_a", "stamper A"),
    Column("life_a", "stroke of A", Kind.NUMBER),
    Column("stamper_b", "stamper B"),
    Column("life_b", "stroke of B", Kind.NUMBER),
    Column("press", "press"),
    Column("replaced_by", "replaced by entry", Kind.NUMBER),
    Column("at", "measured", Kind.TIME),
    Column("entry", "entry", Kind.ENTRY),
    Column("reading", "reading of a slow test", Kind.TEXT),
)
_ON_SCREEN = ("test", "lot", "stroke", "side", "value", "unit", "standing", "gauge", "sample")
SCREEN = tuple(column for column in COLUMNS if column.key in _ON_SCREEN)
"""What a person needs at the bench; the rest is in csv and json."""


def rows(results: Iterable[LabResult]) -> list[dict[str, Cell]]:
    """Return one row per value, keys of `COLUMNS`."""
    keys = [column.key for column in COLUMNS]
    found = []
    for result in results:
        row = asdict(result) | {"limit": limit_words(result.lower, result.upper, result.unit)}
        row |= {"standing": result.standing.value, "value": float(result.value)}
        found.append({key: row[key] for key in keys})
    return found


def on_screen(results: Iterable[LabResult]) -> list[dict[str, Cell]]:
    """Return the same with what a person must know of a value beside its limit: that it does not count, or is of a slow test."""
    listed = list(results)
    table = rows(listed)
    for row, result in zip(table, listed, strict=True):
        notes = ["replaced" if result.replaced_by is not None else None, result.reading]
        row["standing"] = ", ".join([result.standing.value, *(note for note in notes if note)])
    return table


def sentences(answer: LabResults) -> list[str]:
    """Say how many values there are, and which of them want a person."""
    results = answer.results
    said = [
        f"{counted(len(results), 'value')} of {answer.subject}: {answer.outside} outside the limit that held."
    ]
    replaced = sum(result.replaced_by is not None for result in results)
    if replaced:
        said.append(f"{counted(replaced, 'value')} replaced by a later one (RETEST): kept, and not counted.")
    without = sum(result.standing is LimitStanding.NO_LIMIT for result in results)
    if without:
        said.append(f"{counted(without, 'value')} under no limit: they say neither good nor bad.")
    overdue = sum(result.overdue for result in results)
    if overdue:
        said.append(f"{counted(overdue, 'value')} from a gauge whose calibration was overdue.")
    if answer.unplaced:
        said.append(
            f"{counted(answer.unplaced, 'value')} of discs of unknown stroke left out: pressed by what, nobody knows."
        )
    return said

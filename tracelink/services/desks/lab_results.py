"""Measured values of a tool, a press, a lot or a sample, in the order in which the discs were pressed."""

from __future__ import annotations

from datetime import date

from sqlalchemy import Connection

from tracelink.clock import local_now
from tracelink.errors import UnknownCode, UsageError
from tracelink.facts.lab.due_readings import DueReadings
from tracelink.facts.lab.lab_result_list import LabResults, LabTestFact
from tracelink.genealogy.model.facts import SegmentFact
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.count_words import either
from tracelink.services.codes import resolve_thing
from tracelink.store.lab import result_rows
from tracelink.store.lab.chart_rows import stampers_of
from tracelink.store.lab.reading_rows import due_readings
from tracelink.store.records.sql_records import SqlRecords


def lab_results(conn: Connection, given: str, test: str | None = None) -> LabResults:
    """Return what was measured of the discs that a thing pressed.

    Args:
        conn: a connection inside a transaction.
        given: a tool, press, lot or sample, as code or raw scan. A tool that presses nothing itself stands for all
            stampers grown from it.
        test: only of this lab test; None for all.

    Raises:
        UnknownCode, IdentifierError: the code is unknown or invalid.
        UsageError: it presses nothing, or the plant has no such test.
    """
    records = SqlRecords(conn)
    code = resolve_thing(records, given)
    tests = _wanted(result_rows.lab_tests(conn), test)
    stampers = _stampers(records, code) if _kind(code) is CodeKind.TOOL else []
    segments = {(each.seq, each.lot, each.first): each for each in _segments(records, code, stampers)}
    ordered = [segments[key] for key in sorted(segments)]
    found = [each for segment in ordered for each in result_rows.results_of(conn, segment)]
    if _kind(code) is CodeKind.SAMPLE:
        found = [each for each in found if each.sample == code]
    if stampers:
        # The other side of the disc was pressed by another stamper.
        found = [each for each in found if each.stamper is None or each.stamper in stampers]
    names = {each.name for each in tests}
    results = tuple(each for each in found if each.test in names)
    measured = {each.test for each in results}
    return LabResults(
        code,
        tuple(each for each in tests if each.name in measured),
        results,
        result_rows.unplaced(conn, sorted({each.lot for each in ordered})),
        records.head(),
    )


def lab_tests(conn: Connection) -> tuple[LabTestFact, ...]:
    """Return what the lab measures, by name."""
    return result_rows.lab_tests(conn)


def _wanted(tests: tuple[LabTestFact, ...], name: str | None) -> tuple[LabTestFact, ...]:
    found = tuple(each for each in tests if name in (None, each.name))
    if name is not None and not found:
        known = either([each.name for each in tests]) or "none: the plant file names them in [[lab_test]]"
        raise UsageError(f"lab test {name!r}: expected {known}")
    return found


def _kind(code: str) -> CodeKind | None:
    return None if code.isdigit() else PlantCode.parse(code).kind


def _segments(records: SqlRecords, code: str, stampers: list[str]) -> list[SegmentFact]:
    kind = _kind(code)
    if kind is CodeKind.TOOL:
        return [each for stamper in stampers for each in records.segments_with(stamper)]
    if kind is CodeKind.STATION and records.station_area(code) == "press":
        return list(records.segments_with(code))
    if kind is CodeKind.LOT:
        return _of_lot(records, code)
    if kind is CodeKind.SAMPLE:
        drawn = next(iter(records.movements_into(code)), None)
        if drawn is None:
            raise UnknownCode(f"sample {code} is not in the records")
        return _of_lot(records, drawn.lot)
    raise UsageError(
        f"{code} is no tool, press, lot or sample: expected one, as values belong to what pressed the disc"
    )


def _of_lot(records: SqlRecords, lot: str) -> list[SegmentFact]:
    if records.lot(lot) is None:
        raise UnknownCode(f"lot {lot} is not in the records: is it of this plant?")
    return list(records.segments_of(lot))


def _stampers(records: SqlRecords, code: str) -> list[str]:
    if records.tool(code) is None:
        raise UnknownCode(f"tool {code} is not in the records: is it of this plant?")
    return list(stampers_of(records, code))


def readings_due(conn: Connection, day: str | None = None) -> DueReadings:
    """Return the readings of slow tests that nobody took yet.

    Args:
        conn: a connection inside a transaction.
        day: on which it is asked, YYYY-MM-DD; None for today.

    Raises:
        UsageError: it is no day.
    """
    on = local_now()[:10] if day is None else day
    try:
        date.fromisoformat(on)
    except ValueError:
        raise UsageError(f"day {on!r}: expected YYYY-MM-DD") from None
    return DueReadings(on, tuple(due_readings(conn, on)))

"""What was measured or judged of the discs of a tool or press, in the order in which they were made."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.genealogy.charting.charted_discs import ChartedDisc, in_order
from tracelink.ledger.chart_words import JUDGED, is_fault
from tracelink.quality.capability import Tolerance
from tracelink.quality.charts.control_chart import ChartKind
from tracelink.services.codes import resolve_thing
from tracelink.services.desks.lab_results import lab_results
from tracelink.store.assembly.tested_pieces import first_tests, is_part_kind
from tracelink.store.lab.chart_rows import charted, life_of
from tracelink.store.records.judged_discs import judged_discs
from tracelink.store.records.sql_records import SqlRecords


@dataclass(frozen=True, slots=True)
class ChartAsked:
    """Which chart."""

    test: str
    """A lab test; "judged" for good and bad discs; "fault", or "fault C12", for tests of built pieces."""
    kind: str = "individuals"
    """individuals, xbar-r, xbar-s, ewma or cusum for values; c or u for defects; p or np for judged discs."""
    size: int | None = None
    """Discs for each point, where a point is more than one; None for as many as the baseline has, and 5 without one."""

    def chart_kind(self) -> ChartKind:
        """Return the kind.

        Raises:
            UsageError: there is no such chart, or it does not fit the test.
        """
        try:
            kind = ChartKind(self.kind)
        except ValueError:
            known = ", ".join(each.value for each in ChartKind)
            raise UsageError(f"chart {self.kind!r}: expected one of {known}") from None
        if is_fault(self.test):
            if not kind.counts:
                raise UsageError(
                    f"a chart of {kind.value} of {self.test}: expected p, np, c or u, which count"
                )
            return kind
        judged = kind in {ChartKind.P, ChartKind.NP}
        if judged is not (self.test == JUDGED):
            raise UsageError(
                f"a chart of {kind.value} of {self.test}: p and np chart discs that were judged (--test {JUDGED}), the others a lab test"
            )
        return kind


@dataclass(frozen=True, slots=True)
class ChartedValues:
    """The discs of a thing in order, and what belongs to them."""

    subject: str
    """The tool, press or lot."""
    discs: tuple[ChartedDisc, ...]
    """Its discs, in the order in which they were made."""
    by_stroke: bool
    """True if their places are strokes of its life."""
    unit: str
    """Unit of the values."""
    limit: Tolerance
    """The limit that held for the last disc."""
    unplaced: int
    """Values of discs whose stroke nobody knows; left out."""
    head: tuple[int, str]
    """The last entry looked at, and its hash."""


def charted_values(conn: Connection, records: SqlRecords, subject: str, test: str) -> ChartedValues:
    """Return the discs of a thing with what was measured or judged of them.

    Raises:
        UnknownCode, IdentifierError: the code is unknown or invalid.
        UsageError: it presses nothing, or the plant has no such test.
    """
    if is_fault(test):
        return _tested(conn, records, subject, test)
    if test == JUDGED:
        return _judged(conn, records, subject)
    results = lab_results(conn, subject, test)
    compounds = {
        segment.seq: segment.compound
        for lot in dict.fromkeys(result.lot for result in results.results)
        for segment in records.segments_of(lot)
    }
    discs = tuple(charted(results.results, results.subject, compounds))
    last = next((result for result in reversed(results.results) if result.replaced_by is None), None)
    limit = Tolerance(None, None) if last is None else Tolerance(_number(last.lower), _number(last.upper))
    by_stroke = last is not None and life_of(last, results.subject) is not None
    unit = "" if last is None else last.unit
    return ChartedValues(results.subject, discs, by_stroke, unit, limit, results.unplaced, results.head)


def _number(text: str | None) -> float | None:
    return None if text is None else float(text)


def _tested(conn: Connection, records: SqlRecords, subject: str, test: str) -> ChartedValues:
    code = subject.strip()
    if not is_part_kind(conn, code):
        code = resolve_thing(records, subject)
        if records.station_area(code) is None:
            raise UsageError(f"{code}: expected a part number or a station, whose tests found faults")
    pieces = tuple(first_tests(conn, code, test))
    limit = Tolerance(None, None)
    return ChartedValues(code, pieces, by_stroke=False, unit="", limit=limit, unplaced=0, head=records.head())


def _judged(conn: Connection, records: SqlRecords, subject: str) -> ChartedValues:
    code = resolve_thing(records, subject)
    found = judged_discs(conn, None)
    discs: list[ChartedDisc] = []
    by_stroke = False
    made = [(piece, factor) for piece in found.pieces for factor in piece.places if factor[1] == code]
    for piece, factor in sorted(made, key=lambda one: one[0].places[one[1]]):
        by_stroke = factor[0] == "stamper"
        place = piece.places[factor][0] if by_stroke else 0
        made_with = {kind: name for kind, name in piece.places if kind in {"press", "compound", "lot"}}
        value = float(piece.bad)
        discs.append(ChartedDisc(piece.sample, piece.lot, piece.stroke, place, value, piece.bad, made_with))
    limit = Tolerance(None, None)
    return ChartedValues(code, tuple(in_order(discs)), by_stroke, "", limit, found.unmade, records.head())

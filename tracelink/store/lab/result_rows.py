"""Measured values by the run segments in which their discs were pressed."""

from collections.abc import Iterable

from sqlalchemy import Connection, text

from tracelink.facts.lab.lab_result_list import LabResult, LabTestFact
from tracelink.genealogy.charting.stroke_life import lives_at
from tracelink.genealogy.model.facts import SegmentFact
from tracelink.ledger.closed_sets import LimitStanding, MeasuredOn

_RESULTS = text(
    "SELECT r.seq, r.sample, s.stroke, r.test, r.side, r.value, r.unit, r.gauge, r.overdue, r.limit_seq, l.lower, "
    "l.upper, r.standing, r.replaced_by, r.at, r.reading, (SELECT MIN(j.good) FROM judgement j WHERE j.sample = s.code "
    "AND j.corrected_by IS NULL) AS good, (SELECT MIN(j.defect) FROM judgement j WHERE j.sample = s.code "
    "AND j.corrected_by IS NULL) AS defect FROM sample s JOIN lab_result r ON r.sample = s.code "
    "LEFT JOIN lab_limit l ON l.seq = r.limit_seq "
    "WHERE s.lot = :lot AND s.stroke >= :first AND s.stroke <= :last ORDER BY s.stroke, r.at, r.seq"
)
_UNPLACED = text(
    "SELECT COUNT(*) FROM sample s JOIN lab_result r ON r.sample = s.code WHERE s.lot = :lot AND s.stroke IS NULL"
)
_TESTS = text("SELECT name, unit, measured_on, method, defect FROM lab_test ORDER BY name")


def results_of(conn: Connection, segment: SegmentFact) -> list[LabResult]:
    """Return the values of the discs of a run segment, by stroke, each disc's in the order they were measured."""
    asked = {"lot": segment.lot, "first": segment.first, "last": segment.last}
    found = []
    for row in conn.execute(_RESULTS, asked):
        lives = lives_at(segment, row.stroke)
        result = LabResult(
            entry=row.seq,
            sample=row.sample,
            lot=segment.lot,
            stroke=row.stroke,
            press=segment.press,
            segment=segment.seq,
            stamper_a=segment.stamper_a,
            stamper_b=segment.stamper_b,
            life_a=lives[segment.stamper_a],
            life_b=lives[segment.stamper_b],
            test=row.test,
            side=row.side,
            value=row.value,
            unit=row.unit,
            gauge=row.gauge,
            overdue=bool(row.overdue),
            limit_entry=row.limit_seq,
            lower=row.lower,
            upper=row.upper,
            standing=LimitStanding(row.standing),
            replaced_by=row.replaced_by,
            at=row.at,
            good=None if row.good is None else bool(row.good),
            defect=row.defect,
            reading=row.reading,
        )
        found.append(result)
    return found


def unplaced(conn: Connection, lots: Iterable[str]) -> int:
    """Return how many values there are of discs of some lots whose stroke nobody knows."""
    return sum(int(conn.execute(_UNPLACED, {"lot": lot}).scalar_one()) for lot in lots)


def lab_tests(conn: Connection) -> tuple[LabTestFact, ...]:
    """Return what the lab of the plant measures, by name."""
    return tuple(
        LabTestFact(row.name, row.unit, MeasuredOn(row.measured_on), row.method, row.defect)
        for row in conn.execute(_TESTS)
    )

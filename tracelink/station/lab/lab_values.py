"""What a measured value must be before it is booked, whether it was typed at the bench or stands in a file.

A value is never converted and never guessed: its test, unit, side and gauge are said, and the gauge must be able to have
shown it. The limit is the one that holds on the day of the measurement, for the product of the disc.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.closed_sets import LimitStanding
from tracelink.ledger.kinds.measuring.result_entries import LimitUsed, ResultRecorded
from tracelink.ledger.measured_values import is_readable, standing_of
from tracelink.station.common.queries import StationQueries
from tracelink.station.common.queries_lab import Gauge, LabTest, MeasuredBefore
from tracelink.station.common.station_facts import Sample
from tracelink.station.sentences.bench import measuring_sentences as say
from tracelink.station.sentences.bench.drawn_piece_sentences import not_drawn
from tracelink.station.sentences.common_sentences import unknown
from tracelink.station.sentences.thing_names import Thing

SIDES = ("A", "B")


@dataclass(frozen=True, slots=True)
class LabValue:
    """A value with all that it is tied to."""

    sample: Sample
    test: LabTest
    value: str
    """A decimal number with a point."""
    side: str | None
    gauge: Gauge
    day: str
    """Local day on which it was measured."""


def lab_test(name: str, tests: Sequence[LabTest]) -> LabTest:
    """Return the test of this name, out of those of the plant.

    Raises:
        Refused: there is none of that name.
    """
    found = next((test for test in tests if test.name == name), None)
    if found is None:
        raise say.unknown_test(name, tests)
    return found


def sample_of(code: str, queries: StationQueries) -> Sample:
    """Return a sample by its tag.

    Raises:
        Refused: there is none.
    """
    found = queries.sample(code)
    if found is None and code[0] == CodeKind.PIECE.value:
        raise not_drawn(code)
    if found is None:
        raise unknown(Thing.SAMPLE_TAG, code)
    return found


def product_of(sample: Sample, queries: StationQueries) -> str | None:
    """Return the product whose limits hold for a sample; None for a built piece that is not sold by itself."""
    if not sample.is_built:
        lot = queries.lot(sample.lot)
        assert lot is not None
        return lot.part.gtin
    build = queries.build(sample.lot)
    assert build is not None
    bill = queries.bill(build.part, build.version)
    return None if bill is None else bill.gtin


def require_unit(test: LabTest, unit: str) -> None:
    """Refuse a value in another unit."""
    if unit != test.unit:
        raise say.wrong_unit(test, unit)


def side_for(test: LabTest, text: str) -> str | None:
    """Return the side that was measured, by what was typed or stands in a file; None for a test of the whole disc.

    Raises:
        Refused: no side where one belongs, or one where none does.
    """
    side = text.strip().upper()
    if test.is_of_side and side in SIDES:
        return side
    if test.is_of_side or side:
        raise say.wrong_side(test, text.strip())
    return None


def gauge_for(code: str, test: LabTest, value: str, day: str, queries: StationQueries) -> Gauge:
    """Return the gauge that a value was measured with.

    Raises:
        Refused: there is none, it measures something else, or it cannot have shown this.
    """
    gauge = queries.gauge(code, day)
    if gauge is None:
        raise say.unknown_gauge(code)
    if test.name not in gauge.tests:
        raise say.wrong_gauge(gauge, test)
    if not is_readable(value, gauge.resolution):
        raise say.finer_than_gauge(gauge, value)
    return gauge


def before(sample: str, test: LabTest, side: str | None, queries: StationQueries) -> MeasuredBefore | None:
    """Return the value of the same disc, side and reading that stands; None if it was not measured."""
    wanted = (test.name, side, reading_of(sample, queries))
    found = queries.measured_before(sample)
    return next((each for each in found if (each.test, each.side, each.reading) == wanted), None)


def require_first(sample: str, test: LabTest, side: str | None, queries: StationQueries) -> None:
    """Refuse a value of what was measured already."""
    found = before(sample, test, side, queries)
    if found is not None:
        raise say.measured_already(sample, found)


def reading_of(sample: str, queries: StationQueries) -> str | None:
    """Return the reading of a slow test that a value of a sample belongs to now; None outside of one."""
    found = queries.next_reading(sample)
    return None if found is None else say.reading_name(found)


def outside(sample: str, queries: StationQueries) -> MeasuredBefore | None:
    """Return the first value of a sample that stands outside its limit; None if there is none."""
    found = queries.measured_before(sample)
    return next((each for each in found if each.standing is LimitStanding.OUTSIDE), None)


def result(
    given: LabValue,
    queries: StationQueries,
    replaces: MeasuredBefore | None = None,
    second: str | None = None,
) -> ResultRecorded:
    """Return the entry of a value.

    Args:
        given: the value.
        queries: the ledger.
        replaces: the value that does not count any more.
        second: who agreed to that.
    """
    limit = queries.limit_of(given.test.name, product_of(given.sample, queries), given.day)
    used = None if limit is None else LimitUsed(limit.entry, limit.lower, limit.upper)
    lower, upper = (None, None) if limit is None else (limit.lower, limit.upper)
    return ResultRecorded(
        sample=given.sample.code,
        quantity=given.test.name,
        value=given.value,
        unit=given.test.unit,
        side=given.side,
        gauge=given.gauge.code,
        overdue=given.gauge.is_overdue(given.day),
        limit=used,
        standing=standing_of(given.value, lower, upper),
        in_place_of=None if replaces is None else replaces.entry,
        second_person=second,
        reading=reading_of(given.sample.code, queries),
    )


def told(given: LabValue, body: ResultRecorded, shown: str) -> str:
    """Say what was booked.

    Args:
        given: the value.
        body: the entry that it became.
        shown: the value as it was typed.
    """
    lower, upper = (None, None) if body.limit is None else (body.limit.lower, body.limit.upper)
    stands = {
        LimitStanding.WITHIN: say.within(lower, upper, body.unit),
        LimitStanding.OUTSIDE: say.outside(lower, upper, body.unit, given.test.defect),
        LimitStanding.NO_LIMIT: say.no_limit(given.test),
    }[LimitStanding(body.standing)]
    overdue = say.overdue_gauge(given.gauge) if body.overdue else None
    return say.result_booked(body, shown, stands, overdue)

"""A measured value that somebody types away from a station, by the rules of MEASURE."""

from __future__ import annotations

from dataclasses import dataclass

from tracelink.errors import UsageError
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.closed_sets import LimitStanding
from tracelink.services.badge_proof import Badge, acting, stamp_of
from tracelink.services.desks.told_by_rules import of_the_station
from tracelink.station.common.chart_signals import value_signals
from tracelink.station.common.taken_reading import decimal_sign
from tracelink.station.lab import lab_values
from tracelink.station.lab.lab_values import LabValue
from tracelink.station.sentences.bench import measuring_sentences as say
from tracelink.store.ledger import Ledger
from tracelink.store.office.office_acts import OfficeAct, authorised


@dataclass(frozen=True, slots=True)
class TypedResult:
    """A value of a sample, as somebody types it."""

    sample: str
    """The sample tag."""
    test: str
    """The lab test, as the plant names it."""
    value: str
    """A number with the decimal sign of the plant."""
    unit: str
    gauge: str
    """Code of the gauge."""
    side: str = ""
    """A or B; empty for a test of the whole disc."""


@dataclass(frozen=True, slots=True)
class ResultBooked:
    """What was booked of a value."""

    standing: LimitStanding
    """Where it stands by the limit that held."""
    signals: int
    """Charts on which it is a signal."""
    sentences: tuple[str, ...]
    """What a station would have said."""


def type_result(ledger: Ledger, given: TypedResult, by: Badge) -> ResultBooked:
    """Book the first value of a test of a disc; a second one needs a cause, and is taken at the bench.

    Raises:
        UsageError: the value is no number with the sign of the plant.
        IdentifierError: a code is invalid.
        RefusedByRule: the person may not, or MEASURE would refuse it.
    """
    sample, gauge = _code(CodeKind.SAMPLE, given.sample), _code(CodeKind.GAUGE, given.gauge)
    with acting(ledger, by) as booking:
        queries, stamp = booking.queries, stamp_of(by)
        authorised(queries, by.code, OfficeAct.READ_RESULTS)
        sign, day = decimal_sign(queries), stamp.event_time[:10]
        value = sign.number(given.value.strip())
        if value is None:
            raise UsageError(
                f"value {given.value!r}: expected a number with a decimal {sign.word}, without its unit"
            )
        queries.at = stamp.event_time
        with of_the_station():
            test = lab_values.lab_test(given.test, queries.lab_tests())
            lab_values.require_unit(test, given.unit)
            disc = lab_values.sample_of(sample, queries)
            side = lab_values.side_for(test, given.side)
            lab_values.require_first(sample, test, side, queries)
            used = lab_values.gauge_for(gauge, test, value, day, queries)
            found = LabValue(disc, test, value, side, used, day)
            body = lab_values.result(found, queries)
            signals = value_signals(disc, body, queries)
        booking.record(body, stamp)
        for signal in signals:
            booking.record(signal, stamp)
    told = (lab_values.told(found, body, given.value.strip()), *map(say.chart_signal, signals))
    return ResultBooked(LimitStanding(body.standing), len(signals), told)


def _code(kind: CodeKind, text: str) -> str:
    return PlantCode.parse_one(kind, text.strip().upper().removeprefix("]C0")).text

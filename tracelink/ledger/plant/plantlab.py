"""The sections of a plant file about the lab: what it measures, under which limits, with what.

They are `[[lab_test]]`, `[[limit]]`, `[[gauge]]`, `[[calibrated_gauge]]`, `[[instrument]]` and `[[slow_test]]`. Numbers with decimals are texts with a point, such as "-55.0": as numbers of the file they would be rounded.
"""

import re
from decimal import Decimal

from tracelink.errors import UsageError
from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.closed_sets import MeasuredOn
from tracelink.ledger.kinds.measuring.lab_test_entries import (
    GaugeCalibrated,
    GaugeEntered,
    InstrumentColumn,
    InstrumentDescribed,
    LabTestNamed,
    LimitSet,
)
from tracelink.ledger.kinds.measuring.slow_test_entries import ReadingPlanned, SlowTestNamed
from tracelink.ledger.measured_values import DECIMAL, TEST_NAME, UNIT
from tracelink.ledger.plant.plantchanges import day
from tracelink.ledger.plant.plantsection import PlantSection
from tracelink.ledger.time_forms import strptime_form


def lab_test(section: PlantSection) -> LabTestNamed:
    """Read something that the lab measures."""
    unit = section.text("unit")
    section.require(
        bool(re.fullmatch(UNIT, unit)), "unit", f"unit is {unit!r}: expected up to 10 letters, %, °, µ or /"
    )
    return LabTestNamed(
        _test(section, "name"),
        unit,
        section.one_of("measured_on", tuple(MeasuredOn)),
        _line(section, "method"),
        _line(section, "defect").lower(),
    )


def limit(section: PlantSection) -> LimitSet:
    """Read a limit of a test.

    Raises:
        UsageError: it limits nothing, or nothing could be within it.
    """
    lower, upper = (
        section.optional(name, lambda each: _decimal(section, each)) for name in ("lower", "upper")
    )
    if lower is None and upper is None:
        raise UsageError(f"{section.where}: the limit is empty: expected lower, upper or both")
    if lower is not None and upper is not None and Decimal(lower) > Decimal(upper):
        raise UsageError(
            f"{section.where}: lower is {lower}, above upper {upper}: nothing would be within it"
        )
    gtin = section.optional("gtin", section.gtin)
    return LimitSet(_test(section, "test"), gtin, lower, upper, day(section, "since"))


def gauge(section: PlantSection) -> GaugeEntered:
    """Read an instrument of the lab.

    Raises:
        UsageError: it measures nothing, or its calibration ends before it begins.
    """
    code, name = section.code("code", CodeKind.GAUGE), _line(section, "name")
    tests = tuple(map(str, section.many("tests")))
    named = all(re.fullmatch(TEST_NAME, each) for each in tests)
    once = bool(tests) and len(set(tests)) == len(tests)
    section.require(named and once, "tests", f"tests is {tests!r}: expected names of lab tests, each once")
    resolution = _decimal(section, "resolution")
    more = Decimal(resolution) > 0
    section.require(more, "resolution", f"resolution is {resolution}: expected a step of more than 0")
    return GaugeEntered(code, name, tests, resolution, *_calibration(section))


def calibrated_gauge(section: PlantSection) -> GaugeCalibrated:
    """Read a calibration of a gauge that is known.

    Raises:
        UsageError: it ends before it begins.
    """
    return GaugeCalibrated(section.code("gauge", CodeKind.GAUGE), *_calibration(section))


SEPARATORS = {"semicolon": ";", "comma": ",", "tab": "\t"}


def instrument(section: PlantSection) -> InstrumentDescribed:
    """Read how the files of an instrument are to be read.

    Raises:
        UsageError: it names no values, two columns alike, or both or neither of gauge and gauge column.
    """
    name, decimal = _line(section, "name"), section.one_of("decimal", ("point", "comma"))
    separator = SEPARATORS[section.one_of("separator", tuple(SEPARATORS))]
    both = (decimal, separator) == ("comma", ",")
    section.require(
        not both, "separator", "separator is comma, as decimal is: a value could not be told from two"
    )
    sample, side = _line(section, "sample"), section.optional("side", lambda each: _line(section, each))
    gauge_code = section.optional("gauge", lambda each: section.code(each, CodeKind.GAUGE))
    gauge_heading = section.optional("gauge_column", lambda each: _line(section, each))
    one = (gauge_code is None) != (gauge_heading is None)
    section.require(one, "gauge", "expected gauge or gauge_column, and one of them")
    columns = tuple(_column(section, place, fields) for place, fields in enumerate(section.many("values"), 1))
    headings = [each.heading.lower() for each in columns]
    once = bool(columns) and len(set(headings)) == len(headings)
    section.require(once, "values", "values: expected one column or more, each heading once")
    time_heading, time_form = _times(section)
    return InstrumentDescribed(
        name, decimal, separator, sample, side, gauge_code, gauge_heading, columns, time_heading, time_form
    )


def _times(section: PlantSection) -> tuple[str | None, str | None]:
    heading = section.optional("time", lambda each: _line(section, each))
    form = section.optional("time_form", section.text)
    section.require(
        form is None or heading is not None, "time_form", "time_form without time, the column that has it"
    )
    if form is not None:
        try:
            strptime_form(form)
        except UsageError as problem:
            section.require(False, "time_form", str(problem))
    return heading, form


def _column(section: PlantSection, place: int, fields: object) -> InstrumentColumn:
    column = section.inside(f"value {place}", fields, "values")
    heading, test = _line(column, "heading"), _test(column, "test")
    unit, unit_heading = (column.optional(each, column.text) for each in ("unit", "unit_column"))
    one = (unit is None) != (unit_heading is None)
    column.require(one, "unit", "expected unit or unit_column, and one of them")
    column.end()
    return InstrumentColumn(heading, test, unit, unit_heading)


def slow_test(section: PlantSection) -> SlowTestNamed:
    """Read a test that takes days or weeks."""
    name, readings = _test(section, "name"), []
    for place, fields in enumerate(section.many("readings"), 1):
        reading = section.inside(f"reading {place}", fields, "readings")
        readings.append(ReadingPlanned(_line(reading, "label"), reading.number("days")))
        reading.end()
    days = [each.days for each in readings]
    ordered = bool(days) and days == sorted(days)
    section.require(ordered, "readings", f"readings after {days} days: expected one or more, in order")
    return SlowTestNamed(name, tuple(readings))


def _calibration(section: PlantSection) -> tuple[str, str]:
    calibrated, due = day(section, "calibrated"), day(section, "due")
    section.require(calibrated <= due, "due", f"due is {due}, before {calibrated}, when it was calibrated")
    return calibrated, due


def _test(section: PlantSection, field: str) -> str:
    text = section.text(field)
    fits = bool(re.fullmatch(TEST_NAME, text)) and text == text.strip()
    section.require(fits, field, f"{field} is {text!r}: expected small letters, such as noise or off centre")
    return text if fits else "x"


def _line(section: PlantSection, field: str) -> str:
    text = section.text(field).strip()
    fits = bool(text) and text.isprintable()
    section.require(fits, field, f"{field} is {text!r}: expected one line of text")
    return text


def _decimal(section: PlantSection, field: str) -> str:
    text = section.text(field)
    fits = bool(re.fullmatch(DECIMAL, text))
    section.require(
        fits, field, f'{field} is {text!r}: expected a number as text with a point, such as "-55.0"'
    )
    return text if fits else "1"

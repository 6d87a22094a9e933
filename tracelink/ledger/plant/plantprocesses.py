"""The sections `[[process]]` and `[[equipment]]` of a plant file: what is done beside pressing, and in what."""

import re
from decimal import Decimal, InvalidOperation
from functools import partial

from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.closed_sets import WorksOn
from tracelink.ledger.kinds.process.process_setup import EquipmentPlaced, ProcessDefined, ProcessLimit
from tracelink.ledger.plant.plantsection import PlantSection
from tracelink.ledger.quantities import BASE_UNITS

_NAME = re.compile(r"[a-z][a-z0-9 -]{0,39}")
_UNIT = re.compile(r"[A-Za-z%°µ/]{1,10}")
_DECIMAL = re.compile(r"-?[0-9]{1,9}(?:\.[0-9]{1,6})?")


def process(section: PlantSection) -> ProcessDefined:
    """Read one process.

    Raises:
        UsageError: a field is missing or wrong, a parameter stands twice, or limits are the wrong way round.
    """
    name = _name(section, "name")
    works_on = WorksOn(section.one_of("works_on", tuple(WorksOn)))
    unit = None
    if works_on in (WorksOn.MATERIAL, WorksOn.BLEND):
        unit = section.one_of("unit", BASE_UNITS)
    parameters = []
    for place, fields in enumerate(section.many("parameters"), 1):
        inside = section.inside(f"parameter {place}", fields, "parameters")
        parameters.append(_parameter(inside))
        inside.end()
    names = [each.name for each in parameters]
    section.require(
        len(set(names)) == len(names), "parameters", f"{', '.join(names)}: expected each parameter once"
    )
    return ProcessDefined(name, works_on, unit, tuple(parameters))


def equipment(section: PlantSection) -> EquipmentPlaced:
    """Read one piece of equipment."""
    code = section.code("code", CodeKind.EQUIPMENT)
    return EquipmentPlaced(code, _name(section, "process"), section.text("name"))


def _parameter(section: PlantSection) -> ProcessLimit:
    name, unit = _name(section, "name"), section.text("unit")
    section.require(
        _UNIT.fullmatch(unit) is not None, "unit", f"unit is {unit!r}: expected a unit such as °C"
    )
    least, most = (section.optional(each, partial(_limit, section)) for each in ("least", "most"))
    in_order = least is None or most is None or Decimal(least) <= Decimal(most)
    section.require(in_order, "most", f"most is {most}, below least {least}")
    return ProcessLimit(name, unit, least, most)


def _limit(section: PlantSection, field: str) -> str:
    text = section.text(field)
    section.require(
        _DECIMAL.fullmatch(text) is not None,
        field,
        f'{field} is {text!r}: expected a number as text, such as "58.5"',
    )
    try:
        return format(Decimal(text), "f")
    except InvalidOperation:
        return "0"


def _name(section: PlantSection, field: str) -> str:
    text = section.text(field)
    section.require(
        _NAME.fullmatch(text) is not None,
        field,
        f"{field} is {text!r}: expected 1 to 40 small letters, digits, spaces and hyphens, beginning with a letter",
    )
    return text

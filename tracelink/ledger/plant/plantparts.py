"""The sections `[[part]]`, `[[bill]]` and `[[slot]]` of a plant file: kinds of parts, what is built of them, and where reels go."""

import re
from datetime import date

from tracelink.identity.plantcode import CodeKind
from tracelink.ledger.kinds.assembly.assembly_setup import BilledPart, BillNamed, PartKindNamed, SlotNamed
from tracelink.ledger.parts.part_sets import AT_PACKING
from tracelink.ledger.plant.plantsection import PlantSection

PART_NUMBER = re.compile(r"[A-Z0-9][A-Z0-9./-]{0,29}", re.ASCII)
_SHORT = re.compile(r"[A-Za-z0-9][A-Za-z0-9.-]{0,9}", re.ASCII)


def part(section: PlantSection) -> PartKindNamed:
    """Read one kind of part."""
    sample = section.optional("sample", lambda name: section.number(name, 1))
    return PartKindNamed(_number(section, "number"), section.text("name"), sample)


def bill(section: PlantSection) -> BillNamed:
    """Read one version of a bill of material.

    Raises:
        UsageError: a field is missing or wrong, there is no line, or one part stands in two of them for one slot.
    """
    built, since = _number(section, "part"), section.text("since")
    section.require(_is_day(since), "since", f"since is {since!r}: expected a day such as 2031-03-01")
    lines = []
    for place, fields in enumerate(section.many("lines"), 1):
        inside = section.inside(f"line {place}", fields, "lines")
        lines.append(_line(inside))
        inside.end()
    section.require(bool(lines), "lines", "lines are missing: expected the parts that it is built of")
    each = [(line.part, line.slot) for line in lines]
    section.require(
        len(set(each)) == len(each), "lines", "a part stands in two lines for one slot: expected each once"
    )
    slots = [line.slot for line in lines if line.slot not in (None, AT_PACKING)]
    section.require(
        len(set(slots)) == len(slots), "lines", "a slot stands in two lines: expected one part in each slot"
    )
    section.require(
        all(line.part != built for line in lines), "lines", f"{built} stands in its own bill of material"
    )
    gtin = section.optional("gtin", section.gtin)
    return BillNamed(built, _short(section, "version"), since, gtin, tuple(lines))


def slot(section: PlantSection) -> SlotNamed:
    """Read one slot of a placing machine."""
    code, station = section.code("code", CodeKind.SLOT), section.code("station", CodeKind.STATION)
    name = _short(section, "name")
    section.require(name != AT_PACKING, "name", f"name is {name!r}: expected the name of a slot on a machine")
    return SlotNamed(code, station, name)


def _line(section: PlantSection) -> BilledPart:
    part, revision = _number(section, "part"), _short(section, "revision")
    quantity, slot = (
        section.number("quantity", 1),
        section.optional("slot", lambda name: _short(section, name)),
    )
    packed = section.optional("packed", section.flag)
    section.require(
        slot is None or not packed, "packed", "packed and slot go not together: expected one of the two"
    )
    return BilledPart(part, revision, quantity, AT_PACKING if packed else slot)


def _number(section: PlantSection, field: str) -> str:
    return _matching(section, field, PART_NUMBER, "a part number of capitals, digits, '.', '/' and '-'")


def _short(section: PlantSection, field: str) -> str:
    return _matching(section, field, _SHORT, "1 to 10 letters, digits, '.' and '-'")


def _matching(section: PlantSection, field: str, pattern: re.Pattern[str], expected: str) -> str:
    text = section.text(field)
    section.require(pattern.fullmatch(text) is not None, field, f"{field} is {text!r}: expected {expected}")
    return text


def _is_day(text: str) -> bool:
    try:
        return date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False

"""What the published EPCIS schema lets pass and sense or the standard's text forbids.

Each rule yields (place in the event, expected, found).
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from tracelink.errors import IdentifierError
from tracelink.identity.gs1.digitallink import is_link, parse_link
from tracelink.identity.gs1.epc import is_epc, parse_epc
from tracelink.report.epcis import words
from tracelink.report.epcis.values import Wrong, instant, shown

_UUID = re.compile(
    r"urn:uuid:[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{4}-[0-9a-f]{12}", re.IGNORECASE | re.ASCII
)
_NAMED_HASH = re.compile(r"ni:///sha-256;[0-9a-f]{64}(?:\?.*)?", re.IGNORECASE | re.ASCII)
_LISTS = ("epcList", "inputEPCList", "outputEPCList", "childEPCs")
_QUANTITIES = ("quantityList", "inputQuantityList", "outputQuantityList", "childQuantityList")
_NOT_COMPARED = ("errorDeclaration", "recordTime")


def prefixes(context: Any) -> frozenset[str]:
    """Return the prefixes that a context declares, with those that need no declaration."""
    found = set(words.KNOWN_PREFIXES)
    for each in context if isinstance(context, list) else [context]:
        if isinstance(each, dict):
            found |= {name for name in each if not name.startswith("@")}
    return frozenset(found)


def of_event(event: Mapping[str, Any], declared: frozenset[str]) -> Iterator[Wrong]:
    """Judge one event by itself.

    Args:
        event: an object of the event list.
        declared: prefixes its document declares.
    """
    yield from _number(event)
    yield from _offset(event)
    yield from _parent(event)
    yield from _nothing_named(event)
    yield from _quantities(event)
    yield from _check_digits(event)
    yield from _prefixes(event, declared)
    yield from _units(event)


def of_events(events: Sequence[Any]) -> Iterator[tuple[int, Wrong]]:
    """Judge events together: no number twice, but for an error declaration about the very same event.

    Args:
        events: parsed JSON; anything at all.

    Yields:
        Place of the event in the list, from 1, and what is wrong.
    """
    first: dict[str, tuple[int, Mapping[str, Any]]] = {}
    for place, event in enumerate(events, 1):
        number = event.get("eventID") if isinstance(event, dict) else None
        if not isinstance(number, str):
            continue
        if number not in first:
            first[number] = (place, event)
            continue
        before, same = first[number]
        if "errorDeclaration" not in event:
            yield place, ("eventID", "a number of its own", f"that of event {before}")
        elif _compared(event) != _compared(same):
            yield place, ("errorDeclaration", f"the very fields of event {before}", "others")


def _compared(event: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in event.items() if name not in _NOT_COMPARED}


def _number(event: Mapping[str, Any]) -> Iterator[Wrong]:
    number = event.get("eventID")
    if number is None:
        yield "eventID", "to be there, so that the event is never booked twice", "nothing"
    elif not (isinstance(number, str) and (_UUID.fullmatch(number) or _NAMED_HASH.fullmatch(number))):
        yield "eventID", "urn:uuid: with its 32 digits, or ni:///sha-256;", shown(number)


def _offset(event: Mapping[str, Any]) -> Iterator[Wrong]:
    at, offset = event.get("eventTime"), event.get("eventTimeZoneOffset")
    if instant(at) is None or not isinstance(offset, str) or not isinstance(at, str):
        return
    # The standard's own examples pair a time in Z with a local offset: that names the same instant and is fine.
    if at[-1] not in "Zz" and at[-6:] != offset:
        yield "eventTimeZoneOffset", f"{at[-6:]} as in eventTime", shown(offset)


def _parent(event: Mapping[str, Any]) -> Iterator[Wrong]:
    if (
        event.get("type") == "AggregationEvent"
        and event.get("action") in ("ADD", "DELETE")
        and "parentID" not in event
    ):
        yield "parentID", "to be there", "nothing"


def _nothing_named(event: Mapping[str, Any]) -> Iterator[Wrong]:
    if event.get("type") not in ("ObjectEvent", "TransactionEvent") or event.get("sensorElementList"):
        return
    lists = [name for name in ("epcList", "quantityList") if name in event]
    if lists and not any(event[name] for name in lists):
        yield lists[0], "at least one object", "none"


def _items(event: Mapping[str, Any], name: str) -> Iterator[tuple[int, Any]]:
    value = event.get(name)
    yield from enumerate(value if isinstance(value, list) else [])


def _quantities(event: Mapping[str, Any]) -> Iterator[Wrong]:
    for name in _QUANTITIES:
        for place, item in _items(event, name):
            quantity = item.get("quantity") if isinstance(item, dict) else None
            if isinstance(quantity, int | float) and quantity < 0:
                yield f"{name}[{place}].quantity", "nothing below zero", shown(quantity)


def _named(event: Mapping[str, Any]) -> Iterator[tuple[str, Any]]:
    """Every identifier of goods, places and parties, with its place."""
    yield "parentID", event.get("parentID")
    for name in _LISTS:
        yield from ((f"{name}[{place}]", item) for place, item in _items(event, name))
    for name in _QUANTITIES:
        for place, item in _items(event, name):
            yield f"{name}[{place}].epcClass", item.get("epcClass") if isinstance(item, dict) else None
    for name in ("readPoint", "bizLocation"):
        place_of = event.get(name)
        yield f"{name}.id", place_of.get("id") if isinstance(place_of, dict) else None
    for name, key in (("sourceList", "source"), ("destinationList", "destination")):
        for place, item in _items(event, name):
            yield f"{name}[{place}].{key}", item.get(key) if isinstance(item, dict) else None


def _check_digits(event: Mapping[str, Any]) -> Iterator[Wrong]:
    for where, value in _named(event):
        if not isinstance(value, str):
            continue
        try:
            if is_link(value):
                parse_link(value)
            elif is_epc(value):
                parse_epc(value)
        except IdentifierError as problem:
            yield where, "an identifier that is what it claims to be", str(problem)


def _prefixes(event: Mapping[str, Any], declared: frozenset[str]) -> Iterator[Wrong]:
    ilmd = event.get("ilmd")
    for where, names in (("", event), ("ilmd.", ilmd if isinstance(ilmd, dict) else {})):
        for name in names:
            prefix, colon, _ = name.partition(":")
            if colon and prefix not in declared:
                yield where + name, f"the prefix {prefix} to be declared in @context", "it is not"


def _units(event: Mapping[str, Any]) -> Iterator[Wrong]:
    for place, element in _items(event, "sensorElementList"):
        reports = element.get("sensorReport") if isinstance(element, dict) else None
        for line, report in enumerate(reports if isinstance(reports, list) else []):
            kind, unit = (report.get("type"), report.get("uom")) if isinstance(report, dict) else (None, None)
            known = words.UNITS.get(kind) if isinstance(kind, str) else None
            if known is not None and isinstance(unit, str) and unit not in known:
                where = f"sensorElementList[{place}].sensorReport[{line}].uom"
                yield where, f"a unit of {kind} such as {min(known)}", shown(unit)

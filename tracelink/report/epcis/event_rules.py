"""Is an EPCIS 2.0 document what it says? The published schema's rules, and stricter ones of our own.

Written without a schema library, so that imports at a plant need none; tests hold it against the published schema,
where both must refuse the same documents (`tests/differential/test_epcis_schema.py`). `standard` findings are what
that schema refuses with format checking on. The others are what it lets pass and sense forbids: an aggregation without its parent, an object event that
names no object, less than nothing, an event number twice, a prefix nobody declared, a wrong check digit.

Pure: takes parsed JSON, asks no clock, opens no file.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from tracelink.report.epcis import strict, values, words
from tracelink.report.epcis.document_rules import events_of, of_document
from tracelink.report.epcis.values import Check, Wrong


@dataclass(frozen=True, slots=True)
class EpcisFinding:
    """One thing that is wrong with a document."""

    event: int | None
    """Place of the event in its list, from 1; None for the document itself."""
    event_id: str
    """Its eventID as given; empty if it has none."""
    where: str
    """Which field, such as `epcList[0]`."""
    expected: str
    found: str
    standard: bool
    """True: the published schema refuses it. False: only our own stricter rules do."""

    @property
    def sentence(self) -> str:
        """What is wrong, for a person."""
        named = f" ({self.event_id})" if self.event_id else ""
        subject = "the document" if self.event is None else f"event {self.event}{named}"
        return f"{subject}: {self.where or 'it'}: expected {self.expected}, found {self.found}"


_CHECKS: dict[str, Check] = {
    "@context": values.context,
    "certificationInfo": values.certification,
    "action": values.one_of(words.ACTIONS, "an action"),
    "bizStep": values.word_of(words.BIZ_STEPS, "a business step"),
    "disposition": values.word_of(words.DISPOSITIONS, "a disposition"),
    "eventTime": values.time,
    "recordTime": values.time,
    "eventTimeZoneOffset": values.offset,
    "eventID": values.uri,
    "parentID": values.uri,
    "transformationID": values.uri,
    "epcList": values.many(values.uri),
    "inputEPCList": values.many(values.uri, unique=True),
    "outputEPCList": values.many(values.uri, unique=True),
    "childEPCs": values.many(values.uri),
    **dict.fromkeys(
        ("quantityList", "inputQuantityList", "outputQuantityList", "childQuantityList"),
        values.many(values.QUANTITY),
    ),
    "readPoint": values.PLACE,
    "bizLocation": values.PLACE,
    "bizTransactionList": values.many(values.TRANSACTION),
    "sourceList": values.many(values.SOURCE),
    "destinationList": values.many(values.DESTINATION),
    "sensorElementList": values.many(values.SENSOR),
    "persistentDisposition": values.PERSISTENT,
    "errorDeclaration": values.ERROR,
    "ilmd": values.ILMD,
}


def check_document(document: Any) -> list[EpcisFinding]:
    """Judge a document.

    Args:
        document: parsed JSON; anything at all.

    Returns:
        Every finding, the document's own first, then event by event; nothing if nothing was found.
    """
    if not isinstance(document, dict):
        return [EpcisFinding(None, "", "", "a JSON object", values.shown(document), standard=True)]
    found = [EpcisFinding(None, "", *wrong, standard=standard) for wrong, standard in of_document(document)]
    events = events_of(document)
    declared = strict.prefixes(document.get("@context"))
    for place, event in enumerate(events, 1):
        found += check_event(event, place, declared)
    ours = strict.of_events(events)
    found += [EpcisFinding(place, _named(events[place - 1]), *wrong, standard=False) for place, wrong in ours]
    return found


def check_event(
    event: Any, place: int, declared: frozenset[str] = words.KNOWN_PREFIXES
) -> list[EpcisFinding]:
    """Judge one event by itself.

    Args:
        event: parsed JSON; anything at all.
        place: its place in its list, from 1.
        declared: the prefixes of its document's context, see `strict.prefixes`.
    """
    name = _named(event)
    found = [EpcisFinding(place, name, *wrong, standard=True) for wrong in _of_event(event)]
    if isinstance(event, dict):
        own = strict.of_event(event, declared | strict.prefixes(event.get("@context")))
        found += [EpcisFinding(place, name, *wrong, standard=False) for wrong in own]
    return found


def _named(event: Any) -> str:
    name = event.get("eventID") if isinstance(event, dict) else None
    return name if isinstance(name, str) else ""


def _of_event(event: Any) -> Iterator[Wrong]:
    if not isinstance(event, dict):
        yield "", "an event", values.shown(event)
        return
    kind = event.get("type")
    keys = words.EVENT_KEYS.get(kind) if isinstance(kind, str) else None
    is_others = keys is None and values.is_uri(kind)
    if keys is None and not is_others:
        yield "type", f"one of {', '.join(sorted(words.EVENT_KEYS))}", values.shown(kind)
    yield from _needs(event, ["eventTime", "eventTimeZoneOffset"])
    for name, value in event.items():
        if name in (keys or words.COMMON_KEYS):
            yield from values.below(name, _CHECKS.get(name, values.anything)(value))
        elif not is_others and not values.is_uri(name):
            # An event of another vocabulary may have any fields: nobody here knows them, and it is only noted.
            yield name, "no such key in this kind of event", values.shown(value)
    if isinstance(kind, str) and kind in _SHAPES:
        yield from _SHAPES[kind](event)


def _needs(event: Mapping[str, Any], names: Sequence[str]) -> Iterator[Wrong]:
    for name in names:
        if name not in event:
            yield name, "to be there", "nothing"


def _object(event: Mapping[str, Any]) -> Iterator[Wrong]:
    yield from _needs(event, ["action"])
    named = "epcList" in event or event.get("quantityList")
    if not named and not (event.get("sensorElementList") and "readPoint" in event):
        yield "epcList", "epcList, quantityList, or a sensor's report with its place", "none of them"
    names = event.get("epcList")
    if isinstance(names, list) and len({values.json_key(each) for each in names}) < len(names):
        yield "epcList", "each object once", "one twice"
    if "ilmd" in event and event.get("action") != "ADD":
        yield "ilmd", "only with action ADD", values.shown(event.get("action"))


def _children(event: Mapping[str, Any]) -> Iterator[Wrong]:
    yield from _needs(event, ["action"])
    if event.get("action") != "DELETE" and not (event.get("childEPCs") or event.get("childQuantityList")):
        yield "childEPCs", "at least one child", "none"


def _association(event: Mapping[str, Any]) -> Iterator[Wrong]:
    yield from _children(event)
    yield from _needs(event, ["parentID"])


def _transaction(event: Mapping[str, Any]) -> Iterator[Wrong]:
    yield from _needs(event, ["action", "bizTransactionList"])
    if event.get("bizTransactionList") == []:
        yield "bizTransactionList", "at least one document", "none"
    if event.get("action") != "DELETE" and "epcList" not in event and not event.get("quantityList"):
        yield "epcList", "epcList or quantityList", "neither"


def _transformation(event: Mapping[str, Any]) -> Iterator[Wrong]:
    came = event.get("inputEPCList") or event.get("inputQuantityList")
    made = event.get("outputEPCList") or event.get("outputQuantityList")
    if not ((came and made) or ("transformationID" in event and (came or made))):
        yield (
            "outputEPCList",
            "an input and an output, or one of them with transformationID",
            "less than that",
        )


_SHAPES = {
    "ObjectEvent": _object,
    "AggregationEvent": _children,
    "AssociationEvent": _association,
    "TransactionEvent": _transaction,
    "TransformationEvent": _transformation,
}

"""What stands around the events of an EPCIS 2.0 document: the published schema's rules for its frame.

Every list that may hold events is found or refused, so that none is lost without a word.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from tracelink.report.epcis import values, words
from tracelink.report.epcis.values import Check, Wrong, fields, many

DOCUMENT, ANSWER = "EPCISDocument", "EPCISQueryDocument"


def _version(value: Any) -> Iterator[Wrong]:
    parts = value.split(".") if isinstance(value, str) else [""]
    if not all(part.isascii() and part.isdigit() for part in parts):
        yield "", 'text such as "2.0"', values.shown(value)


def _events(value: Any) -> Iterator[Wrong]:
    # Each event is judged by itself, with its place.
    if not isinstance(value, list):
        yield "", "a list of events", values.shown(value)


def _attribute_value(value: Any) -> Iterator[Wrong]:
    if isinstance(value, bool) or not isinstance(value, int | float | str | dict):
        yield "", "a number, a text or an object", values.shown(value)


_ATTRIBUTE = fields({"id": values.uri, "attribute": _attribute_value}, ["id"], others="any key")
_ELEMENT = fields(
    {"id": values.uri, "attributes": many(_ATTRIBUTE), "children": many(values.uri)}, ["id"], others="any key"
)
_VOCABULARIES = many(
    fields({"type": values.uri, "vocabularyElementList": many(_ELEMENT)}, ["type"], others="any key")
)
_HEADER = fields(
    {"epcisMasterData": fields({"vocabularyList": _VOCABULARIES}, others="any key")}, others="URI keys"
)
_RESULTS = fields({"eventList": _events, "vocabularyList": _VOCABULARIES}, ["eventList"], others="URI keys")
_QUERY = fields(
    {"queryName": values.text, "subscriptionID": values.text, "resultsBody": _RESULTS},
    ["queryName", "resultsBody"],
    others="URI keys",
)
_COMMON: dict[str, Check] = {
    "@context": values.context,
    "id": values.uri,
    "type": values.text,
    "schemaVersion": _version,
    "creationDate": values.time,
}
_DOCUMENT = fields(
    {
        **_COMMON,
        **dict.fromkeys(("instanceIdentifier", "sender", "receiver"), values.text),
        "epcisHeader": _HEADER,
        "epcisBody": fields({"eventList": _events}, ["eventList"], others="any key"),
    },
    ["@context", "schemaVersion", "creationDate", "epcisBody"],
    others="URI keys",
)
_ANSWER = fields(
    {**_COMMON, "epcisBody": fields({"queryResults": _QUERY}, ["queryResults"], others="URI keys")},
    ["@context", "epcisBody"],
    others="URI keys",
)


def of_document(document: Mapping[str, Any]) -> Iterator[tuple[Wrong, bool]]:
    """Judge the frame of a document.

    Yields:
        What is wrong, and whether the published schema refuses it too.
    """
    kind = document.get("type")
    if kind not in (DOCUMENT, ANSWER):
        # The schema takes a single event with a context for a document; here its sender and time would be missing.
        alone = isinstance(kind, str) and (kind in words.EVENT_KEYS or values.is_uri(kind))
        yield ("type", DOCUMENT, values.shown(kind)), not alone
        return
    for where, expected, found in (_DOCUMENT if kind == DOCUMENT else _ANSWER)(document):
        yield (where.removeprefix("."), expected, found), True


def events_of(document: Mapping[str, Any]) -> list[Any]:
    """Return the events of a document or of a query's answer; nothing where none can be found."""
    body: Any = document.get("epcisBody")
    if document.get("type") == ANSWER:
        for name in ("queryResults", "resultsBody"):
            body = body.get(name) if isinstance(body, dict) else None
    events = body.get("eventList") if isinstance(body, dict) else None
    return events if isinstance(events, list) else []

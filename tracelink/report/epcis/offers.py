"""What a partner's EPCIS document offers for booking: each event judged by itself, named things in our words.

An event is *refused* when `event_rules` finds anything wrong with it, *noted* when it is right and there is nothing to book
from it here, a *receipt* when it says that lots of pellets, labels, sleeves or parts were made (as such, or out of something
else) or came in, or that what we shipped was received. What the ledger makes of a receipt is for `store/office/partners.py`.

Names: a lot is known by a plant code, as lot (10) of a GS1 Digital Link or EPC URN, or as the last part of any other URI;
a logistic unit by its SSCC. Words in `ilmd` are taken by their name without prefix.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import rfc8785

from tracelink.errors import IdentifierError, UsageError
from tracelink.facts.partner_offers import CAME_IN, Offer, Offered, Says
from tracelink.identity.gs1.digitallink import is_link, parse_link
from tracelink.identity.gs1.epc import is_epc, parse_epc
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.count_words import counted
from tracelink.report.epcis import words
from tracelink.report.epcis.document_rules import events_of
from tracelink.report.epcis.event_rules import EpcisFinding, check_document
from tracelink.report.format.strictjson import Exact

MADE = frozenset({"commissioning", "creating_class_instance"})
"""Business steps that say a lot came to be."""

_INCOMING = (CodeKind.COMPOUND, CodeKind.LABEL_LOT, CodeKind.SLEEVE_BATCH, CodeKind.PART_LOT)
_FIRST = 5
"""Sentences on what is wrong with one event or document; how many more there are is said."""
_NOT_CONTENT = frozenset({"errorDeclaration", "recordTime"})


def read_offers(document: Any, called: Mapping[str, str]) -> list[Offer]:
    """Judge a document event by event.

    Args:
        document: parsed JSON, from `strictjson`.
        called: URI of a partner's lot -> the plant code that stands on it here.

    Raises:
        UsageError: it is not an EPCIS document; the sentence says what is wrong with it as a whole.
    """
    findings = check_document(document)
    whole = [each for each in findings if each.event is None]
    if whole:
        raise UsageError(_listed([each.sentence for each in whole]))
    wrong: dict[int, list[EpcisFinding]] = {}
    for each in findings:
        wrong.setdefault(each.event or 0, []).append(each)
    return [
        _offer(event, place, wrong.get(place, []), called)
        for place, event in enumerate(events_of(document), 1)
    ]


def _listed(sentences: Sequence[str]) -> str:
    """The first sentences, and how many more there are."""
    more = len(sentences) - _FIRST
    return "; ".join([*sentences[:_FIRST], *([f"and {more} more"] if more > 0 else [])])


def _offer(event: Any, place: int, wrong: list[EpcisFinding], called: Mapping[str, str]) -> Offer:
    known = event if isinstance(event, dict) else {}
    # The fields of a kind of event that only its sender knows are not judged, so nothing is read out of them.
    judged = not wrong and known.get("type") in words.EVENT_KEYS
    things = tuple(_things(known, called)) if judged else ()
    says, sentence = _said(known, things, place)
    if wrong:
        says, sentence = Says.REFUSED, _listed([each.sentence for each in wrong])
    return Offer(
        place=place,
        event_id=_text(known.get("eventID")),
        content=_content(known),
        at=_text(known.get("eventTime")),
        says=says,
        sentence=sentence,
        things=things,
        words=_words(known.get("ilmd")) if judged else {},
        raw=json.dumps(_plain(event), ensure_ascii=False, separators=(",", ":")),
    )


def _text(value: Any) -> str:
    return value if isinstance(value, str) else ""


def _content(event: Mapping[str, Any]) -> str:
    kept = {name: value for name, value in event.items() if name not in _NOT_CONTENT}
    return hashlib.sha256(rfc8785.dumps(_plain(kept))).hexdigest()


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _plain(item) for name, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    return float(value) if isinstance(value, Exact) else value


def _said(event: Mapping[str, Any], things: tuple[Offered, ...], place: int) -> tuple[Says, str]:
    step = _text(event.get("bizStep")).rpartition("BizStep-")[2]
    if "errorDeclaration" in event:
        return Says.WITHDRAWN, f"event {place} is declared wrong by its sender"
    if event.get("type") == "ObjectEvent" and things:
        made = event.get("action") == "ADD" and step in MADE
        came = event.get("action") == "OBSERVE" and step in CAME_IN
        if made or came:
            return Says.RECEIPT, step
    if event.get("type") == "TransformationEvent":
        return _transformed(event, things, step)
    if event.get("type") == "AssociationEvent":
        return Says.NOTED, _associated(event, step)
    kind = _text(event.get("type")) or "event"
    return Says.NOTED, f"{kind} of step {step or 'not told'}: nothing to book here"


def _transformed(event: Mapping[str, Any], outputs: tuple[Offered, ...], step: str) -> tuple[Says, str]:
    """Of something that became something else, what came out is what a plant can get."""
    if outputs and step in MADE and all(thing.code is not None for thing in outputs):
        return Says.RECEIPT, step
    went_in = _count(event, "inputEPCList", "inputQuantityList")
    came_out = _count(event, "outputEPCList", "outputQuantityList")
    return (
        Says.NOTED,
        (
            f"{counted(went_in, 'thing')} became {counted(came_out, 'thing')} (step {step or 'not told'}); not all that came out "
            "is known here by a code: nothing to book here. Read it again with --as for what you received"
        ),
    )


def _associated(event: Mapping[str, Any], step: str) -> str:
    parts, whole = _count(event, "childEPCs", "childQuantityList"), _text(event.get("parentID"))
    what = {"ADD": "joined to", "DELETE": "taken out of"}.get(_text(event.get("action")), "seen in")
    many = counted(parts, "part") if parts else "all parts"
    return f"{many} {what} {whole or 'something'} (step {step or 'not told'}): nothing to book here"


def _count(event: Mapping[str, Any], *lists: str) -> int:
    return sum(len(event.get(name, [])) for name in lists)


def _things(event: Mapping[str, Any], called: Mapping[str, str]) -> Iterable[Offered]:
    # Of what was made of something else only the single things count that somebody says came here, by their tag.
    made = [uri for uri in event.get("outputEPCList", []) if uri in called]
    for uri in [*event.get("epcList", []), *made]:
        yield Offered(uri, *named(uri, called), None, None, uri in called)
    for item in [*event.get("quantityList", []), *event.get("outputQuantityList", [])]:
        quantity = item.get("quantity")
        told = (
            quantity.written if isinstance(quantity, Exact) else None if quantity is None else str(quantity)
        )
        yield Offered(
            item["epcClass"],
            *named(item["epcClass"], called),
            told,
            item.get("uom"),
            item["epcClass"] in called,
        )


def named(uri: str, called: Mapping[str, str]) -> tuple[str | None, str | None]:
    """Return what a URI names here: a plant code or an SSCC, and a GTIN of 13 digits; None where it names none.

    Args:
        uri: of an object or a class.
        called: URI -> plant code, for names that only a person can tell.
    """
    elements: Mapping[str, str] = {}
    try:
        if is_link(uri):
            elements = parse_link(uri)
        elif is_epc(uri):
            elements = parse_epc(uri)
    except IdentifierError:
        # Said by `event_rules` already, where it is a rule; the rest is a name from elsewhere.
        return called.get(uri), None
    gtin = elements.get("01")
    short = gtin[1:] if gtin is not None and gtin.startswith("0") else None
    last = elements.get("00") or elements.get("10") or uri.replace(":", "/").rpartition("/")[2]
    return called.get(uri) or elements.get("00") or plant_code(last), short


def plant_code(text: str) -> str | None:
    """Return a plant code of something that can come in, or None."""
    try:
        code = PlantCode.parse(text)
    except IdentifierError:
        return None
    return code.text if code.kind in _INCOMING else None


def comes_by_name(text: str) -> bool:
    """Return whether a text is a code that only a person can tell a partner's thing by: a tool's, or another plant's SSCC."""
    try:
        if text.isdigit():
            return bool(Sscc.parse(text))
        return is_tool(text)
    except IdentifierError:
        return False


def is_tool(text: str) -> bool:
    """Return whether a text is the code of a tool of the plant."""
    try:
        return PlantCode.parse(text).kind is CodeKind.TOOL
    except IdentifierError:
        return False


def _words(ilmd: Any) -> Mapping[str, str]:
    if not isinstance(ilmd, dict):
        return {}
    return {
        name.rpartition(":")[2].rpartition("/")[2]: str(value)
        for name, value in ilmd.items()
        if isinstance(value, str | int) and not isinstance(value, bool)
    }

"""EPCIS documents with something changed, for two judges: our rules and the published schema."""

import copy
import json
import random

from support_documents import outside
from support_epcis import validator

from tracelink.errors import UsageError
from tracelink.report.epcis.document_rules import ANSWER, DOCUMENT, events_of
from tracelink.report.epcis.event_rules import check_document
from tracelink.report.epcis.offers import read_offers

URIS = (
    "x:y",
    "x:",
    "urn:",
    "x:/",
    "x://",
    "x:///y",
    "x://a:1/b",
    "x://a:b/c",
    "x://[::1]/y",
    "x://[1]/y",
    "x://u@h/p?q#f",
    "https://a.example/b#c#d",
    "https://a.example/[b]",
    "https://a.example/{b}",
    "https://a.example/b%2",
    "https://a.example/b%2f?c=[d]",
    "https://a.example/ b",
    "HtTpS://id.gs1.org/01/09520123456788",
    "https://id.gs1.org/01/09520123456789",
    "urn:epc:id:gid:1.2.3",
    "urn:epc:id:sgtin:1.2.3",
    "//a/b",
    "a/b",
    "1x:y",
    "é:y",
    "x:é",
    "https://ns.gs1.org/cbv/BizStep-packing",
    "urn:epcglobal:cbv:bizstep:packing",
    "https://gs1.org/voc/Mass",
)
TIMES = (
    "2031-03-04T09:15:60Z",
    "2031-03-04T23:59:60+00:00",
    "2031-03-04T24:00:00Z",
    "2031-02-29T09:15:00Z",
    "0000-03-04T09:15:00Z",
    "2031-03-04t09:15:00z",
    "2031-03-04 09:15:00Z",
    "2031-03-04T09:15Z",
    "2031-03-04T09:15:00.Z",
    "2031-03-04T09:15:00,5Z",
    "2031-03-04T09:15:00+24:00",
    "2031-03-04T09:15:00+0100",
    "+14:00",
    "-14:01",
    "Z",
)
WORDS = (
    "ObjectEvent",
    "AggregationEvent",
    "AssociationEvent",
    "TransactionEvent",
    "TransformationEvent",
    "ADD",
    "DELETE",
    "OBSERVE",
    "observe",
    "packing",
    "damaged",
    "Mass",
    "KGM",
    "kgm",
    "2.0",
    "2.",
    "",
    "x",
)
VALUES = (None, True, False, 0, 1, -1, 1.5, [], {}, [[]], [{}], {"id": "x:y"}, {"set": []}, {"a:b": 1})
NAMES = (
    "ilmd",
    "action",
    "epcList",
    "quantityList",
    "childEPCs",
    "parentID",
    "sensorElementList",
    "readPoint",
    "persistentDisposition",
    "certificationInfo",
    "errorDeclaration",
    "recordTime",
    "@context",
    "type",
    "id",
    "uom",
    "sender",
    "epcisHeader",
    "queryName",
    "resultsBody",
    "eventList",
    "transformationID",
    "x:y",
    "xy",
)


def bases():
    """Return the published and hand-made documents, with the whole frame added to one."""
    folders = outside("epcis/examples"), outside("epcis/handmade")
    files = sorted(file for folder in folders for file in folder.glob("*.jsonld"))
    found = [json.loads(file.read_text(encoding="utf-8")) for file in files]
    framed = copy.deepcopy(next(each for each in found if each["type"] == DOCUMENT))
    framed |= {
        "id": "https://a.example/d/1",
        "sender": "x",
        "receiver": "y",
        "instanceIdentifier": "z",
        "epcisHeader": {
            "epcisMasterData": {
                "vocabularyList": [
                    {
                        "type": "x:place",
                        "vocabularyElementList": [
                            {
                                "id": "x:1",
                                "attributes": [{"id": "x:2", "attribute": "hall"}],
                                "children": ["x:3"],
                            }
                        ],
                    }
                ]
            }
        },
    }
    return [*found, framed]


def _places(value, above=()):
    """Every place in a document, as the keys that lead to it."""
    yield above
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, item in items:
        yield from _places(item, (*above, key))


def _strange(rng):
    return copy.deepcopy(
        rng.choice((rng.choice(VALUES), rng.choice(URIS), rng.choice(TIMES), rng.choice(WORDS)))
    )


def _scratched(rng, text):
    at = rng.randint(0, len(text))
    more = rng.choice('[]#%{} \\"^é/?:0Aa-.')
    return rng.choice((text[:at] + more + text[at:], text[:at] + text[at + 1 :], text[:at], text.swapcase()))


def _other(rng, value):
    """Return another value for a place."""
    if isinstance(value, str) and rng.random() < 0.5:
        return _scratched(rng, value)
    if rng.random() < 0.2:
        return rng.choice(([value], {"id": value}, [value, value]))
    if isinstance(value, list | dict) and value and rng.random() < 0.3:
        return rng.choice(list(value.values() if isinstance(value, dict) else value))
    return _strange(rng)


def mutated(rng, base):
    """Return a document with one to three places changed, deleted, added or doubled."""
    document = copy.deepcopy(base)
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        places = list(_places(document))[1:]
        if not places:
            break
        place = rng.choice(places)
        holder = document
        for key in place[:-1]:
            holder = holder[key]
        _change(rng, holder, place[-1])
    return document


def _change(rng, holder, key):
    kind = rng.randrange(5)
    if kind == 0:
        del holder[key]
    elif kind == 1 and isinstance(holder, dict):
        holder[rng.choice((*NAMES, _scratched(rng, key)))] = rng.choice((holder[key], _strange(rng)))
    elif kind == 1:
        holder.insert(key, copy.deepcopy(rng.choice((holder[key], _strange(rng)))))
    else:
        holder[key] = _other(rng, holder[key])


def judged(document):
    """Judge a document twice.

    Returns:
        Whether the schema takes it, and what is wrong with our rules: nothing if they agree.
    """
    taken = validator().is_valid(document)
    found = check_document(document)
    alone = not isinstance(document, dict) or document.get("type") not in (DOCUMENT, ANSWER)
    if not taken and not found:
        return taken, "taken here, refused by the schema"
    ours = [each.sentence for each in found if each.standard]
    if taken and ours and not alone:
        return taken, f"taken by the schema, refused here as standard: {ours}"
    try:
        offers = read_offers(document, {})
    except UsageError:
        return taken, ""
    if len(offers) != len(events_of(document)):
        return taken, "an event was lost"
    return taken, ""


def documents(seed, count):
    """Yield changed documents of a seed."""
    rng, among = random.Random(seed), bases()
    for _ in range(count):
        yield mutated(rng, rng.choice(among))

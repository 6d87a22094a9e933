"""EPCIS documents as a partner would send them."""

import json


def event(number, *classes, **changed):
    made = {
        "type": "ObjectEvent",
        "eventID": f"urn:uuid:3f2a1b00-0000-4000-8000-{number:012d}",
        "eventTime": "2031-03-02T08:15:00.000+01:00",
        "eventTimeZoneOffset": "+01:00",
        "action": "OBSERVE",
        "bizStep": "receiving",
        "quantityList": [{"epcClass": uri, **amount} for uri, amount in classes],
    }
    made = {name: value for name, value in {**made, **changed}.items() if value is not None}
    if "ilmd" in made:
        made |= {"action": "ADD", "bizStep": "commissioning"}
    return made


def written(file, *events, **changed):
    document = {
        "@context": [
            "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld",
            {"m": "https://maker.example.com/"},
        ],
        "type": "EPCISDocument",
        "schemaVersion": "2.0",
        "creationDate": "2031-03-02T12:00:00Z",
        "epcisBody": {"eventList": list(events)},
        **changed,
    }
    file.write_text(json.dumps(document), encoding="utf-8")
    return file

"""What partners' EPCIS documents offer: published examples are read, bad ones refused, our stricter rules on top."""

import copy

import pytest
from support_each import each
from support_epcis import document as example
from support_epcis import given
from support_plant import code, gtin
from support_vectors import by_id, load

from tracelink.errors import UsageError
from tracelink.facts.partner_offers import Says
from tracelink.report.epcis.event_rules import check_document
from tracelink.report.epcis.offers import named, read_offers
from tracelink.report.format.strictjson import Exact

SCHEMA = load("epcis", "epcis-schema")
GAPS = load("epcis", "epcis-schema-gap")
ALLOWED = {"epcis-gap-offset-disagrees-with-eventTime"}


def offers_or_refusal(document):
    try:
        return read_offers(document, {})
    except UsageError as refused:
        return str(refused)


@each("case", [c for c in SCHEMA if c["expected"]["valid"]], ids=by_id)
def test_valid_documents_are_read(case):
    """An event is refused only where our own rule, that an event must have a number of its own, does it."""
    found = read_offers(given(case), {})
    assert found
    for offer in found:
        if offer.says is Says.REFUSED:
            assert "eventID: expected" in offer.sentence or "expected an identifier" in offer.sentence, (
                offer.sentence
            )


@each("case", [c for c in SCHEMA if not c["expected"]["valid"]], ids=by_id)
def test_bad_documents_offer_nothing_of_what_is_bad(case):
    found = offers_or_refusal(given(case))
    assert isinstance(found, str) or Says.REFUSED in [offer.says for offer in found]


@each("case", GAPS, ids=by_id)
def test_what_the_standard_lets_pass_and_sense_forbids_is_refused(case):
    document = given(case)
    found = read_offers(document, {})
    at = document["epcisBody"]["eventList"][0]["eventTime"]
    if case["id"] in ALLOWED and at.endswith("Z"):
        assert Says.REFUSED not in [offer.says for offer in found]
    else:
        assert Says.REFUSED in [offer.says for offer in found], case["expected"]["own_check_needed"]


def event(**changed):
    made = {
        "type": "ObjectEvent",
        "eventID": "urn:uuid:3f2a1b00-0000-4000-8000-000000000014",
        "eventTime": "2031-03-02T08:15:00.000+01:00",
        "eventTimeZoneOffset": "+01:00",
        "action": "OBSERVE",
        "bizStep": "receiving",
        "quantityList": [
            {"epcClass": "https://maker.example.com/pvc/88213", "quantity": Exact("71.50"), "uom": "KGM"}
        ],
    }
    return {name: value for name, value in {**made, **changed}.items() if value is not None}


def document(*events):
    return {
        "@context": [
            "https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld",
            {"m": "https://maker.example.com/"},
        ],
        "type": "EPCISDocument",
        "schemaVersion": "2.0",
        "creationDate": "2031-03-02T12:00:00Z",
        "epcisBody": {"eventList": list(events)},
    }


def test_a_receipt_keeps_the_quantity_as_written_and_the_code_that_stands_on_it_here():
    [offer] = read_offers(document(event()), {"https://maker.example.com/pvc/88213": code("C", 7)})
    [thing] = offer.things
    assert (offer.says, offer.sentence) == (Says.RECEIPT, "receiving")
    assert (thing.code, thing.gtin, thing.quantity, thing.uom) == (code("C", 7), None, "71.50", "KGM")


@each(
    ("changed", "says"),
    [
        ({"action": "ADD", "bizStep": "commissioning"}, Says.RECEIPT),
        ({"action": "ADD", "bizStep": "creating_class_instance"}, Says.RECEIPT),
        ({"bizStep": "accepting"}, Says.RECEIPT),
        ({"bizStep": "shipping"}, Says.NOTED),
        ({"action": "DELETE", "bizStep": "destroying"}, Says.NOTED),
        ({"action": "ADD"}, Says.NOTED),
        ({"bizStep": None}, Says.NOTED),
        ({"errorDeclaration": {"declarationTime": "2031-03-03T08:15:00Z"}}, Says.WITHDRAWN),
        ({"eventTime": "yesterday"}, Says.REFUSED),
        ({"eventID": None}, Says.REFUSED),
    ],
)
def test_what_an_event_says(changed, says):
    [offer] = read_offers(document(event(**changed)), {})
    assert offer.says is says, offer.sentence


def test_only_what_is_said_counts_as_content():
    plain, *others = read_offers(
        document(
            event(),
            event(recordTime="2031-03-04T08:15:00Z", eventID="urn:uuid:3f2a1b00-0000-4000-8000-000000000014"),
            event(disposition="in_progress", eventID="urn:uuid:3f2a1b00-0000-4000-8000-000000000015"),
        ),
        {},
    )
    assert [offer.content == plain.content for offer in others] == [True, False]


@pytest.mark.parametrize(
    ("uri", "expected"),
    [
        (f"https://id.plant.example.com/material/{code('C', 7)}", (code("C", 7), None)),
        (f"urn:plant:{code('E', 7)}", (code("E", 7), None)),
        (f"https://id.gs1.org/01/0{gtin(1)}/10/{code('B', 7)}", (code("B", 7), gtin(1))),
        (f"https://id.gs1.org/01/0{gtin(1)}/10/L2041", (None, gtin(1))),
        ("https://id.gs1.org/00/095200000000000011", ("095200000000000011", None)),
        ("urn:epc:id:sscc:9520000.0000000001", ("095200000000000011", None)),
        (f"https://id.plant.example.com/tool/{code('T', 7)}", (None, None)),
        ("https://id.plant.example.com/material/C0000071", (None, None)),
        ("https://maker.example.com/pvc/88213", (None, None)),
    ],
)
def test_names_of_things(uri, expected):
    assert named(uri, {}) == expected
    assert named(uri, {uri: code("C", 9)})[0] == code("C", 9)


@pytest.mark.parametrize("value", [None, [], "x", 7, {"type": []}, {"type": "ObjectEvent", "ilmd": 4}])
def test_any_event_at_all_is_an_offer(value):
    [offer] = read_offers(document(value), {})
    assert offer.says is Says.REFUSED
    changed = copy.deepcopy(document(event()))
    changed["epcisBody"] = value
    assert isinstance(offers_or_refusal(changed), str) or value == []


def test_a_refusal_of_many_faults_says_how_many_it_leaves_out():
    bad = event(**dict.fromkeys(("eventTime", "eventTimeZoneOffset", "action", "bizStep", "disposition", "readPoint", "bizLocation", "type"), 1))  # fmt: skip
    wrong = [each.sentence for each in check_document(document(bad))]
    assert len(wrong) > 5
    [offer] = read_offers(document(bad), {})
    assert offer.says is Says.REFUSED
    assert offer.sentence == "; ".join([*wrong[:5], f"and {len(wrong) - 5} more"])


FRAMES = {
    "body-list": {"epcisBody": [event()]},
    "body-in-body": {"epcisBody": {"epcisBody": {"eventList": [event()]}}},
    "no-event-list": {"epcisBody": {}},
    "event-list-object": {"epcisBody": {"eventList": event()}},
    "version-of-other-digits": {"schemaVersion": "٢.٠"},
    "created-in-second-60": {"creationDate": "2031-03-02T12:00:60Z"},
    "context-twice": {"@context": ["x:y", "x:y"]},
    "header-list": {"epcisHeader": []},
    "sender-number": {"sender": 7},
}
ANSWERS = {
    "no-results": {},
    "no-body": {"queryResults": {"queryName": "q"}},
    "no-event-list": {"queryResults": {"queryName": "q", "resultsBody": {}}},
    "events-beside-it": {"queryResults": {"queryName": "q", "resultsBody": {}, "x:eventList": [event()]}},
    "no-name": {"queryResults": {"resultsBody": {"eventList": [event()]}}},
}


class TestNothingIsLostWithoutAWord:
    @pytest.mark.parametrize("changed", FRAMES.values(), ids=FRAMES)
    def test_a_frame_that_the_schema_refuses(self, changed):
        with pytest.raises(UsageError, match=r"^the document: "):
            read_offers({**document(event()), **changed}, {})

    @pytest.mark.parametrize("body", ANSWERS.values(), ids=ANSWERS)
    def test_an_answer_to_a_query_without_its_events(self, body):
        with pytest.raises(UsageError, match=r"^the document: epcisBody"):
            read_offers({**document(), "type": "EPCISQueryDocument", "epcisBody": body}, {})

    def test_an_answer_to_a_query_with_them(self):
        body = {"queryResults": {"queryName": "q", "resultsBody": {"eventList": [event()]}}}
        asked = {"@context": document()["@context"], "type": "EPCISQueryDocument", "epcisBody": body}
        [offer] = read_offers(asked, {})
        assert offer.says is Says.RECEIPT

    def test_a_number_twice_is_found_behind_what_is_no_event(self):
        found = read_offers(document(7, event(), event()), {})
        assert [offer.says for offer in found] == [Says.REFUSED, Says.RECEIPT, Says.REFUSED]
        assert found[2].sentence.endswith("expected a number of its own, found that of event 2")


CLASS = "https://maker.example.com/pvc/88213"


def quantity(**changed):
    return {"quantityList": [{"epcClass": CLASS, "quantity": 5, **changed}]}


def sensor(**changed):
    return {"sensorElementList": [{"sensorReport": [{"type": "Mass", "value": 5, **changed}]}]}


WRONG = {
    "action-uri": {"action": "https://a.example/ship"},
    "action-small": {"action": "observe"},
    "brackets": quantity(epcClass="https://a.example/[88213]"),
    "brackets-in-query": quantity(epcClass="https://a.example/x?y=[1]"),
    "host-of-brackets": quantity(epcClass="https://[1]/x"),
    "fragment-twice": quantity(epcClass="https://a.example/x#y#z"),
    "half-an-escape": quantity(epcClass="https://a.example/x%2"),
    "persistent-of-nothing": {"persistentDisposition": {}},
    "second-60": {"eventTime": "2031-03-02T08:15:60+01:00"},
    "hour-24": {"eventTime": "2031-03-02T24:00:00+01:00"},
    "unit-list": quantity(uom=["KGM"]),
    "sensor-unit-list": sensor(uom=["KGM"]),
    "sensor-unit-object": sensor(uom={}),
    "certificate-number": {"certificationInfo": [7]},
    "context-number": {"@context": 7},
    "no-quantity-but-a-sensor": {"quantityList": [], **sensor()},
    "link-in-mixed-case": quantity(epcClass="hTTps://id.gs1.org/01/09520123456789/10/A"),
    "urn-in-capitals": quantity(epcClass="URN:EPC:class:lgtin:4012345.012345.A/"),
    "urn-of-a-pattern": quantity(epcClass="urn:epc:idpat:sgtin:4012345.12345.*"),
}


@each("changed", WRONG.values(), ids=WRONG)
def test_an_event_with_it_is_refused(changed):
    [offer] = read_offers(document(event(**changed)), {})
    assert (offer.says, offer.things, offer.words) == (Says.REFUSED, (), {}), offer.sentence


@pytest.mark.parametrize(
    "uri",
    [
        "urn:epc:idpat:cpi:4012345.AB12.*",
        "urn:epc:idpat:sgcn:4012345.22222.*",
        "urn:epc:idpat:upui:1234567.098765.*",
        "urn:epc:idpat:gid:95100000.12345.*",
        "hTTps://id.gs1.org/01/09520123456788/10/A",
        "https://[2001:db8::1]:8080/lot/1",
        "https://user@maker.example.com/lot?x=1#part",
        "x:",
    ],
)
def test_a_name_that_is_right_is_taken(uri):
    [offer] = read_offers(document(event(**quantity(epcClass=uri))), {})
    assert offer.says is Says.RECEIPT, offer.sentence
    assert [thing.uri for thing in offer.things] == [uri]


@pytest.mark.parametrize(
    "uri",
    [
        "urn:epc:id:cpi:0614141.123ABC.123456789",
        "urn:epc:id:sgcn:4012345.67890.04711",
        "urn:epc:id:gid:95100000.12345.400",
        "urn:epc:id:upui:1234567.089456.51qIgY)%3C%26Jp3*j7'SDB",
        "urn:epc:id:bic:CSQU3054383",
    ],
)
def test_an_object_of_any_scheme_is_taken(uri):
    [offer] = read_offers(document(event(epcList=[uri], quantityList=None)), {})
    assert offer.says is Says.RECEIPT, offer.sentence


def test_an_event_of_another_vocabulary_is_noted_whatever_its_fields_hold():
    [offer] = read_offers(document(event(type="m:Blend", epcList=7, quantityList="x", ilmd=3, action=[])), {})
    assert (offer.says, offer.things, offer.words) == (Says.NOTED, (), {})


def test_objects_of_a_document_that_ends_are_named_or_not():
    """A DELETE of a transaction needs no objects, as the published schema has it."""
    ended = event(
        type="TransactionEvent",
        action="DELETE",
        quantityList=None,
        bizTransactionList=[{"type": "po", "bizTransaction": "x:1"}],
    )
    [offer] = read_offers(document(ended), {})
    assert offer.says is Says.NOTED, offer.sentence


def transformation(**changed):
    """Pellets that a supplier made out of two of its own lots."""
    made = {
        "type": "TransformationEvent",
        "eventID": "urn:uuid:3f2a1b00-0000-4000-8000-000000000020",
        "eventTime": "2031-03-02T08:15:00.000+01:00",
        "eventTimeZoneOffset": "+01:00",
        "bizStep": "creating_class_instance",
        "inputQuantityList": [
            {"epcClass": f"https://maker.example.com/resin/{number}", "quantity": 40, "uom": "KGM"}
            for number in (1, 2)
        ],
        "outputQuantityList": [
            {"epcClass": "https://maker.example.com/pvc/88213", "quantity": 80, "uom": "KGM"}
        ],
        "ilmd": {"m:lotNumber": "88213"},
    }
    return {name: value for name, value in {**made, **changed}.items() if value is not None}


def test_what_a_supplier_made_of_something_is_received_by_the_code_that_stands_on_it():
    known = {"https://maker.example.com/pvc/88213": code("C", 7)}
    [offer] = read_offers(document(transformation()), known)
    assert (offer.says, offer.sentence) == (Says.RECEIPT, "creating_class_instance")
    assert [(thing.code, thing.quantity, thing.uom) for thing in offer.things] == [
        (code("C", 7), "80", "KGM")
    ]
    assert offer.words["lotNumber"] == "88213"


def test_what_is_not_known_by_a_code_is_noted_and_nothing_of_what_went_in_is_received():
    [offer] = read_offers(document(transformation()), {"https://maker.example.com/resin/1": code("C", 7)})
    assert (offer.says, offer.sentence) == (
        Says.NOTED,
        (
            "2 things became 1 thing (step creating_class_instance); not all that came out is known here by a code: nothing to "
            "book here. Read it again with --as for what you received"
        ),
    )


EXAMPLES = [
    (
        "Example_9.6.4-TransformationEvent",
        (
            "5 things became 4 things (step commissioning); not all that came out is known here by a code: nothing to book "
            "here. Read it again with --as for what you received"
        ),
    ),
    (
        "Example_9.6.4-TransformationEventWithDigitalLink",
        (
            "5 things became 4 things (step commissioning); not all that came out is known here by a code: nothing to book "
            "here. Read it again with --as for what you received"
        ),
    ),
    (
        "AssociationEvent-a",
        "1 part joined to urn:epc:id:grai:4012345.55555.987 (step assembling): nothing to book here",
    ),
    (
        "AssociationEvent-c",
        "1 part taken out of urn:epc:id:grai:4012345.55555.987 (step removing): nothing to book here",
    ),
    (
        "AssociationEvent-d",
        "all parts taken out of urn:epc:id:grai:4012345.55555.987 (step disassembling): nothing to book here",
    ),
]


@each(("name", "sentence"), EXAMPLES)
def test_the_standards_transformations_and_associations_are_read(name, sentence):
    """Source: GS1 EPCIS 2.0, its example documents (github gs1/EPCIS, commit 2b888be, 2023-05-16)."""
    read = read_offers(example(f"examples/{name}.jsonld"), {})
    assert [(offer.says, offer.sentence) for offer in read] == [(Says.NOTED, sentence)]


def test_the_standards_transformation_is_received_once_its_products_have_codes():
    """Source: as above, example 9.6.4."""
    known = {f"urn:epc:id:sgtin:4012345.077889.{number}": code("C", number) for number in range(25, 29)}
    [offer] = read_offers(example("examples/Example_9.6.4-TransformationEvent.jsonld"), known)
    assert offer.says is Says.RECEIPT
    assert [thing.code for thing in offer.things] == [code("C", number) for number in range(25, 29)]

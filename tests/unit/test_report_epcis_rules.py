"""Our judgement of EPCIS documents, held against published examples, bad documents and the published schema."""

import copy

import pytest
from support_each import each
from support_epcis import given, validator
from support_exchange import packed_before_commissioned
from support_vectors import by_id, load

from tracelink.report.epcis.event_rules import check_document, events_of

SCHEMA = load("epcis", "epcis-schema")
GAPS = load("epcis", "epcis-schema-gap")


@each("case", SCHEMA, ids=by_id)
def test_our_rules_refuse_what_the_schema_refuses(case):
    found = [each for each in check_document(given(case)) if each.standard]
    assert (not found) is case["expected"]["valid"], (case["source"], found)


@each("case", SCHEMA, ids=by_id)
def test_the_published_schema_says_so_too(case):
    assert validator().is_valid(given(case)) is case["expected"]["valid"], case["source"]


ALLOWED = {"epcis-gap-offset-disagrees-with-eventTime"}


@each("case", GAPS, ids=by_id)
def test_what_the_schema_lets_pass_is_found(case):
    document = given(case)
    found = check_document(document)
    assert [each for each in found if each.standard] == [], case["source"]
    at, offset = (events_of(document)[0][key] for key in ("eventTime", "eventTimeZoneOffset"))
    if case["id"] in ALLOWED and at.endswith("Z"):
        # One instant, one local offset: the standard's examples do it, so it is read and not refused.
        assert found == [], offset
    else:
        assert found, case["expected"]["own_check_needed"]


BASE = next(case for case in GAPS if case["id"] == "epcis-gap-empty-epcList")


def base():
    document = copy.deepcopy(given(BASE))
    document["epcisBody"]["eventList"][0]["epcList"] = ["https://id.example.org/tool/1"]
    return document, document["epcisBody"]["eventList"][0]


def test_a_sentence_names_the_event_the_field_and_both_values():
    document, event = base()
    event["eventTimeZoneOffset"] = "+02:00"
    assert [each.sentence for each in check_document(document)] == [
        f"event 1 ({event['eventID']}): eventTimeZoneOffset: expected +01:00 as in eventTime, found '+02:00'"
    ]


@pytest.mark.parametrize(
    "value", [None, [], "x", 7, {}, {"type": "EPCISDocument", "epcisBody": []}, {"type": []}]
)
def test_anything_at_all_can_be_judged(value):
    assert check_document(value)


@pytest.mark.parametrize(
    "value", [None, [], "x", 7, {"type": 3}, {"type": "ObjectEvent", "epcList": 4, "ilmd": 3}]
)
def test_any_event_can_be_judged(value):
    document, _ = base()
    document["epcisBody"]["eventList"] = [value]
    assert check_document(document)


def test_a_number_twice_is_right_only_for_a_declared_error_of_the_same_event():
    document, event = base()
    again = {**copy.deepcopy(event), "errorDeclaration": {"declarationTime": "2026-03-02T11:00:00Z"}}
    document["epcisBody"]["eventList"].append(again)
    assert check_document(document) == []
    again["disposition"] = "destroyed"
    assert [each.where for each in check_document(document)] == ["errorDeclaration"]
    del again["errorDeclaration"]
    assert [each.where for each in check_document(document)] == ["eventID"]


def test_a_urn_with_a_wrong_shape_is_found():
    document, event = base()
    event["epcList"] = ["urn:epc:id:sscc:9520123.0000000001"]
    assert check_document(document) == []
    event["epcList"] = ["urn:epc:id:sscc:9520123.00000001"]
    assert [each.where for each in check_document(document)] == ["epcList[0]"]


def packing(child, at):
    return {
        "type": "AggregationEvent",
        "action": "ADD",
        "parentID": "x:p",
        "childEPCs": [child],
        "eventTime": at,
    }


def test_what_is_packed_must_have_come_to_be_before():
    _, event = base()
    event |= {"action": "ADD", "bizStep": "commissioning"}
    child = event["epcList"][0]
    early, late = "2026-03-01T08:00:00+01:00", "2026-03-03T08:00:00+01:00"
    events = [event, packing(child, late), packing(child, early), packing("x:other", late)]
    assert [place for place, _ in packed_before_commissioned(events)] == [3, 4]

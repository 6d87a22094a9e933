"""PINs and partners' documents on PostgreSQL: the same rules, the same rows after a rebuild."""

import json

import pytest
from support_pins import KEY, PINS, WRONG, rebuilds, with_pins
from support_plant import LAB, code, n

from tracelink.errors import UsageError
from tracelink.ledger.entry import Stamp
from tracelink.report.epcis.offers import read_offers
from tracelink.report.format.strictjson import read_json
from tracelink.store.journal.pin_key import key_file, read_key
from tracelink.store.office.partners import DocumentFile, book_document
from tracelink.store.office.people import PinProof, people, prove


@pytest.fixture
def floor(pg_plant):
    return with_pins(pg_plant)


def test_pins_are_asked_checked_and_rebuilt(floor):
    floor.play(
        LAB,
        f"""
        P1 -> NEXT
        #{WRONG} -> STOP badge-refused
        #{PINS[1]} -> DONE; Ada is signed on. Scan an action card.
        P2 | CANCEL -> DONE
        """,
    )
    stamp = Stamp(floor.at, "2031-03-03T07:00:00Z", person=code("P", 1))
    with floor.ledger.writing() as booking:
        assert prove(booking, stamp, WRONG) == PinProof(
            "Wrong PIN for the badge of Ada. Key it again.", is_recorded=True
        )
    with floor.ledger.reading() as conn:
        assert [row.failures for row in people(conn)] == [1, 0, None]
    rebuilds(floor)


def test_the_key_lies_where_the_environment_says(floor, tmp_path, monkeypatch):
    monkeypatch.delenv("RUNOUT_PIN_KEY", raising=False)
    with pytest.raises(UsageError, match="name the file of its PIN key with RUNOUT_PIN_KEY"):
        key_file(floor.ledger.place)
    assert read_key(floor.ledger.place) is None
    file = tmp_path / "pin-key"
    file.write_text(KEY.hex())
    file.chmod(0o600)
    monkeypatch.setenv("RUNOUT_PIN_KEY", str(file))
    assert read_key(floor.ledger.place) == KEY


def test_a_partners_document_is_booked_once(floor):
    event = {
        "type": "ObjectEvent",
        "eventID": "urn:uuid:3f2a1b00-0000-4000-8000-000000000001",
        "eventTime": "2031-03-02T08:15:00Z",
        "eventTimeZoneOffset": "+01:00",
        "action": "OBSERVE",
        "bizStep": "receiving",
        "quantityList": [{"epcClass": f"x:{n('C9')}", "quantity": 71.5, "uom": "KGM"}],
    }
    document = {
        "@context": ["https://ref.gs1.org/standards/epcis/2.0.0/epcis-context.jsonld"],
        "type": "EPCISDocument",
        "schemaVersion": "2.0",
        "creationDate": "2031-03-02T12:00:00Z",
        "epcisBody": {"eventList": [event, {**event, "eventTime": "x"}]},
    }
    data = json.dumps(document).encode()
    offers = read_offers(read_json(data, "d.jsonld"), {})
    stamp = Stamp(floor.at, "2031-03-03T07:00:00Z", person=code("P", 1))
    verdicts = []
    for opened in (floor.ledger.dry_run, floor.ledger.writing, floor.ledger.writing):
        with opened() as booking:
            found = book_document(booking, stamp, DocumentFile("ab" * 32, "d.jsonld", len(data)), offers)
        verdicts.append([one.verdict for one in found])
    assert verdicts == [["booked", "refused"], ["booked", "refused"], ["before", "refused"]]
    assert floor.count("partner_event") == 2
    rebuilds(floor)

"""A supplier's EPCIS document brings part lots into quarantine; the standard's examples of parts and products are read."""

import pytest
from support_assembly import assembly_floor, play
from support_each import each
from support_epcis import document as example
from support_partners import event, written
from support_plant import code, n

from tracelink.facts.partner_offers import Says
from tracelink.ledger.entry import Stamp
from tracelink.report.epcis.offers import read_offers
from tracelink.report.format.strictjson import read_json
from tracelink.services.balancing import balance
from tracelink.store.journal.verify import examine
from tracelink.store.ledger import utc_now
from tracelink.store.office.partners import DocumentFile, book_document

LOT = f"https://parts.example.com/lot/{code('M', 21)}"
SAYS = {"m:part": "EX-1001", "m:revision": "1", "m:supplierLot": "SL-900", "m:dateCode": "3120"}
AT = "2031-03-03T08:00:00+01:00"


@pytest.fixture
def floor():
    return assembly_floor()


@pytest.fixture
def take(floor, tmp_path):
    """Read events in, as Ada of quality does; returns the verdicts and sentences."""

    def read(*events):
        file = written(tmp_path / "d.jsonld", *events)
        offers = read_offers(read_json(file.read_bytes(), "d.jsonld"), {})
        with floor.ledger.writing() as booking:
            stamp = Stamp(AT, utc_now(), person=code("P", 1))
            found = book_document(booking, stamp, DocumentFile("0" * 64, "d.jsonld", 1), offers)
        return [(one.verdict, one.sentence) for one in found]

    return read


def status(floor, lot):
    with floor.ledger.reading() as conn:
        return conn.exec_driver_sql(
            f"SELECT status, quantity, supplier_lot, date_code FROM part_lot WHERE code = '{lot}'"
        ).one()


def test_a_part_lot_comes_into_quarantine_and_is_tested_before_it_is_taped(floor, take):
    told = take(event(1, (LOT, {"quantity": 500}), ilmd=SAYS))
    assert told == [("booked", f"event 1: commissioning: 500 pieces of {code('M', 21)}")]
    assert tuple(status(floor, n("M21"))) == ("in quarantine", 500, "SL-900", "3120")
    play(
        floor,
        """
        TAPE | F1 | M21 -> STOP not-accepted
        CANCEL | TESTLOT | M21 | #5 | #0 | TAPE | F1 | M21 | #100 -> DONE
        """,
    )
    with floor.ledger.reading() as conn:
        assert balance(conn, n("M21")).difference == 0
        assert examine(conn).faults == []


def test_the_same_lot_is_known_and_another_one_under_its_code_is_refused(take):
    take(event(1, (LOT, {"quantity": 500}), ilmd=SAYS))
    again = take(event(2, (LOT, {"quantity": 500}), ilmd=SAYS))
    other = take(event(3, (LOT, {"quantity": 499}), ilmd=SAYS))
    assert again == [("booked", f"event 1: commissioning: 500 pieces of {code('M', 21)} (known before)")]
    assert other == [
        (
            "refused",
            f"event 1: part lot {code('M', 21)} is in the system as EX-1001 1 500, not as EX-1001 1 499",
        )
    ]


@each(
    ("amount", "said", "why"),
    [
        (
            {"quantity": 500},
            {**SAYS, "m:part": "EX-77"},
            "expected part (a part number of this plant) and revision in ilmd, found EX-77 and 1",
        ),
        (
            {"quantity": 500},
            {"m:part": "EX-1001"},
            "expected part (a part number of this plant) and revision in ilmd, found EX-1001 and no revision",
        ),
        ({"quantity": 2.5}, SAYS, "expected a whole number of pieces without unit, found 2.5"),
        ({"quantity": 5, "uom": "KGM"}, SAYS, "expected a whole number of pieces without unit, found 5 KGM"),
        ({}, SAYS, "expected a whole number of pieces without unit, found no quantity"),
    ],
)
def test_what_is_not_enough_to_receive_parts_by_is_refused_and_nothing_is_booked(
    floor, take, amount, said, why
):
    told = take(event(1, (LOT, amount), ilmd=said))
    assert told == [("refused", f"event 1: part lot {code('M', 21)}: {why}")]
    with floor.ledger.reading() as conn:
        assert conn.exec_driver_sql("SELECT COUNT(*) FROM part_lot").scalar() == 0


@each(
    ("name", "kind"),
    [
        ("AssociationEvent-a", "AssociationEvent"),
        ("AssociationEvent-c", "AssociationEvent"),
        ("AssociationEvent-d", "AssociationEvent"),
        ("Example_9.6.4-TransformationEvent", "TransformationEvent"),
        ("Example_9.6.4-TransformationEventWithDigitalLink", "TransformationEvent"),
    ],
)
def test_the_examples_of_the_standard_are_read(name, kind):
    """Source: the examples of the EPCIS 2.0 standard; each event is read, and none is refused for what it says."""
    found = example(f"examples/{name}.jsonld")
    told = [one for one in found["epcisBody"]["eventList"] if one["type"] == kind]
    offers = read_offers(found, {})
    assert len(told) == len([one for one in offers if one.says is Says.NOTED]) > 0

"""Bundles about parts, boards, units and steps of the assembly hall: what they take, that they verify, and their events."""

import json

import pytest
from support_assembly import BENCH, UNIT, built_floor, play
from support_bundle import PLANT, checkpoint, seal
from support_each import each
from support_epcis import validator
from support_plant import carton_sscc, gtin, n

from tracelink.report.bundle import verify_bundle
from tracelink.report.epcis.event_rules import check_document
from tracelink.report.format.strictjson import read_json
from tracelink.services.audit_bundle import ProvingCheckpoint, make_bundle
from tracelink.store.bundle.bundle_facts import Wishes
from tracelink.store.bundle.bundle_scope import bundle_scope
from tracelink.store.journal import journal, subtrees

SUBJECTS = ("F1", "N1", "U202", "X1")
KEY = verify_bundle.parse_key(PLANT.key)


@pytest.fixture(scope="module")
def floor():
    """Three units: the second had a resistor and its board taken out and others put in, two are packed and sent,
    and the second of them comes back."""
    made = built_floor()
    play(
        made,
        f"""
        BUILD | N2 | "{UNIT} | U201 | #4 | #1 | JOIN | U201 | U101 | F4 | JOIN | U202 | U116 | F4 | JOIN | U203 | U117 | F4 -> DONE
        FAIL | U202 | "final 2.1 | "no sound | "C12 -> STOP test-failed
        OUT | U202 | U116 | "scrap | "cracked | JOIN | U202 | U118 -> DONE
        PASS | U201 | "final 2.1 | PASS | U202 | "final 2.1 | PACK | carton 1 | U201 | U202 | carton 1 -> DONE
        FAIL | U121 | "board 1.4 | "dead | "R1 -> STOP test-failed
        OUT | U121 | "EX-1001 | "retest | "cracked | TAPE | F7 | M1 | #4 | JOIN | U121 | F7 -> DONE
        12:00 OVEN
        BEGIN | X1 | V51 | TAKE | X1 | N1 | #15 | #20 | END | X1 -> DONE
        12:05 MACHINE
        DROP | F3 | #3 | PLACED | #34 | ENDRUN | LEFT | F3 | #18 -> STOP count-differs
        12:10 DOCK
        P1 | PALLET | pallet 1 | carton 1 | CLOSE | ACCEPT | pallet 1 -> DONE
        SHIP | O9 | PICK | pallet 1 | pallet 1 | DRIVER | "Dee | DEPART | UNITBACK | U202 | "hums -> DONE
        """,
        BENCH,
    )
    return made


@pytest.fixture(scope="module")
def made(floor):
    """Bundles by subject, each made once."""
    found = {}

    def bundle(subject):
        if subject not in found:
            with floor.ledger.reading() as conn:
                size = journal.head(conn).seq
                note = checkpoint(size, subtrees.root(conn, size), PLANT)
                proving = ProvingCheckpoint(note, PLANT.key, seal=seal)
                found[subject] = make_bundle(conn, bundle_scope(conn, subject), proving, Wishes())
        return found[subject]

    return bundle


def scope_of(floor, subject):
    with floor.ledger.reading() as conn:
        return bundle_scope(conn, subject)


def events(bundle):
    return json.loads(bundle["events.jsonld"])["epcisBody"]["eventList"]


def bodies(bundle, kind):
    entries = (json.loads(line) for line in bundle[verify_bundle.ENTRIES].splitlines() if line)
    return [entry["body"] for entry in entries if entry["kind"] == kind]


def test_a_unit_is_told_back_to_part_lots_and_other_units_of_its_tray_are_not(floor, made):
    scope = scope_of(floor, n("U202"))
    assert scope.parts == {n("U202"), n("U116"), n("U118")}
    assert {
        n("M2"),
        n("M3"),
        n("M4"),
        n("F1"),
        n("F2"),
        n("F4"),
        n("N1"),
        n("N2"),
    } <= scope.part_sources
    assert scope.cartons == {carton_sscc(1)}
    joined = [body["unit"]["piece"] for body in bodies(made(n("U202")), "parts-joined")]
    assert joined == [n("U202"), n("U202")]
    assert len(bodies(made(n("U202")), "parts-placed")) == 3


def test_a_reel_is_followed_to_all_its_units_and_their_cartons(floor, made):
    scope = scope_of(floor, n("F1"))
    assert {
        n("F1"),
        n("U101"),
        n("U116"),
        n("U117"),
        n("U118"),
        n("U201"),
        n("U202"),
        n("U203"),
    } <= scope.parts
    assert scope.part_sources >= {n("M1"), n("M4")}
    # What else is joined into those units comes of other reels: how those came to be is told.
    assert n("F4") not in scope.parts
    assert len(bodies(made(n("F1")), "units-packed")) == 1
    assert {body["part_lot"] for body in bodies(made(n("F1")), "part-lot-received")} >= {n("M1"), n("M4")}


def test_a_carton_has_its_units_with_what_they_are_made_of(floor):
    scope = scope_of(floor, carton_sscc(1))
    assert scope.parts == {n("U201"), n("U202"), n("U101"), n("U116"), n("U118")}
    assert n("M4") in scope.part_sources


def test_a_step_has_the_pieces_that_went_through_and_where_they_are(floor):
    scope = scope_of(floor, n("X1"))
    assert scope.steps == {n("X1")}
    assert {n("N1"), n("U116"), n("U117"), n("U118"), n("U202"), n("U203")} <= scope.parts
    assert n("U101") not in scope.parts


@each("subject", SUBJECTS)
def test_a_bundle_of_parts_verifies_and_its_events_are_right(made, subject):
    files = made(n(subject))
    assert verify_bundle.verify(files, keys=[KEY]).code == 0
    document = read_json(files["events.jsonld"], "events.jsonld")
    assert check_document(document) == []
    assert document["epcisBody"]["eventList"]


@each("subject", SUBJECTS)
def test_its_events_validate_against_the_published_schema(made, subject):
    """Source: EPCIS-JSON-Schema.json of the EPCIS 2.0 standard."""
    validator().validate(json.loads(made(n(subject))["events.jsonld"]))


def test_boards_are_a_transformation_of_parts_off_reels(made):
    placed = [one for one in events(made(n("N1"))) if "/placed/" in one.get("transformationID", "")]
    [first, *_] = placed
    assert {part["epcClass"].rpartition("/")[2]: part["quantity"] for part in first["inputQuantityList"]} == {
        n("F1"): 20,
        n("F2"): 10,
    }
    [boards] = first["outputQuantityList"]
    assert (boards["epcClass"].rpartition("/")[2], boards["quantity"]) == (n("N1"), 10)
    assert (first["ilmd"]["plant:firstPiece"], first["ilmd"]["plant:lastPiece"]) == (1, 10)


def test_a_reel_is_a_transformation_of_part_lots(made):
    taped = [
        one
        for one in events(made(n("F1")))
        if one.get("transformationID", "").endswith(f"/taped/{n('F1')}-31")
    ]
    [tail] = taped
    assert [part["epcClass"].rpartition("/")[2] for part in tail["inputQuantityList"]] == [n("M4")]
    assert tail["inputQuantityList"][0]["quantity"] == tail["outputQuantityList"][0]["quantity"] == 10


def test_what_is_in_a_unit_is_associated_and_what_is_taken_out_again_is_not_any_more(made):
    found = [one for one in events(made(n("U202"))) if one["type"] == "AssociationEvent"]
    told = [
        (one["action"], [child.rpartition("/")[2] for child in one.get("childEPCs", [])]) for one in found
    ]
    assert told == [("ADD", [n("U116")]), ("DELETE", [n("U116")]), ("ADD", [n("U118")])]
    screws = found[0]["childQuantityList"]
    assert [(part["epcClass"].rpartition("/")[2], part["quantity"]) for part in screws] == [(n("F4"), 4)]
    # The unit is a product: it has its GTIN and its number, everywhere.
    assert {one["parentID"] for one in found} == {f"https://id.gs1.org/01/0{gtin(9)}/21/{n('U202')}"}


def test_a_part_that_was_taken_out_is_somewhere(made):
    gone = [
        one for one in events(made(n("U202"))) if "epcList" in one and one.get("disposition") == "destroyed"
    ]
    assert [one["epcList"][0].rpartition("/")[2] for one in gone] == [n("U116")]
    kept = [one for one in events(made(n("N1"))) if one.get("plant:to") == "retest"]
    assert len(kept) == 1
    dropped = [
        one for one in events(made(n("N1"))) if one.get("bizStep") == "destroying" and "quantityList" in one
    ]
    # A chip failed the incoming test, three resistors were thrown away by the machine.
    assert [part["quantity"] for one in dropped for part in one["quantityList"]] == [1, 3]


def test_the_tables_of_a_bundle_name_what_went_where(made):
    files = made(n("U202"))
    joins = files["tables/joins.csv"].decode("utf-8-sig").splitlines()
    assert [line.split(",")[3] for line in joins[1:]] == [n("U116"), n("F4"), n("U118")]
    page = files["report.html"].decode()
    assert "Which pieces took which positions of which reel" in page
    assert "A press counts strokes" not in page


def changed(files, name, before, after):
    assert before in files[name], name
    return {**files, name: files[name].replace(before, after, 1)}


@each(
    ("name", "before", "after"),
    [
        ("entries.jsonl", b'"quantity":20', b'"quantity":19'),
        ("proofs.jsonl", b"1", b"2"),
        ("events.jsonld", b"AssociationEvent", b"AggregationEvent"),
        ("tables/joins.csv", b"U0", b"U1"),
        ("report.html", b"reel", b"reep"),
        ("checkpoint.txt", b"\n", b"\n\n"),
    ],
)
def test_what_is_changed_in_a_bundle_of_a_unit_is_named_by_its_file(made, name, before, after):
    files = made(n("U202"))
    [real] = [one for one in files if one.endswith(name)]
    faults = verify_bundle.verify(changed(files, real, before, after), keys=[KEY]).faults
    assert any(real in fault or name in fault for fault in faults), faults


def test_a_unit_that_came_back_is_out_of_its_carton_and_received(made):
    """Source: CBV 2.0, business steps unpacking and receiving, disposition returned."""
    bundle = made(n("U202"))
    assert [body["left"]["parent"] for body in bodies(bundle, "unit-came-back")] == [carton_sscc(1)]
    told = [one for one in events(bundle) if one.get("disposition") == "returned"]
    assert [(one["type"], one["bizStep"], one["action"]) for one in told] == [
        ("AggregationEvent", "unpacking", "DELETE"),
        ("ObjectEvent", "receiving", "OBSERVE"),
    ]
    assert told[0]["childEPCs"] == told[1]["epcList"]
    assert told[0]["childEPCs"][0].rpartition("/")[2] == n("U202")

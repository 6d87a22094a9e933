"""Process steps in an audit bundle: of a lot the washes of its discs and the blends of its material, with their events."""

import json

import pytest
from support_bundle import PLANT, checkpoint, seal
from support_epcis import validator
from support_plant import PRESS, n, stamper
from support_process import STEPS, WASH, play, process_floor

from tracelink.report.bundle import verify_bundle
from tracelink.services.audit_bundle import ProvingCheckpoint, make_bundle
from tracelink.store.bundle.bundle_facts import Wishes
from tracelink.store.bundle.bundle_scope import bundle_scope
from tracelink.store.journal import journal, subtrees


@pytest.fixture(scope="module")
def floor():
    """Lot 1 is pressed from a blend that holds some of lot 5, which was ground, and one of its two stacks is washed."""
    floor = process_floor()
    floor.press(5, strokes=8, stacks=1)
    floor.play(STEPS, "P41 -> DONE")
    play(
        floor,
        """
        BEGIN | X1 | V6 | TAKE | X1 | L5 | "1.2 kg | MAKE | X1 | C8 | "1.2 kg | END | X1 -> DONE
        BEGIN | X2 | V5 | TAKE | X2 | C8 | "1 kg | TAKE | X2 | C2 | "9 kg | MAKE | X2 | C9 | "9.9 kg | END | X2 -> DONE
        BEGIN | X3 | V3 | TAKE | X3 | T1 | END | X3 -> DONE
        BEGIN | X4 | V3 | TAKE | X4 | T21 | END | X4 -> DONE
        """,
    )
    a, b = stamper("EX-101-A"), stamper("EX-101-B")
    floor.scan(PRESS, "SETUP", "L1", a, b, "C9", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')
    floor.scan(PRESS, "STACK", "K11", "#10", "STACK", "K12", "#20", "STOP", "#20")
    play(
        floor,
        """
        BEGIN | X5 | V1 | TAKE | X5 | K11 | READ | X5 | "bath temperature=40.5 °C | READ | X5 | "conductivity=3 µS/cm -> DONE
        END | X5 -> DONE
        BEGIN | X6 | V4 | TAKE | X6 | C1 | "3 kg | END | X6 -> DONE
        CORRECT | X2 | C9 | "9.8 kg | "tare | P2 -> DONE
        """,
    )
    return floor


def scope_of(floor, subject):
    with floor.ledger.reading() as conn:
        return bundle_scope(conn, subject)


def made(floor, subject):
    with floor.ledger.reading() as conn:
        size = journal.head(conn).seq
        note = checkpoint(size, subtrees.root(conn, size), PLANT)
        proving = ProvingCheckpoint(note, PLANT.key, seal=seal)
        return make_bundle(conn, bundle_scope(conn, subject), proving, Wishes())


def test_a_lot_has_the_steps_of_its_tools_discs_and_material_back_through_blends(floor):
    scope = scope_of(floor, n("L1"))
    # X4 worked on a tool of another title, X6 dried a compound that only the ground lot was pressed from.
    assert scope.steps == {n("X1"), n("X2"), n("X3"), n("X5")}
    assert scope.equipment == {n("V1"), n("V3"), n("V5"), n("V6")}
    assert scope.processes == {"wash", "nickel plating", "blending", "grinding"}
    assert {n("C2"), n("C8"), n("C9")} <= scope.materials


def test_its_bundle_verifies_and_holds_their_entries(floor):
    files = made(floor, n("L1"))
    assert verify_bundle.verify(files, keys=[verify_bundle.parse_key(PLANT.key)]).code == 0
    kinds = [json.loads(line)["kind"] for line in entries_of(files)]
    counted = {kind: kinds.count(kind) for kind in ("step-begun", "step-made", "step-read", "step-ended")}
    assert counted == {"step-begun": 4, "step-made": 2, "step-read": 2, "step-ended": 4}
    assert kinds.count("process-defined") == 4
    assert kinds.count("equipment-placed") == 4


def entries_of(files):
    [name] = [name for name in files if name.endswith("entries.jsonl")]
    return [line for line in files[name].decode("utf-8").splitlines() if line]


def events(floor, subject):
    return json.loads(made(floor, subject)["events.jsonld"])


def test_a_blend_is_a_transformation_and_a_wash_is_seen_with_what_was_read(floor):
    document = events(floor, n("L1"))
    validator().validate(document)
    found = document["epcisBody"]["eventList"]
    blends = [
        each
        for each in found
        if "/step/" in each.get("transformationID", "") and "errorDeclaration" not in each
    ]
    assert [
        ([part["quantity"] for part in each["inputQuantityList"]], each["outputQuantityList"][0]["quantity"])
        for each in blends
    ] == [([1.2], 1.2), ([1, 9], 9.9), ([1, 9], 9.8)]
    [wash] = [each for each in found if each.get("plant:process") == "wash"]
    assert wash["epcList"][0].endswith(n("K11"))
    [first, second] = wash["sensorElementList"]
    assert first["sensorReport"][0]["value"] == 40.5
    assert second["sensorReport"][0]["stringValue"] == "3 µS/cm"
    assert wash["plant:step"].endswith(n("X5"))
    assert WASH not in json.dumps([each for each in found if each["type"] == "TransformationEvent"])


def test_a_corrected_amount_declares_the_event_before_it_wrong(floor):
    found = events(floor, n("L1"))["epcisBody"]["eventList"]
    [wrong] = [each for each in found if "errorDeclaration" in each]
    [right] = [each for each in found if each["eventID"] in wrong["errorDeclaration"]["correctiveEventIDs"]]
    assert wrong["outputQuantityList"][0]["quantity"] == 9.9
    assert right["outputQuantityList"][0]["quantity"] == 9.8
    assert right["transformationID"] == wrong["transformationID"]

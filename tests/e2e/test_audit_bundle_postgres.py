"""A bundle out of PostgreSQL: the same questions in SQL, the same order of everything."""

import json

from support_bundle import PLANT, checkpoint, seal
from support_plant import DOCK, LAB, LINE, carton_sscc, code

from tracelink.report.bundle import verify_bundle
from tracelink.report.epcis.event_rules import check_document
from tracelink.services.audit_bundle import ProvingCheckpoint, make_bundle
from tracelink.store.bundle.bundle_facts import Wishes
from tracelink.store.bundle.bundle_scope import bundle_scope
from tracelink.store.journal import journal, subtrees


def bundle(floor, subject, **wishes):
    with floor.ledger.reading() as conn:
        size = journal.head(conn).seq
        note = checkpoint(size, subtrees.root(conn, size), PLANT)
        return make_bundle(
            conn, bundle_scope(conn, subject), ProvingCheckpoint(note, PLANT.key, seal=seal), Wishes(**wishes)
        )


def test_lots_cartons_and_pallets_have_bundles_that_verify(pg_grown):
    floor = pg_grown
    floor.press(1)
    floor.scan(LAB, "P1", "SAMPLE", "L1", "S1", "#10", "K11", "GOOD", "S1")
    floor.open_line(1, [11], 1)
    floor.match(1, 5)
    floor.scan(LINE, "CLOSE")
    floor.scan(DOCK, "P1", "PALLET", "pallet 1", "carton 1")
    [(pallet,)] = floor.read("pallet", "sscc")
    for subject in (code("L", 1), carton_sscc(1), pallet):
        made = bundle(floor, subject)
        assert made == bundle(floor, subject)
        assert verify_bundle.verify(made, keys=[verify_bundle.parse_key(PLANT.key)]).code == 0
        assert check_document(json.loads(made["events.jsonld"])) == []
    assert b"Ada" not in bundle(floor, code("L", 1), pseudonyms=True)["report.html"]

"""What an audit bundle can be about beside a lot, carton or pallet: a tool, shipment, consignee, material, sleeves."""

import csv
import io
import json
from functools import cache

import pytest
from support_bundle import PLANT, checkpoint, seal
from support_cases import CAUSE, shipped
from support_plant import Floor, carton_sscc, code, n, stamper

from tracelink.errors import UsageError
from tracelink.report.bundle import verify_bundle
from tracelink.report.bundle.answers_going import OF_ROWS
from tracelink.services.audit_bundle import ProvingCheckpoint, make_bundle
from tracelink.store.bundle.bundle_facts import Wishes
from tracelink.store.bundle.bundle_scope import bundle_scope
from tracelink.store.journal import journal, subtrees

CARTONS = {carton_sscc(number) for number in (1, 2, 3)}


@cache
def floor():
    floor = shipped()
    floor.press(2)
    return floor


@cache
def bundle(subject):
    with floor().ledger.reading() as conn:
        size = journal.head(conn).seq
        note = checkpoint(size, subtrees.root(conn, size), PLANT)
        scope = bundle_scope(conn, subject)
        return make_bundle(conn, scope, ProvingCheckpoint(note, PLANT.key, seal=seal), Wishes())


def scope_of(subject):
    with floor().ledger.reading() as conn:
        return bundle_scope(conn, subject)


def rows(made, name):
    return list(csv.DictReader(io.StringIO(made[f"tables/{name}.csv"].decode("utf-8-sig"))))


@pytest.mark.parametrize(
    ("subject", "said", "lots", "cartons"),
    [
        (CAUSE, f"tool {CAUSE}", {"L1"}, CARTONS),
        # A stamper of another title pressed lot 2 alone.
        (stamper("EX-102-A"), f"tool {stamper('EX-102-A')}", {"L2"}, set()),
        (n("C1"), f"material {n('C1')}", {"L1", "L2"}, CARTONS),
        (n("E1"), f"material {n('E1')}", {"L1"}, CARTONS),
        (n("B1"), f"sleeve batch {n('B1')}", {"L1"}, CARTONS),
        ("Shop 1", "consignee Shop 1", {"L1"}, {carton_sscc(1), carton_sscc(2)}),
        ("Shop 9", "consignee Shop 9", {"L1"}, {carton_sscc(3)}),
    ],
)
def test_each_has_its_lots_and_cartons(subject, said, lots, cartons):
    found = scope_of(subject)
    assert found.subject == said
    assert found.lots == {n(lot) for lot in lots}
    assert found.cartons == cartons


@pytest.mark.parametrize("subject", [CAUSE, "Shop 1"])
def test_its_bundle_verifies_and_tells_the_same(subject):
    made, scope = bundle(subject), scope_of(subject)
    assert json.loads(made["about.json"])["subject"] == scope.subject
    assert verify_bundle.verify(made, keys=[verify_bundle.parse_key(PLANT.key)]).code == 0
    assert {row["lot"] for row in rows(made, "lots")} == scope.lots
    assert {row["carton"] for row in rows(made, "cartons")} == scope.cartons


def test_a_shipment_has_what_it_carried_and_a_consignee_all_its_shipments():
    (shop,) = rows(bundle("Shop 1"), "shipments")
    assert (shop["consignee"], shop["cartons"], shop["discs_of_these_lots"]) == ("Shop 1", "2", "9")
    (who,) = rows(bundle("Shop 1"), "consignees")
    assert (who["consignee"], who["discs_of_these_lots"]) == ("Shop 1", "9")
    carried = scope_of(shop["shipment"])
    assert (carried.kind, carried.cartons) == ("shipment", {carton_sscc(1), carton_sscc(2)})
    assert carried.orders == {shop["order"]}


def test_a_tool_is_told_with_those_above_and_below_it():
    tools = {row["tool"]: row["kind"] for row in rows(bundle(CAUSE), "tools")}
    (master,) = [tool for tool, kind in tools.items() if kind == "lacquer" and tool < CAUSE]
    below = scope_of(master)
    assert CAUSE in below.tools
    assert below.lots == {n("L1")}


def test_a_balance_is_told_of_lots_that_are_followed_whole():
    assert {row["lot"] for row in rows(bundle(CAUSE), "balance")} == {n("L1")}
    assert rows(bundle("Shop 1"), "balance") == []


def test_a_sleeve_batch_has_the_open_carton_whose_matches_are_not_sealed_yet():
    floor = Floor.copy()
    floor.press(1)
    floor.open_line(1, [11], 1)
    floor.match(1, 2)
    assert floor.spooled_matches() == 2
    with floor.ledger.reading() as conn:
        assert bundle_scope(conn, n("B1")).cartons == {carton_sscc(1)}


def test_what_is_none_of_these_and_a_consignee_without_shipments_have_their_sentence():
    with floor().ledger.reading() as conn:
        with pytest.raises(UsageError, match="no shipment to Shop 2 is recorded"):
            bundle_scope(conn, "Shop 2")
        for nothing in (code("T", 99), code("L", 99), "Shop 77", ""):
            with pytest.raises(UsageError, match="is not a lot, carton, pallet, shipment, consignee, tool"):
                bundle_scope(conn, nothing)


def test_deviations_are_counted_by_kind_however_many_there_are():
    rows = [{"what": what} for what in ("tool-retired", "scan-refused", "scan-refused")]
    assert OF_ROWS["deviations"](rows) == "Scan refused: 2; tool retired: 1."


def test_an_answer_from_two_tables_says_which_of_them_is_empty():
    report = bundle(CAUSE)["report.html"].decode()
    assert "No investigation was opened." in report
    assert "None recorded." not in report.partition("Which deviations")[2].partition("</tr>")[0]

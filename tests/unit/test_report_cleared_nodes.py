"""The tree of a scope marks what can hold no affected disc, and the annex has all the rest."""

import pytest
from support_asking import contain
from support_report import BAD_STAMPER, LOT, NOW, carton, pallet, real_lot

from tracelink.genealogy.containment.lives import lives_of
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.walk.walk import trace_forward
from tracelink.report.pictures.family import CLEARED_FACT, family_of
from tracelink.report.scope.cleared_nodes import with_cleared
from tracelink.report.scope.pictures import scope_pictures
from tracelink.report.scope.tables_annex import beyond_pallets, off_pallets, pallets
from tracelink.services.scope_document import scope_document
from tracelink.store.records.scope_facts import ScopeFacts


@pytest.fixture(scope="module")
def asked():
    records = real_lot()
    scope = contain(records, BAD_STAMPER, Shape.FROM_ONSET)
    return records, scope, with_cleared(trace_forward(records, BAD_STAMPER), scope)


def marked(tree, kind):
    return {node.code: CLEARED_FACT in node.facts for node in tree.nodes if node.kind == kind}


def test_a_thing_is_cleared_exactly_where_its_limit_is_none(asked):
    _records, scope, tree = asked
    limits = {held.code: held.most for held in scope.containers}
    cartons = marked(tree, "carton")
    assert cartons == {code: not limits[code] for code in cartons}
    assert set(cartons.values()) == {True, False}
    groups = {group.code: group.bound.most for group in scope.groups}
    for kind in ("pallet", "shipment"):
        assert marked(tree, kind) == {code: not groups[code] for code in marked(tree, kind)}


def test_an_emptied_spindle_is_cleared_by_the_strokes_that_went_through_it(asked):
    # The fault began after stroke 700 of the stamper, which pressed the discs of the first seven spindles before it.
    spindles = marked(asked[2], "spindle")
    assert spindles["K0000001"]
    assert not spindles["K0000008"]


def test_the_annex_has_every_box_that_is_not_cleared_and_holds_something(asked):
    records, scope, tree = asked
    lives = lives_of(scope)
    document = scope_document(records, scope, lives, ScopeFacts(), at=NOW)
    listed = {str(cell) for table in (pallets(document), off_pallets(document), beyond_pallets(document)) for row in table.rows for cell in row}  # fmt: skip
    text = " ".join(listed)
    now = {held.code for held in scope.containers} | {group.code for group in scope.groups}
    drawn = [
        node
        for node in tree.nodes
        if node.kind in {"carton", "pallet", "shipment", "spindle"} and node.code in now
    ]
    assert {node.code for node in drawn if node.code in text} == {
        node.code for node in drawn if CLEARED_FACT not in node.facts
    }


def test_cleared_things_have_boxes_of_their_own_and_say_so(asked):
    records, scope, tree = asked
    boxes = family_of(tree).boxes.values()
    for box in boxes:
        facts = {CLEARED_FACT in node.facts for node in tree.nodes if node.code in box.codes}
        assert facts == {box.is_cleared}, box.heading
    lives = lives_of(scope)
    drawn = scope_pictures(records, scope, lives, [], at=NOW).forward
    assert ": cleared" in drawn


def test_a_scope_that_is_followed_by_place_clears_nothing():
    records = real_lot()
    for cause in (pallet(2), carton(1)):
        scope = contain(records, cause, Shape.WHOLE_LIFE)
        tree = trace_forward(records, LOT)
        assert with_cleared(tree, scope) is tree

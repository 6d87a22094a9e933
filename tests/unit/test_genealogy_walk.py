"""Walks over the hand-written plant: what is reached, by which strokes, and how it prints."""

import pytest
from support_genealogy_plant import C1, C2, C3, C4, P1, move, small_plant

from tracelink.errors import UnknownCode
from tracelink.genealogy.model.facts import NestFact, SegmentFact
from tracelink.genealogy.model.tree import joined
from tracelink.genealogy.walk import tree_builder
from tracelink.genealogy.walk.walk import trace_back, trace_forward


def codes(tree):
    return {node.code for node in tree.nodes}


def edge(tree, parent, child):
    return next(one for one in tree.edges if (one.parent, one.child) == (parent, child))


def test_forward_from_a_stamper_passes_only_spindles_with_its_strokes():
    tree = trace_forward(small_plant(), "T5")
    assert codes(tree) == {"T5", "L1", "K3", C2, P1, "D1"}
    assert str(edge(tree, "T5", "L1").strokes) == "401-500"
    assert (str(edge(tree, "K3", C2).strokes), edge(tree, "K3", C2).quantity) == ("401-500", 10)


def test_forward_from_a_mother_goes_through_all_its_stampers():
    found = codes(trace_forward(small_plant(), "T3"))
    assert found == {"T3", "T4", "T5", "L1", "L2", "K1", "K2", "K3", "K4", "S1", C1, C2, C3, P1, "D1"} | {
        "scrap L1",
        "counter L2",
    }


@pytest.mark.parametrize(("walk", "code"), [(trace_forward, "T3"), (trace_forward, "W1"), (trace_back, "D1")])
def test_lots_that_are_followed_a_few_at_a_time_make_the_same_tree(walk, code, monkeypatch):
    records = small_plant()
    # Its movements cannot all be true, which is told once, whenever it was followed.
    records.movements.append(move(900, "L2", 999, "K4", C3))
    whole = walk(records, code)
    monkeypatch.setattr(tree_builder, "_LOTS_AT_A_TIME", 1)
    assert walk(records, code) == whole
    assert whole.conflicts
    assert len(set(whole.conflicts)) == len(whole.conflicts)


def test_back_from_a_carton_passes_only_segments_on_its_spindles():
    tree = trace_back(small_plant(), C1)
    assert codes(tree) == {C1, "K1", "L1", "T4", "T9", "T3", "T2", "T1", "M1", "E1", "E2", "W1", "B1"}
    # Stroke 200 was read as a sample, so it is not among those that may be in the carton.
    assert str(edge(tree, C1, "K1").strokes) == "1-199"
    assert str(edge(tree, "L1", "T4").strokes) == "1-199"


def test_back_from_a_shipment_names_what_was_taken_off_a_pallet_again():
    tree = trace_back(small_plant(), "D1")
    assert edge(tree, P1, C1).relation == "in"
    assert edge(tree, P1, C3).relation == "was in"
    assert C4 not in codes(tree)


@pytest.mark.parametrize(
    ("code", "expected"),
    [
        ("S1", {"S1", "K1", "L1", "T4", "T9", "T3", "T2", "T1", "M1", "E1", "E2", "W1"}),
        ("T4", {"T4", "T3", "T2", "T1"}),
        ("K3", {"K3", "L1", "T5", "T9", "T3", "T2", "T1", "M1", "E1", "E2", "W1"}),
        ("M1", {"M1"}),
        ("W1", {"W1"}),
        ("B1", {"B1"}),
    ],
)
def test_back_from_each_kind_of_code(code, expected):
    assert codes(trace_back(small_plant(), code)) == expected


@pytest.mark.parametrize(
    ("code", "expected"),
    [
        ("M2", {"M2", "L2", "L3", "K4", "K5", C3, C4, P1, "D1", "counter L2"}),
        ("W2", {"W2", "L3", "K5", C4}),
        ("L3", {"L3", "K5", C4}),
        ("K1", {"K1", "S1", C1, P1, "D1"}),
        (C1, {C1, P1, "D1"}),
        (P1, {P1, "D1"}),
        ("D1", {"D1"}),
        ("B1", {"B1", C1, C4, P1, "D1"}),
        ("S1", {"S1"}),
    ],
)
def test_forward_from_each_kind_of_code(code, expected):
    assert codes(trace_forward(small_plant(), code)) == expected


def test_back_from_a_lot_names_every_tool_with_its_strokes():
    tree = trace_back(small_plant(), "L1")
    assert str(edge(tree, "L1", "T5").strokes) == "401-500"
    assert str(edge(tree, "L1", "T9").strokes) == "1-500"


def test_an_emptied_spindle_starts_anew():
    plant = small_plant()
    plant.movements += [
        move(70, "L2", 50, "counter", "K5", 101, 150),
        move(71, "L2", 50, "K5", "scrap"),
        move(72, "L2", 50, "counter", "K5", 151, 200),
        move(73, "L2", 10, "K5", C4),
    ]
    assert str(edge(trace_back(plant, C4), C4, "K5").strokes) == "1-50"
    by_lot = {one.lot: str(one.strokes) for one in trace_back(plant, C4).edges if one.child == "K5"}
    assert by_lot == {"L2": "151-200", "L3": "1-50"}


def test_forward_from_a_spindle_does_not_name_what_stayed_at_the_counter():
    plant = small_plant()
    plant.movements.append(move(70, "L2", 50, "counter", "K5", 101, 160))
    assert "counter L2" not in codes(trace_forward(plant, "K5"))
    assert "counter L2" in codes(trace_forward(plant, "L2"))


def test_a_stamper_that_is_set_up_and_has_pressed_nothing_is_shown_so():
    plant = small_plant()
    plant.segments.append(SegmentFact("L3", 51, 50, "W2", "T5", "T9", 100, 850, "M2", "E1", "E2", 80))
    assert edge(trace_forward(plant, "T5"), "T5", "L3").relation == "set up for"


def test_nestings_that_run_in_a_circle_end():
    plant = small_plant()
    plant.nests.append(NestFact("D1", P1, 60, None))
    assert codes(trace_forward(plant, C1)) == {C1, P1, "D1"}


def test_an_unknown_code_is_refused_with_what_was_expected():
    with pytest.raises(UnknownCode) as caught:
        trace_back(small_plant(), "K9")
    assert str(caught.value) == (
        "'K9' is not in the records up to entry 99: expected a tool, lot, press, compound or label lot in use, "
        "spindle, sample, carton, pallet, shipment, sleeve batch, process step, equipment, part lot, reel, build order, built piece, station or badge"
    )
    assert caught.value.exit_code == 2


def test_a_tree_answers_for_one_node():
    tree = trace_forward(small_plant(), "T5")
    pressed = tree.edges[0]
    assert (pressed.parent, pressed.child, pressed.relation, pressed.lot) == ("T5", "L1", "pressed", "L1")
    assert (str(pressed.strokes), pressed.quantity) == ("401-500", None)
    assert tree.conflicts == ()
    assert tree.node("K3").kind == "spindle"
    assert tree.node("K1") is None
    assert [one.child for one in tree.children("L1")] == ["K3"]


def test_both_ways_joined_run_from_what_was_used_to_where_it_went():
    records = small_plant()
    back, forward = trace_back(records, "L1"), trace_forward(records, "L1")
    both = joined(back, forward)
    assert both.root == "L1"
    assert codes(both) == codes(back) | codes(forward)
    assert len(both.edges) == len(back.edges) + len(forward.edges)
    into = {edge.parent for edge in both.edges if edge.child == "L1"}
    assert into == {edge.child for edge in back.children("L1")}
    assert {edge.child for edge in both.children("L1")} == {edge.child for edge in forward.children("L1")}

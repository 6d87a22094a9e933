"""A walk as indented text and as rows."""

import json
from itertools import pairwise

from support_genealogy_plant import C1, P1, move, small_plant

from tracelink.genealogy.model.facts import NestFact
from tracelink.genealogy.model.tree import Edge, Node, Tree
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.report.format.render import render
from tracelink.report.pictures.tree_text import TREE_COLUMNS, tree_rows, tree_text


def test_the_whole_text_of_a_small_walk():
    assert tree_text(trace_forward(small_plant(), "B1")).splitlines() == [
        "sleeve batch B1",
        f"├── sleeves in: carton {C1}, status closed",
        f"│   └── in: pallet {P1}, status shipped",
        "│       └── in: shipment D1, order O1, to Example Shop 1, country NO",
        "└── sleeves in: carton 952000000000000003, status closed",
    ]


def test_ascii_has_the_same_shape():
    tree = trace_forward(small_plant(), "T3")
    drawn, plain = tree_text(tree), tree_text(tree, "ascii")
    assert plain.isascii()
    assert plain == drawn.translate(str.maketrans("├└│─", "|`|-"))


def test_what_is_reached_twice_is_followed_once():
    lines = tree_text(trace_back(small_plant(), "D1")).splitlines()
    assert sum("mother T3" in line for line in lines) == 2
    assert sum("mother T3" in line and line.endswith("(see above)") for line in lines) == 1
    assert sum("father T2" in line for line in lines) == 1
    # Nothing hangs below a press, so there is nothing to look up.
    assert not any("press W1" in line and line.endswith("(see above)") for line in lines)


def test_counts_say_at_most_unless_the_whole_lot_is_walked():
    of_stamper = tree_text(trace_forward(small_plant(), "T4"))
    assert f"packed in (up to 40 discs of strokes 1-199): carton {C1}" in of_stamper
    assert "drawn as (1 disc, stroke 200): sample S1" in of_stamper
    assert f"packed in (40 discs of strokes 1-199): carton {C1}" in tree_text(
        trace_forward(small_plant(), "L1")
    )


def test_circles_end_and_conflicts_are_told():
    plant = small_plant()
    plant.nests.append(NestFact("D1", P1, 60, None))
    plant.movements.append(move(70, "L1", 900, "K1", "K9"))
    text = tree_text(trace_forward(plant, "K1"))
    assert f"in: pallet {P1}, status shipped (see above)" in text
    assert "Movements that cannot all be true:\n- Lot L1: entry 70 takes 900 from K1 to K9" in text


def test_a_long_chain_does_not_meet_the_limit_of_recursion():
    codes = [f"K{number}" for number in range(3000)]
    nodes = tuple(Node("spindle", code, ()) for code in codes)
    edges = tuple(Edge(a, b, "moved to", None, None, None) for a, b in pairwise(codes))
    assert len(tree_text(Tree("K0", nodes, edges, ())).splitlines()) == 3000


def test_scanned_text_is_shown_and_not_obeyed():
    plant = small_plant()
    plant.tools[0] = type(plant.tools[0])("T1", "lacquer", None, "\x1b[2J\u202e", "A", "in store")
    assert r"matrix \x1b[2J\u202e" in tree_text(trace_back(plant, "T4"))


def test_rows_are_the_edges():
    tree = trace_forward(small_plant(), "T5")
    rows = json.loads(render(tree_rows(tree), TREE_COLUMNS, "json"))
    assert len(rows) == len(tree.edges)
    assert rows[2] == {
        "parent_kind": "spindle",
        "parent": "K3",
        "relation": "packed in",
        "child_kind": "carton",
        "child": "952000000000000001",
        "lot": "L1",
        "strokes": "401-500",
        "quantity": 10,
        "details": "status closed",
    }
    assert tree_rows(trace_forward(small_plant(), "S1")) == []

"""Boxes in columns: order, room, waypoints and circles."""

import random
from itertools import pairwise

import networkx as nx
from support_each import each

from tracelink.report.pictures.layers import arrange


def random_graph(seed):
    rng = random.Random(seed)
    names = [f"N{number}" for number in range(rng.randint(2, 30))]
    links = [(names[rng.randrange(number)], names[number]) for number in range(1, len(names))]
    links += [tuple(sorted(rng.sample(names, 2), key=names.index)) for _ in range(rng.randint(0, 20))]
    return dict.fromkeys(names, 40.0), links


@each("seed", range(20))
def test_columns_are_longest_paths(seed):
    """Checked against networkx: its topological generations put each node one after its latest parent."""
    boxes, links = random_graph(seed)
    expected = nx.topological_generations(nx.DiGraph(links))
    assert [set(column) for column in arrange(boxes, links).columns] == [set(level) for level in expected]


@each("seed", range(20))
def test_boxes_of_a_column_never_touch(seed):
    boxes, links = random_graph(seed)
    layout = arrange(boxes, links)
    for column in layout.columns:
        middles = sorted(layout.middle[name] for name in column)
        assert all(b - a >= 40 + 12 - 1e-6 for a, b in pairwise(middles))
    assert min(layout.middle[name] - 20 for name in boxes) >= -1e-6
    assert max(layout.middle[name] + 20 for name in boxes) <= layout.height + 1e-6


@each("seed", range(20))
def test_circles_are_found_and_nothing_else_is_set_aside(seed):
    boxes, links = random_graph(seed)
    assert arrange(boxes, links).circles == ()
    back = [*links, (list(boxes)[-1], "N0")]
    cleaned = arrange(boxes, back)
    assert cleaned.circles
    assert nx.is_directed_acyclic_graph(nx.DiGraph(set(back) - set(cleaned.circles)))


def test_a_long_link_passes_through_every_column_between():
    layout = arrange(dict.fromkeys("abcd", 40.0), [("a", "b"), ("b", "c"), ("c", "d"), ("a", "d")])
    assert len(layout.routes["a", "d"]) == 2
    for column, waypoint in zip(layout.columns[1:3], layout.routes["a", "d"], strict=True):
        # The waypoint keeps clear of the box in its column.
        assert abs(layout.middle[waypoint] - layout.middle[column[0]]) >= (40 + 6) / 2


def test_crossings_that_can_be_avoided_are():
    boxes = dict.fromkeys(["r", "a", "b", "x", "y"], 40.0)
    layout = arrange(boxes, [("r", "a"), ("r", "b"), ("a", "y"), ("b", "x")])
    first, second = layout.columns[1], layout.columns[2]
    assert (first.index("a") < first.index("b")) == (second.index("y") < second.index("x"))


def test_one_box_alone_stands_at_the_top():
    layout = arrange({"a": 40.0}, [])
    assert (layout.columns, layout.height, layout.middle["a"]) == ((("a",),), 40.0, 20.0)


def test_a_box_that_leads_to_itself_is_a_circle():
    assert arrange({"a": 40.0}, [("a", "a")]).circles == (("a", "a"),)

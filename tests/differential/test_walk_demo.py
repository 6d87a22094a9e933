"""Walks on the demo plant against networkx, on a graph with a node for every disc, built here from the tables.

Source: `networkx.descendants` and `networkx.ancestors` of networkx 3. The graph is built disc by disc by plain SQL,
without any of the code under test.
"""

import json
from dataclasses import replace
from types import SimpleNamespace

import networkx as nx
import pytest
from sqlalchemy import text
from support_demo import played_demo
from support_hall_graph import add_hall

from tracelink.genealogy.containment.contain import contain
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.flow.follow import pressed_of
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.totals.plain_lots import plain_lot
from tracelink.genealogy.totals.totals import totals_in, totals_of
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.store.ledger import Ledger
from tracelink.store.records.ahead.lot_sums import MOVEMENT
from tracelink.store.records.sql_records import SqlRecords

NAMED = {
    "lacquer", "copper", "father", "mother", "stamper", "press", "compound", "label",
    "lot", "spindle", "sample", "carton", "pallet", "shipment", "part-lot", "reel", "piece", "build",
}  # fmt: skip
"""Kinds of nodes compared; scrap, counter and sleeve batches are places and things that no disc is named by."""

NO_THINGS = {"scrap", "set-up", "customers", "returned", "destroyed", "lost"}
"""Places without a code of their own; several lots are there, and none is found through another's discs."""


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """The demo plant at a twentieth of its size, after its story."""
    out = played_demo(tmp_path_factory)
    ledger = Ledger.open(str(out / "runout.db"), read_only=True)
    with ledger.reading() as conn:
        yield SqlRecords(conn), _graph(conn), json.loads((out / "story.json").read_text(encoding="utf-8"))


def _graph(conn):
    graph = nx.DiGraph()

    def rows(query):
        return conn.execute(text(query)).all()

    graph.add_edges_from(rows("SELECT parent, code FROM tool WHERE parent IS NOT NULL"))
    graph.add_nodes_from(code for (code,) in rows("SELECT code FROM tool"))
    graph.add_edges_from(rows("SELECT child, parent FROM nesting"))
    for row in rows("SELECT * FROM run_segment"):
        used = (row.stamper_a, row.stamper_b, row.press, row.compound, row.label_a, row.label_b)
        for stroke in range(row.first, row.last + 1):
            graph.add_edges_from((code, ("pressed", row.lot, stroke)) for code in used)
            graph.add_edge(("pressed", row.lot, stroke), ("disc", row.lot, stroke))
            # The lot stands between what pressed it and where its discs went.
            graph.add_edge(("pressed", row.lot, stroke), row.lot)
            graph.add_edge(row.lot, ("from lot", row.lot))
            graph.add_edge(("from lot", row.lot), ("disc", row.lot, stroke))
    _moves(graph, rows("SELECT * FROM movement ORDER BY seq, line"), rows)
    blended = (
        "FROM step_item i JOIN step_output o ON o.step = i.step WHERE i.taken_back IS NULL AND i.what = "
    )
    graph.add_edges_from(rows(f"SELECT i.thing, o.material {blended} 'material'"))
    for lot, material in rows(f"SELECT i.thing, o.material {blended} 'ground'"):
        graph.add_edge(("from lot", lot), material)
        # Material comes back through regrind; what a tool does to a disc does not.
        used = rows(f"SELECT DISTINCT compound FROM run_segment WHERE lot = '{lot}'")
        graph.add_edges_from((compound, material) for (compound,) in used)
    add_hall(graph, rows)
    return graph


def is_thing(place):
    """Whether a place has a code; each return is a place without one."""
    return place not in NO_THINGS and not place.startswith("return")


def _come_in(move):
    """What comes in and what is put aside is one entry: nothing of another return is in between."""
    return SimpleNamespace(**{name: f"returned {move.seq}" if value == "returned" else value
                              for name, value in move._mapping.items()})  # fmt: skip


def _moves(graph, moves, rows):
    """A disc that was read left its stack by that reading and no other way; any other may have gone any way."""
    on = {}
    read = {
        (move.source, move.lot, move.first) for move in moves if move.quantity == 1 and move.first is not None
    }
    for move in map(_come_in, moves):
        if move.source == "customers":
            _come_loose(graph, move, on, rows)
        if move.source == "counter":
            discs = set(range(move.first, move.last + 1))
        elif move.first is not None:
            discs = {move.first}
        else:
            discs = {s for s in on[move.source, move.lot] if (move.source, move.lot, s) not in read}
        on.setdefault((move.target, move.lot), set()).update(discs)
        _move(graph, move.lot, move.source, move.target, discs)
    spooled = rows("SELECT DISTINCT spindle, lot, carton FROM spool WHERE spindle IS NOT NULL")
    for spindle, lot, carton in spooled:
        _move(graph, lot, spindle, carton, on[spindle, lot])


def _come_loose(graph, move, on, rows):
    """Loose discs that came back lay in some carton of the lot that had been sent: any of them."""
    sent = {
        place
        for (place,) in rows(
            "WITH RECURSIVE inside(place, parent) AS ("
            " SELECT n.child, n.parent FROM nesting n WHERE n.opened_seq < :seq"
            " AND (n.closed_seq IS NULL OR n.closed_seq >= :seq)"
            " UNION SELECT i.place, n.parent FROM inside i JOIN nesting n ON n.child = i.parent"
            " WHERE n.opened_seq < :seq AND (n.closed_seq IS NULL OR n.closed_seq >= :seq)"
            ") SELECT i.place FROM inside i JOIN shipment s ON s.code = i.parent WHERE s.departed_seq < :seq".replace(
                ":seq", str(move.seq)
            )
        )
    }
    for place in sent:
        discs = on.get((place, move.lot), set())
        on.setdefault(("customers", move.lot), set()).update(discs)
        _move(graph, move.lot, place, "customers", discs)


def _move(graph, lot, source, target, discs):
    for stroke in discs:
        before = ("disc", lot, stroke) if source == "counter" else ("in", source, lot, stroke)
        graph.add_edge(before, ("in", target, lot, stroke))
        if is_thing(target):
            graph.add_edge(("in", target, lot, stroke), target)


def named(nodes):
    """The codes among nodes: a disc in a place stands for the place."""
    places = {node[1] for node in nodes if isinstance(node, tuple) and node[0] == "in" and is_thing(node[1])}
    return places | {node for node in nodes if isinstance(node, str)}


def told(nodes, what):
    """The codes of nodes that stand for one relation."""
    return {node[1] for node in nodes if isinstance(node, tuple) and node[0] == what}


def reached(tree):
    return {node.code for node in tree.nodes if node.kind in NAMED} - {tree.root}


def test_forward_from_every_tool_and_material(demo):
    records, graph, _story = demo
    codes = [code for code in named(graph) if code[0] in "TCEW"]
    assert len(codes) > 60
    # A press or material reaches its lots; the lot node itself would reach the whole lot, so it is left out.
    through = graph.copy()
    through.remove_nodes_from([node for node in graph if isinstance(node, tuple) and node[0] == "from lot"])
    for code in codes:
        if graph.out_degree(code) == 0 and graph.in_degree(code) == 0:
            continue
        assert reached(trace_forward(records, code)) == named(nx.descendants(through, code)), code


def test_forward_from_every_lot(demo):
    records, graph, story = demo
    for lot in story["lots"]:
        if lot in graph:
            assert reached(trace_forward(records, lot)) == named(nx.descendants(graph, lot)), lot


def test_forward_from_every_part_lot_reel_and_piece(demo):
    records, graph, _story = demo
    codes = [code for code in named(graph) if code[0] in "MFU"]
    assert len(codes) > 80
    for code in codes:
        ahead = nx.descendants(graph, code)
        assert reached(trace_forward(records, code)) == named(ahead) | told(ahead, "is on"), code


def test_back_from_every_piece_to_its_parts_orders_and_solder_windows(demo):
    records, graph, _story = demo
    for code in [code for code in named(graph) if code[0] == "U"]:
        tree, before = trace_back(records, code), nx.ancestors(graph, code)
        assert reached(tree) == named(before), code
        steps = {node.code for node in tree.nodes if node.kind == "step"}
        assert steps == told(before, "step"), code


def test_back_from_every_carton_pallet_and_shipment(demo):
    records, graph, _story = demo
    codes = [code for code in named(graph) if len(code) == 18 or code[0] == "D"]
    assert len(codes) > 100
    back = graph.copy()
    back.remove_nodes_from([node for node in graph if isinstance(node, tuple) and node[0] == "from lot"])
    # Back, a disc leads to its lot as well as to what pressed it.
    for node in list(back):
        if isinstance(node, tuple) and node[0] == "disc":
            back.add_edge(node[1], node)
    back.remove_edges_from(
        [(a, b) for a, b in back.edges if isinstance(a, tuple) and a[0] == "pressed" and isinstance(b, str)]
    )
    for code in codes:
        assert reached(trace_back(records, code)) == named(nx.ancestors(back, code)) - {code}, code


def test_reading_ahead_changes_no_answer(demo):
    """Hundreds at once, or one by one: every container and every nesting is told alike, in the same order."""
    records, _, _ = demo
    conn = records._conn
    places = list(
        conn.execute(text("SELECT DISTINCT target FROM movement UNION SELECT parent FROM nesting")).scalars()
    )
    assert len(places) > 300
    ahead = SqlRecords(conn)
    ahead.look_up([*places, "nowhere"])
    for place in [*places, "nowhere"]:
        one = SqlRecords(conn)
        assert ahead.container(place) == one.container(place)
        assert ahead.parents_of(place) == one.parents_of(place)
    assert ahead.container("nowhere") is None
    nested = conn.execute(text("SELECT child, parent FROM nesting ORDER BY child, opened_seq")).all()
    told = [
        (nest.child, nest.parent)
        for child in sorted({row.child for row in nested})
        for nest in ahead.parents_of(child)
    ]
    assert told == [tuple(row) for row in nested]


def test_reading_movements_ahead_changes_no_answer(demo):
    """Of lots together with their cartons, a lot again after its cartons are known, or one by one, as plain SQL has them."""
    records, _, _ = demo
    conn = records._conn
    lots = list(conn.execute(text("SELECT code FROM lot ORDER BY code")).scalars())
    ahead, one = SqlRecords(conn), SqlRecords(conn)
    ahead.look_up_moved([*lots[:3], "L9999990"])
    ahead.look_up_moved(lots[1:])
    moves = text(f"SELECT {MOVEMENT} FROM movement WHERE lot = :lot ORDER BY seq, line")
    compared = 0
    for lot in [*lots, "L9999990"]:
        plainly = [tuple(row) for row in conn.execute(moves, {"lot": lot})]
        # Asked for once they are forgotten, and are read again.
        for asked in (ahead, ahead, one):
            told = asked.movement_rows(lot)
            assert told[: len(plainly)] == plainly
            assert {row[0] for row in told[len(plainly) :]} <= {records.head()[0] + 1}
        for place in {row[5] for row in plainly}:
            assert ahead.container(place) == one.container(place)
            assert ahead.parents_of(place) == one.parents_of(place)
            compared += place.isdigit()
    assert compared > 300


def test_reading_tools_and_lots_ahead_changes_no_answer(demo):
    """Hundreds at once, or one by one: children, segments and judgements are told alike, in the same order."""
    records, _, _ = demo
    conn = records._conn
    tools = list(conn.execute(text("SELECT code FROM tool")).scalars())
    lots = list(conn.execute(text("SELECT code FROM lot")).scalars())
    assert len(tools) > 30
    assert len(lots) > 10
    ahead, one = SqlRecords(conn), SqlRecords(conn)
    ahead.look_up_tools([*tools, "T9999990"])
    ahead.look_up_lots([*lots, "L9999990"])
    for code in [*tools, "T9999990"]:
        assert ahead.tool(code) == one.tool(code)
        assert ahead.children_of(code) == one.children_of(code)
        assert ahead.segments_with(code) == one.segments_with(code)
    for lot in [*lots, "L9999990"]:
        assert ahead.lot(lot) == one.lot(lot)
        assert ahead.segments_of(lot) == one.segments_of(lot)
        assert ahead.judgements_of(lot) == one.judgements_of(lot)
        assert ahead.judged_unread(lot) == one.judged_unread(lot)
    assert sum(len(ahead.judgements_of(lot)) for lot in lots) > 20


def test_totals_by_sums_are_those_of_the_scope(demo):
    records, _, _ = demo
    conn = records._conn
    tools = "SELECT code FROM tool WHERE what IN ('father', 'stamper') ORDER BY code LIMIT 12"
    pressed = "SELECT code FROM lot WHERE counter > 0 ORDER BY code LIMIT 8"
    codes = [*conn.execute(text(tools)).scalars(), *conn.execute(text(pressed)).scalars()]
    plain = 0
    for code in codes:
        query = ContainmentQuery(code, Shape.FROM_ONSET)
        whole, counted = totals_in(contain(SqlRecords(conn), query)), totals_of(SqlRecords(conn), query)
        assert counted.places == whole.places, code
        assert {(one.kind, one.code): (one.bound, one.shipped) for one in counted.recipients} == {
            (one.kind, one.code): (approximately(one.bound), one.shipped) for one in whole.recipients
        }, code
        assert (counted.certain, counted.possible, counted.cleared, counted.suspects) == (
            whole.certain,
            whole.possible,
            whole.cleared,
            whole.suspects,
        )
        assert sorted(counted.gaps) == sorted(whole.gaps)
        assert counted.contradictions == whole.contradictions
    lots = list(conn.execute(text(pressed)).scalars())
    for lot, sums in SqlRecords(conn).sums_of(lots).items():
        plain += plain_lot(pressed_of(records, lot), sums) is not None
    assert plain > len(lots) // 2


def approximately(bound):
    return replace(bound, chance=None if bound.chance is None else pytest.approx(bound.chance))

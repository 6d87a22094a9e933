"""Walks against networkx: the plant as a graph with a node for every single disc in every place it passed.

Source: `networkx.descendants` and `networkx.ancestors` of networkx 3, on a graph that is built here from the
recorded facts without any arithmetic on spans.
"""

import itertools
import random

import networkx as nx
import pytest
from support_genealogy import AT, one_stage_floor, wild_floor
from support_memory import MemoryRecords

from tracelink.genealogy.flow.follow import replay
from tracelink.genealogy.model.facts import (
    ContainerFact,
    LotFact,
    MovementFact,
    NestFact,
    SegmentFact,
    ShipmentFact,
    ToolFact,
)
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.ledger.closed_sets import DiscPlace

PLANTS = 300


def _tools(rng):
    tools = [ToolFact("T0", "lacquer", None, "M", "A", "")]
    for kind, above in (("father", "lacquer"), ("mother", "father"), ("stamper", "mother")):
        parents = [tool.code for tool in tools if tool.kind == above]
        for _ in range(rng.randint(1, 3)):
            tools.append(ToolFact(f"T{len(tools)}", kind, rng.choice(parents), "M", "A", ""))
    return tools


def _segments(rng, lot, discs, stampers):
    cuts = sorted({0, discs, *(rng.randint(1, discs) for _ in range(rng.randint(0, 2)))})
    return [
        SegmentFact(
            lot,
            a + 1,
            b,
            rng.choice(["W1", "W2"]),
            rng.choice(stampers),
            "T99",
            0,
            0,
            rng.choice(["M1", "M2"]),
            "E1",
            "E2",
            a,
        )
        for a, b in itertools.pairwise(cuts)
    ]


def _renamed(move, lot):
    """Each lot has spindles and samples of its own; cartons hold discs of several lots."""

    def name(place):
        return f"{place}-{lot}" if place[0] in "KS" else place

    return MovementFact(
        move.seq,
        move.line,
        lot,
        move.quantity,
        name(move.source),
        name(move.target),
        move.first,
        move.last,
        AT,
    )


def _plant(rng, make_floor):
    tools = _tools(rng)
    stampers = [tool.code for tool in tools if tool.kind == "stamper"]
    records = MemoryRecords(tools=tools)
    for lot in ("L1", "L2")[: rng.randint(1, 2)]:
        floor = make_floor(rng, lot)
        records.lots.append(LotFact(lot, "", 1, "Moth Parliament", "W1", floor.discs, ""))
        records.segments += _segments(rng, lot, floor.discs, stampers)
        records.movements += [_renamed(move, lot) for move in floor.movements]
    places = {place for move in records.movements for place in (move.source, move.target)} - {
        DiscPlace.COUNTER,
        DiscPlace.SCRAP,
    }
    kinds = {"K": "spindle", "C": "carton", "S": "sample"}
    records.containers = [ContainerFact(place, kinds[place[0]], "", "") for place in sorted(places)]
    for place in sorted(places):
        if place[0] == "C" and rng.random() < 0.7:
            records.nests.append(NestFact(place, rng.choice(["P1", "P2"]), 90, rng.choice([None, 91])))
    records.containers += [ContainerFact(pallet, "pallet", "", "") for pallet in ("P1", "P2")]
    records.nests.append(NestFact("P1", "D1", 95, None))
    records.shipments.append(ShipmentFact("D1", "O1", "Example Shop 1", "NO", AT, 96))
    return records


def _graph(records):
    """One node for each (place, lot, disc); an edge wherever the disc may have gone, one movement at a time."""
    graph = nx.DiGraph()
    graph.add_edges_from((tool.parent, tool.code) for tool in records.tools if tool.parent)
    graph.add_edges_from((nest.child, nest.parent) for nest in records.nests)
    for segment in records.segments:
        for stroke in range(segment.first, segment.last + 1):
            disc = (DiscPlace.COUNTER, segment.lot, stroke)
            for code in (segment.stamper_a, segment.stamper_b, segment.press, segment.compound, "E1", "E2"):
                graph.add_edge(code, ("lot", segment.lot, stroke))
            graph.add_edge(("lot", segment.lot, stroke), disc)
    for lot in records.lots:
        _move(graph, records.movements_of(lot.code), lot)
    return graph


def _move(graph, movements, lot):
    """Follow the discs of one lot; in a one-stage plant a disc that was read left by that read and no other way."""
    read = {(move.source, move.first) for move in movements if move.first is not None and move.quantity == 1}
    here = {DiscPlace.COUNTER: set(range(1, lot.pressed + 1))}
    left = {DiscPlace.COUNTER: lot.pressed}
    for move in movements:
        there = here.get(move.source, set())
        if move.first is not None:
            gone = there & set(range(move.first, move.last + 1))
            here[move.source] = there - gone
        elif move.quantity == left[move.source]:
            gone = {disc for disc in there if (move.source, disc) not in read}
            here[move.source] = set()
        else:
            gone = {disc for disc in there if (move.source, disc) not in read}
        left[move.source] -= move.quantity
        left[move.target] = left.get(move.target, 0) + move.quantity
        here[move.target] = here.get(move.target, set()) | gone
        for disc in gone:
            graph.add_edge((move.source, lot.code, disc), (move.target, lot.code, disc))
            if move.target != DiscPlace.SCRAP:
                graph.add_edge((move.target, lot.code, disc), move.target)
    for disc in here[DiscPlace.COUNTER] if left[DiscPlace.COUNTER] else ():
        graph.add_edge((DiscPlace.COUNTER, lot.code, disc), f"counter {lot.code}")


def _codes(found):
    """Graph nodes as the codes of the tree: single discs stand for their place or their lot."""
    codes = set()
    for node in found:
        if isinstance(node, str):
            codes.add(node)
        elif node[0] == "lot":
            codes.add(node[1])
        elif node[0] == DiscPlace.SCRAP:
            codes.add(f"scrap {node[1]}")
        elif node[0] != DiscPlace.COUNTER:
            codes.add(node[0])
    return codes


def _reached(tree):
    return {node.code for node in tree.nodes} - {tree.root}


def _asked(records):
    return [
        *(tool.code for tool in records.tools),
        *{segment.press for segment in records.segments},
        *{segment.compound for segment in records.segments},
        "T99",
        "E1",
    ]


@pytest.mark.parametrize("block", range(2))
def test_forward_equals_the_descendants_of_every_cause(block):
    rng = random.Random(40 + block)
    for _ in range(PLANTS):
        records = _plant(rng, one_stage_floor)
        graph = _graph(records)
        for code in _asked(records):
            expected = _codes(nx.descendants(graph, code)) if code in graph else set()
            tree = trace_forward(records, code) if code in graph or records.tool(code) else None
            assert (_reached(tree) if tree else set()) == expected, (code, records)


@pytest.mark.parametrize("block", range(2))
def test_back_equals_the_ancestors_of_every_container(block):
    rng = random.Random(60 + block)
    for _ in range(PLANTS):
        records = _plant(rng, one_stage_floor)
        graph = _graph(records)
        for code in [*(container.code for container in records.containers), "D1"]:
            expected = _codes(nx.ancestors(graph, code)) - {code} if code in graph else set()
            assert _reached(trace_back(records, code)) == expected, (code, records)


def test_the_strokes_on_edges_are_the_discs_of_the_graph():
    rng = random.Random(80)
    for _ in range(PLANTS):
        records = _plant(rng, one_stage_floor)
        graph = _graph(records)
        for stamper in {segment.stamper_a for segment in records.segments}:
            reached = nx.descendants(graph, stamper)
            for edge in trace_forward(records, stamper).edges:
                if edge.lot is not None and edge.relation in ("packed in", "stacked on", "drawn as"):
                    passed = {
                        disc
                        for place, lot, disc in (node for node in reached if isinstance(node, tuple))
                        if place == edge.child
                        and lot == edge.lot
                        and ((edge.parent if edge.parent != lot else DiscPlace.COUNTER), lot, disc)
                        in graph.pred[place, lot, disc]
                    }
                    assert set(edge.strokes) == passed, (stamper, edge)


def test_where_anything_goes_no_true_path_is_missed():
    """The hidden truth of a floor on which discs are mixed, read and moved back is inside every walk."""
    rng = random.Random(90)
    for _ in range(300):
        floor = wild_floor(rng, "L1")
        records = MemoryRecords(
            lots=[LotFact("L1", "", 1, "Moth Parliament", "W1", floor.discs, "")],
            segments=[
                SegmentFact("L1", 1, 2, "W1", "T1", "T9", 0, 0, "M1", "E1", "E2", 1),
                SegmentFact("L1", 3, floor.discs, "W1", "T2", "T9", 0, 0, "M1", "E1", "E2", 2),
            ],
            movements=floor.movements,
            containers=[
                ContainerFact(place, "carton" if place[0] == "C" else "spindle", "", "")
                for place in ("K1", "K2", "C1", "C2")
            ],
        )
        for stamper, discs in (("T1", {1, 2}), ("T2", set(range(3, floor.discs + 1)))):
            forward = _reached(trace_forward(records, stamper))
            for disc in discs:
                place = floor.where[disc]
                assert (f"{place} L1" if place in (DiscPlace.COUNTER, DiscPlace.SCRAP) else place) in forward
                if place not in (DiscPlace.COUNTER, DiscPlace.SCRAP):
                    assert stamper in _reached(trace_back(records, place))


@pytest.mark.parametrize("make_floor", [one_stage_floor, wild_floor])
def test_no_movement_is_said_to_carry_less_than_it_did(make_floor):
    rng = random.Random(100)
    for _ in range(3000):
        floor = make_floor(rng)
        history = replay("L1", StrokeSet.between(1, floor.discs), floor.movements)
        for passage, truth in zip(history.passages, floor.truth, strict=True):
            assert truth <= set(history.may_have_passed(passage)), (floor.movements, passage)

"""Reels, part lots and solder windows against every way the single parts may have gone, and walks against networkx.

By default some hundred small halls; RUNOUT_CAMPAIGN=50 tries fifty times as many.
"""

import random
from itertools import combinations

import networkx as nx
from support_asking import contain
from support_campaign import tries
from support_certificates import checked, document_of
from support_genealogy import AT
from support_parts import LOTS, ORDER, hall, place_now, ways

from tracelink.genealogy.certificate.bound_check import CheckVerdict
from tracelink.genealogy.containment.holdings import lot_holdings
from tracelink.genealogy.containment.pieces_affected import pieces_with
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.step_facts import StepFact, StepItemFact
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.walk.walk import trace_back, trace_forward
from tracelink.ledger.closed_sets import StepInput


def halls(seed, few):
    rng = random.Random(seed)
    for _ in range(tries(few)):
        yield rng, hall(rng)


def ends_of(made, reel):
    """Every way, as the places that the records know, one for each position."""
    return {tuple(place_now(made, reel, place) for place in way) for way in ways(made, reel)}


def test_parts_of_a_lot_are_bounded_by_every_way_single_parts_may_have_gone():
    """The least and the most are just those that can be, for one place and for two together."""
    asked = wide = 0
    for rng, made in halls(1810, 40):
        for reel in made.holds:
            states = ends_of(made, reel)
            places = sorted({place for state in states for place in state})
            for lot in LOTS:
                suspects = [p for p in range(1, made.holds[reel] + 1) if made.lot_of(reel, p) == lot]
                if not suspects:
                    continue
                held = lot_holdings(made.records, reel, StrokeSet.from_strokes(suspects), NO_STROKES)
                assert not held.conflicts, held.conflicts
                sets = [*((place,) for place in places), *combinations(places, 2)]
                for wanted in rng.sample(sets, min(4, len(sets))):
                    counts = [sum(state[p - 1] in wanted for p in suspects) for state in states]
                    bound = held.bound(wanted)
                    assert (bound.least, bound.most) == (min(counts), max(counts)), (
                        made.records.part_moves,
                        made.records.pieces,
                        reel,
                        lot,
                        wanted,
                    )
                    asked += 1
                    wide += not bound.tight
    assert asked > 200
    assert wide == 0


def test_a_part_lot_is_contained_over_all_its_reels_up_to_the_carton():
    for _rng, made in halls(1811, 10):
        for lot in LOTS:
            reels = dict.fromkeys(one.reel for one in made.records.reels_with(lot))
            if not reels:
                continue
            scope = contain(made.records, lot, Shape.INTERMITTENT)
            most = 0
            boards = set()
            for reel in reels:
                suspects = [p for p in range(1, made.holds[reel] + 1) if made.lot_of(reel, p) == lot]
                states = ends_of(made, reel)
                packed = {
                    piece.code
                    for piece in made.records.pieces
                    for nest in made.records.parents_of(piece.code)
                    if made.records.parents_of(nest.parent)
                }
                most += max(sum(state[p - 1] in packed for p in suspects) for state in states)
                boards |= {state[p - 1] for state in states for p in suspects if state[p - 1][0] == "U"}
            carton = [group for group in scope.groups if group.code == "952"]
            assert sum(group.most for group in carton) == most
            assert pieces_with(scope.containers) == (0, len(boards))


def test_certificates_of_a_part_lot_check():
    confirmed = 0
    for rng, made in halls(1812, 6):
        for lot in LOTS:
            if made.records.reels_with(lot):
                scope = contain(made.records, lot, Shape.INTERMITTENT)
                outcomes = checked(document_of(scope, rng), made.records)
                assert {one.verdict for one in outcomes} <= {CheckVerdict.CONFIRMED}, outcomes
                confirmed += len(outcomes)
    assert confirmed > 50


def graph_of(records):
    """The hall as a graph: lots on reels, reels on boards, boards in units, units in a carton."""
    graph = nx.DiGraph()
    for item in records.items_on_reels:
        graph.add_edge(item.part_lot, item.reel)
    for reel in dict.fromkeys(one.reel for one in records.items_on_reels):
        for move in records.movements_of(reel):
            graph.add_edge(reel if move.source == "counter" else move.source, move.target)
    for piece in records.pieces:
        graph.add_edge(ORDER, piece.code)
    for nest in records.nests:
        graph.add_edge(nest.child, nest.parent)
    graph.remove_nodes_from([node for node in graph if node == "scrap"])
    return graph


def test_walks_reach_what_a_graph_reaches():
    """Source: `descendants` and `ancestors` of networkx 3. Forward, a reel is walked whole, so all of its places are reached."""
    walked = 0
    for _rng, made in halls(1813, 20):
        graph = graph_of(made.records)
        kinds = {"part-lot", "reel", "build", "boards", "piece", "carton"}
        for code in sorted(graph):
            if code[0] == "F":
                forward = {
                    node.code for node in trace_forward(made.records, code).nodes if node.kind in kinds
                }
                assert forward == nx.descendants(graph, code) | {code}, code
            if code[0] == "U":
                back = {node.code for node in trace_back(made.records, code).nodes if node.kind in kinds}
                ahead = {node.code for node in trace_forward(made.records, code).nodes if node.kind in kinds}
                assert back <= nx.ancestors(graph, code) | {code}, code
                assert {one for one in nx.ancestors(graph, code) if one[0] in "FNU"} <= back, code
                assert ahead == nx.descendants(graph, code) | {code}, code
                walked += 1
    assert walked > 40


def test_boards_of_a_window_go_where_they_were_joined():
    """A solder window is boards first to last: each is known by its label, so bounds are exact and no more than what is there."""
    for rng, made in halls(1814, 40):
        first = rng.randint(1, made.boards)
        last = rng.randint(first, made.boards)
        held = lot_holdings(made.records, ORDER, StrokeSet.between(first, last), NO_STROKES)
        labelled = {piece.number: piece.code for piece in made.records.pieces}
        for number, code in labelled.items():
            bound = held.bound([code])
            assert (bound.least, bound.most) == (int(first <= number <= last),) * 2
        left = [number for number in range(first, last + 1) if number not in labelled]
        assert held.bound(["counter"]).least == held.bound(["counter"]).most == len(left)


def test_a_solder_window_is_contained_with_just_the_boards_that_went_through_and_its_certificates_check():
    confirmed = 0
    for rng, made in halls(1815, 8):
        first = rng.randint(1, made.boards)
        last = rng.randint(first, made.boards)
        went_in = StepItemFact(90, AT, StepInput.STROKES, ORDER, ORDER, first, last, None)
        made.records.steps = [StepFact("X1", "soldering", "V1", 90, AT, AT, (went_in,), ())]
        scope = contain(made.records, "X1", Shape.INTERMITTENT)
        assert [(tier.lot, tier.strokes) for tier in scope.tiers] == [(ORDER, StrokeSet.between(first, last))]
        boards = {piece.code for piece in made.records.pieces if first <= piece.number <= last}
        assert {held.code for held in scope.containers if held.most} == boards
        # A board is where its unit is, and the unit where its carton is.
        packed = sum(
            bool(made.records.parents_of(nest.parent))
            for board in boards
            for nest in made.records.parents_of(board)
        )
        assert sum(group.most for group in scope.groups if group.code == "952") == packed
        outcomes = checked(document_of(scope, rng), made.records)
        assert {one.verdict for one in outcomes} <= {CheckVerdict.CONFIRMED}, outcomes
        confirmed += len(outcomes)
    assert confirmed > 20

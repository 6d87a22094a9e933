"""Process steps against every way the single discs may have gone, and blends against every way discs were ground.

By default a few hundred small histories; RUNOUT_CAMPAIGN=50 tries fifty times as many.
"""

import random
from itertools import combinations

import networkx as nx
from support_asking import contain
from support_campaign import tries
from support_certificates import checked, document_of
from support_steps import RECEIVED, kitchen, most_of, washed_floor, washed_records, ways_with_washes

from tracelink.genealogy.certificate.bound_check import CheckVerdict
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.suspects.blends import blends_of
from tracelink.genealogy.walk.walk import trace_back, trace_forward


def histories(seed, few):
    rng = random.Random(seed)
    for _ in range(tries(few)):
        made = washed_floor(rng)
        for bath in ("V1", "V2"):
            if bath in made.washed:
                yield rng, made, bath, contain(washed_records(made), bath, Shape.INTERMITTENT)


def test_what_was_in_a_bath_is_bounded_by_every_way_the_discs_may_have_gone():
    """Never less than there can be; and just that, where the strokes on each spindle were known when it went in."""
    same = wider = by_stroke = 0
    for rng, made, bath, scope in histories(1800, 120):
        states = ways_with_washes(made, bath)
        known = all("by place" not in reason for reason in scope.reasons)
        ends = sorted({place for places, _ in states for place in places})
        for size in (1, 2):
            for places in rng.sample(
                list(combinations(ends, size)), min(3, len(list(combinations(ends, size))))
            ):
                most = max(
                    sum(here in places and disc in wet for disc, here in enumerate(each, 1))
                    for each, wet in states
                )
                bound = scope.holdings.bound(places)
                assert bound.least == 0
                assert bound.most >= most, (made.floor.movements, made.marks, bath, places)
                same += bound.most == most
                wider += bound.most > most
                if known:
                    by_stroke += 1
                    assert bound.most == most, (made.floor.movements, made.marks, bath, places)
    assert by_stroke > 100
    assert same > 4 * wider


def test_certificates_of_what_was_in_a_bath_check():
    confirmed = 0
    for rng, made, _bath, scope in histories(1801, 40):
        if any("by place" in reason for reason in scope.reasons):
            continue
        outcomes = checked(document_of(scope, rng), washed_records(made))
        assert {one.verdict for one in outcomes} <= {CheckVerdict.CONFIRMED}, outcomes
        confirmed += len(outcomes)
    assert confirmed > 50


def test_the_share_of_a_lot_in_every_blend_is_the_most_that_can_be():
    rng = random.Random(1802)
    longest = 0
    for _ in range(tries(60)):
        records = kitchen(rng)
        for origin in RECEIVED:
            found = {share.material: share.most for share in blends_of(records, origin).shares}
            assert found == {origin: 1, **most_of(records, origin)}
            longest = max(longest, len(found))
    assert longest > 4


def test_a_lot_is_contained_with_every_disc_pressed_from_its_blends():
    rng = random.Random(1803)
    for _ in range(tries(12)):
        records = kitchen(rng)
        for origin in RECEIVED:
            expected = {
                (segment.lot, stroke)
                for segment in records.segments
                if segment.compound in {origin, *most_of(records, origin)}
                for stroke in segment.strokes
            }
            if not expected:
                continue
            scope = contain(records, origin, Shape.INTERMITTENT)
            assert {(tier.lot, stroke) for tier in scope.tiers for stroke in tier.strokes} == expected


def graph_of(records):
    """The plant as a graph: material into steps into material, and lots that were pressed of it and ground."""
    graph = nx.DiGraph()
    for segment in records.segments:
        graph.add_edge(segment.compound, segment.lot)
    for step in records.steps:
        for item in step.items:
            graph.add_edge(item.thing, step.code)
        graph.add_edges_from((step.code, output.material) for output in step.outputs)
    return graph


def test_walks_through_blends_reach_what_a_graph_reaches():
    """Source: `descendants` and `ancestors` of networkx 3."""
    rng = random.Random(1804)
    for _ in range(tries(60)):
        records = kitchen(rng)
        graph = graph_of(records)
        kinds = {"compound", "step", "lot"}
        for code in sorted(graph):
            forward = {node.code for node in trace_forward(records, code).nodes if node.kind in kinds}
            back = {node.code for node in trace_back(records, code).nodes if node.kind in kinds}
            assert forward == nx.descendants(graph, code) | {code}, code
            assert back == nx.ancestors(graph, code) | {code}, code


def test_containers_of_a_bath_are_those_of_its_bounds():
    for _rng, _made, _bath, scope in histories(1805, 20):
        for one in scope.containers:
            assert one.most == scope.holdings.bound([one.code]).most

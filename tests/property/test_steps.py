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
from tracelink.genealogy.containment.held import TOTAL
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


def sets_of(rng, ends):
    """Some places alone, and some two together."""
    return [
        places
        for size in (1, 2)
        for places in rng.sample(list(combinations(ends, size)), min(3, len(list(combinations(ends, size)))))
    ]


def test_what_was_in_a_bath_is_bounded_by_just_what_the_discs_may_have_done():
    """Neither more nor less, whether the strokes on a spindle were known when it went in or not."""
    by_stroke = by_place = 0
    for rng, made, bath, scope in histories(1800, 120):
        states = ways_with_washes(made, bath)
        stood = any(tier.most is not None for tier in scope.tiers)
        for places in sets_of(rng, sorted({place for each, _ in states for place in each})):
            most = max(
                sum(here in places and disc in wet for disc, here in enumerate(each, 1))
                for each, wet in states
            )
            bound = scope.holdings.bound(places)
            found = (bound.least, bound.most, bound.tight)
            assert found == (0, most, True), (made.floor.movements, made.marks, bath, places)
            by_place, by_stroke = by_place + stood, by_stroke + (not stood)
    assert by_stroke > 100
    assert by_place > 100


def test_tiers_of_a_bath_name_every_disc_that_may_have_been_in_it_and_how_many_at_most():
    limited = 0
    for _rng, made, bath, scope in histories(1806, 40):
        ever = set().union(*(wet for _, wet in ways_with_washes(made, bath)))
        named = {stroke for tier in scope.tiers for stroke in tier.strokes}
        assert ever <= named, (made.floor.movements, made.marks, bath)
        at_once = max(len(wet) for _, wet in ways_with_washes(made, bath))
        assert at_once <= sum(tier.discs for tier in scope.tiers)
        [total] = [line for line in scope.places if line.place == TOTAL]
        assert total.most == at_once
        limited += any(tier.most is not None for tier in scope.tiers)
    assert limited > 5


def test_certificates_of_what_was_in_a_bath_check():
    by_stroke = by_place = 0
    for rng, made, _bath, scope in histories(1801, 40):
        outcomes = checked(document_of(scope, rng), washed_records(made))
        assert {one.verdict for one in outcomes} == {CheckVerdict.CONFIRMED}, outcomes
        stood = any(tier.most is not None for tier in scope.tiers)
        by_place, by_stroke = by_place + stood * len(outcomes), by_stroke + (not stood) * len(outcomes)
    assert by_stroke > 50
    assert by_place > 50


def test_a_bound_of_a_bath_that_was_changed_does_not_check():
    """Source: the certificate of each bound shows just that bound, so one more and one less must fail."""
    changed = 0
    for rng, made, _bath, scope in histories(1807, 20):
        document = document_of(scope, rng)
        if not any("touched" in lot for lot in document["certificate"]["lots"]):
            continue
        for row in [*document["containers"], *document["places"]]:
            for other in (row["most"] - 1, row["most"] + 1):
                honest, row["most"] = row["most"], other
                verdicts = {one.verdict for one in checked(document, washed_records(made))}
                assert CheckVerdict.FAILS in verdicts, row
                row["most"] = honest
                changed += 1
    assert changed > 20


def test_a_spindle_that_did_not_stand_in_the_bath_is_found_out():
    """A file that leaves out where discs stood shows other bounds than it claims."""
    found = 0
    for rng, made, _bath, scope in histories(1808, 20):
        document = document_of(scope, rng)
        [total] = [row["most"] for row in document["places"] if row["place"] == TOTAL]
        for lot in document["certificate"]["lots"]:
            known = sum(last - first + 1 for first, last in lot.get("touched", {}).get("strokes", ()))
            if "touched" in lot and total > known:
                lot["touched"]["stood"] = []
                verdicts = {one.verdict for one in checked(document, washed_records(made))}
                assert CheckVerdict.FAILS in verdicts
                found += 1
    assert found > 3


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


def test_a_blend_is_contained_with_every_disc_pressed_from_it_and_its_certificates_check():
    """Its discs are those pressed from it or from any blend that some of it, or of what was ground of it, went into."""
    rng = random.Random(1806)
    asked = confirmed = 0
    for _ in range(tries(12)):
        records = kitchen(rng)
        graph = graph_of(records)
        for blend in dict.fromkeys(output.material for step in records.steps for output in step.outputs):
            reached = {blend, *nx.descendants(graph, blend)} if blend in graph else {blend}
            expected = {
                (segment.lot, stroke)
                for segment in records.segments
                if segment.compound in reached
                for stroke in segment.strokes
            }
            scope = contain(records, blend, Shape.INTERMITTENT)
            assert {(tier.lot, stroke) for tier in scope.tiers for stroke in tier.strokes} == expected
            outcomes = checked(document_of(scope, rng), records)
            assert {one.verdict for one in outcomes} <= {CheckVerdict.CONFIRMED}, outcomes
            asked, confirmed = asked + bool(expected), confirmed + len(outcomes)
    assert asked > 10
    assert confirmed > 60

"""Candidates are compared by the discs made with them; here each count is made anew from its definition, disc by disc."""

import random

from support_campaign import tries

from tracelink.genealogy.commoncause.compare import STRATA, common_cause
from tracelink.genealogy.commoncause.exposure import ExposedDisc, JudgedDiscs
from tracelink.quality.fourfold import fisher_greater, mantel_haenszel, stratified_greater


def _discs(rng):
    pieces = []
    for stroke in range(1, rng.randint(4, 40)):
        made = [
            (kind, f"{kind} {rng.randint(1, 3)}")
            for kind in ("stamper", "mother", "press", "compound", "lot")
        ]
        if rng.random() < 0.7:
            made.append(("operator", f"P{rng.randint(1, 2)}"))
        bad = rng.random() < (0.6 if ("stamper", "stamper 1") in made else 0.2)
        pieces.append(ExposedDisc(f"S{stroke}", "L1", stroke, bad, dict.fromkeys(made, (stroke, 0))))
    return tuple(pieces)


def _table(pieces, factor):
    cells = [[0, 0], [0, 0]]
    for piece in pieces:
        cells[factor not in piece.places][not piece.bad] += 1
    return tuple(map(tuple, cells))


def _tables_within(pieces, factor, stratum):
    strata = dict.fromkeys(place for piece in pieces for place in piece.places if place[0] == stratum)
    tables = [_table([piece for piece in pieces if one in piece.places], factor) for one in strata]
    return [t for t in tables if 0 not in (sum(t[0]), sum(t[1]), t[0][0] + t[1][0], t[0][1] + t[1][1])]


def test_every_figure_of_a_candidate_is_what_its_definition_says():
    compared = within = 0
    for seed in range(tries(60)):
        rng = random.Random(seed)
        pieces, stratum = _discs(rng), rng.choice(STRATA)
        found = common_cause(JudgedDiscs(pieces, 0, 0), stratum)
        first = found.candidates[0] if found.candidates else None
        for one in found.candidates:
            factor = (one.kind, one.code)
            assert one.table == _table(pieces, factor)
            assert one.p == fisher_greater(one.table)
            assert one.apart == sum(
                piece.bad and factor in piece.places and (first.kind, first.code) not in piece.places
                for piece in pieces
            )
            with_it = {piece.sample for piece in pieces if factor in piece.places}
            others = dict.fromkeys(place for piece in pieces for place in piece.places if place != factor)
            assert set(one.aliases) == {
                f"{kind} {code}"
                for kind, code in others
                if {piece.sample for piece in pieces if (kind, code) in piece.places} == with_it
            }
            tables = [] if one.kind == stratum else _tables_within(pieces, factor, stratum)
            assert (one.within is None) == (not tables)
            if one.within is not None:
                assert one.within.p == stratified_greater(tables)
                assert one.within.ratio == mantel_haenszel(tables).ratio
                within += 1
            compared += 1
    assert compared > within > 0


def test_the_candidates_are_all_that_some_discs_were_made_with_and_others_were_not():
    for seed in range(tries(40)):
        pieces = _discs(random.Random(seed))
        if not any(piece.bad for piece in pieces):
            continue
        found = common_cause(JudgedDiscs(pieces, 0, 0))
        made = {place for piece in pieces for place in piece.places}
        every = {place for place in made if all(place in piece.places for piece in pieces)}
        assert {(one.kind, one.code) for one in found.candidates} == made - every
        assert set(found.shared) == {f"{kind} {code}" for kind, code in every}


def test_the_work_grows_with_what_the_discs_name_and_not_with_its_square():
    """Each disc is looked at as often as it names things, whatever else was judged: reads of a disc are counted."""
    asked = {}
    for discs in (50, 500):
        reads = [0]

        class Counted(dict):
            def __contains__(self, key, reads=reads):
                reads[0] += 1
                return super().__contains__(key)

        pieces = tuple(
            ExposedDisc(
                f"S{number}",
                "L1",
                number,
                number % 5 == 0,
                Counted({("stamper", f"T{number // 5}"): (number, 0)}),
            )
            for number in range(discs)
        )
        common_cause(JudgedDiscs(pieces, 0, 0))
        asked[discs] = reads[0]
    assert 0 < asked[500] <= 11 * asked[50], asked

"""Every bound's certificate is confirmed from the movements alone, and no changed one is."""

import copy
import random

import pytest
from support_asking import contain
from support_certificates import checked, document_of, plant
from support_genealogy import one_stage_floor, wild_floor
from support_network import loose_plant, middle_floor, spoiled

from tracelink.errors import LedgerError
from tracelink.genealogy.certificate.bound_check import CheckVerdict
from tracelink.genealogy.model.shapes import Shape


@pytest.mark.parametrize("make", [one_stage_floor, wild_floor, middle_floor])
def test_every_bound_is_confirmed(make):
    rng = random.Random(9000)
    for _ in range(15):
        records, scope = plant(rng, make)
        document = document_of(scope, rng)
        outcomes = checked(document, records)
        assert len(outcomes) == len(scope.containers) + len(scope.groups) + len(scope.places) + 1
        wrong = [one for one in outcomes if one.verdict is not CheckVerdict.CONFIRMED]
        # Only where the program with fractions leaves room is the last word the solver's.
        assert all(one.verdict is CheckVerdict.ONE_SIDED and "exhausted" in one.why for one in wrong), wrong
        assert len(wrong) <= 2


def test_loose_discs_are_certified_like_all_others():
    rng = random.Random(9070)
    for _ in range(20):
        records, discs, _ = loose_plant(rng)
        first = rng.randint(1, discs)
        scope = contain(records, "L1", Shape.WINDOW, window=(first, rng.randint(first, discs)))
        outcomes = checked(document_of(scope, rng), records)
        assert {one.verdict for one in outcomes} == {CheckVerdict.CONFIRMED}, outcomes


def test_lots_with_conflicts_are_never_called_confirmed_nor_wrong():
    rng = random.Random(9050)

    def make(rng, lot):
        floor = wild_floor(rng, lot)
        floor.movements = spoiled(rng, floor)
        return floor

    one_sided = 0
    for _ in range(15):
        records, scope = plant(rng, make)
        outcomes = checked(document_of(scope, rng), records)
        assert all(one.verdict is not CheckVerdict.FAILS for one in outcomes), outcomes
        if scope.contradictions:
            one_sided += any("conflict" in one.why for one in outcomes)
    assert one_sided > 5


def numbers_in(data, path=()):
    """Where the whole numbers of a document are."""
    if isinstance(data, bool):
        return
    if isinstance(data, int):
        yield path
    elif isinstance(data, dict | list):
        for key, value in data.items() if isinstance(data, dict) else enumerate(data):
            yield from numbers_in(value, (*path, key))


def changed(document, path, by):
    other = copy.deepcopy(document)
    inner = other
    for key in path[:-1]:
        inner = inner[key]
    inner[path[-1]] += by
    return other


def is_refused(document, records):
    try:
        return any(one.verdict is CheckVerdict.FAILS for one in checked(document, records))
    except LedgerError:
        return True


def is_certified(path):
    """Whether a number is a bound or part of a proof; chances, tiers of no lot in question and the like are not."""
    if path[0] == "certificate":
        return True
    return path[0] in ("containers", "groups", "places", "together") and path[-1] in (
        "pieces",
        "least",
        "most",
    )


@pytest.mark.parametrize("make", [one_stage_floor, wild_floor])
def test_no_changed_number_is_confirmed(make):
    """Bounds, pieces, classes, values and sums always fail; a changed proof fails unless it proves the same bound."""
    rng = random.Random(9100)
    tried = harmless = 0
    for _ in range(2):
        records, scope = plant(rng, make)
        document = document_of(scope, rng)
        for path in [path for path in numbers_in(document) if is_certified(path)]:
            if (
                path[0] == "places"
                and document["places"][path[1]]["place"] == "unaccounted"
                and path[-1] == "pieces"
            ):
                # The difference of a count; no assignment is about it. The digest of the file covers it.
                continue
            for by in (1, -1):
                tried += 1
                if not is_refused(changed(document, path, by), records):
                    # One disc exchanged for another, a price that sums to the same: still a proof, of the same bound.
                    names_a_proof = "parts" in path and path[-1] in (2, 3)
                    assert "went" in path or "each" in path or path[-1] == "per" or names_a_proof, path
                    harmless += 1
    assert tried > 500
    assert harmless < tried / 20

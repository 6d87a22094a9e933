"""Certificates of the hand-written plant: by stroke, by place, with broken cartons, loose returns and limits."""

import json
from dataclasses import replace

import pytest
from support_asking import contain
from support_genealogy_plant import C1, C2, C3, C4, P1, judged, move, small_plant

from tracelink.errors import NotCertified, UsageError
from tracelink.genealogy.certificate.bound_check import CheckVerdict
from tracelink.genealogy.certificate.check_certificate import check, lots_in
from tracelink.genealogy.certificate.check_lot import record_of
from tracelink.genealogy.certificate.digest import digest_of, require_digest
from tracelink.genealogy.certificate.write_certificate import certificate_of
from tracelink.genealogy.containment.scope import bounds_of
from tracelink.genealogy.flow import exact, solve
from tracelink.genealogy.flow.proof import ceiling
from tracelink.genealogy.model.shapes import Shape

BAD = judged("S2", "L2", 50, False, defect="scratch")


def plant(*movements):
    records = small_plant()
    records.judgements = [BAD]
    records.movements += movements
    return records


def document(scope):
    return json.loads(json.dumps({**scope.to_json(), "certificate": certificate_of(scope)}))


def checked(data, records, head=99):
    return check(data, {lot: record_of(records, lot, head) for lot in lots_in(data)})


def verdicts(outcomes):
    return {one.verdict for one in outcomes}


# A table where discs of two spindles are mixed and picked: the pools are not exact there.
MIXED = (
    move(80, "L1", 20, "K1", "R1"),
    move(81, "L1", 20, "K2", "R1"),
    move(82, "L1", 15, "R1", C4),
)


def test_a_certificate_by_stroke_is_confirmed():
    records = plant(*MIXED)
    scope = contain(records, "T4", Shape.FROM_ONSET)
    assert verdicts(checked(document(scope), records)) == {CheckVerdict.CONFIRMED}


def test_a_certificate_by_place_counts_only():
    records = plant()
    scope = contain(records, P1, Shape.INTERMITTENT)
    data = document(scope)
    assert data["certificate"]["by"] == "place"
    assert verdicts(checked(data, records)) == {CheckVerdict.CONFIRMED}
    data["containers"][0]["pieces"] += 1
    found = [one for one in checked(data, records) if one.verdict is CheckVerdict.FAILS]
    assert [one.code for one in found] == [C1]
    data = document(scope)
    data["containers"][0]["most"] -= 1
    assert CheckVerdict.FAILS in verdicts(checked(data, records))


def test_a_bound_without_certificate_and_a_certificate_without_bound_are_named():
    records = plant()
    data = document(contain(records, "T4", Shape.FROM_ONSET))
    kept = data["certificate"]["bounds"].pop(0)
    assert [(one.code, one.why) for one in checked(data, records) if one.verdict is CheckVerdict.FAILS] == [
        (kept["code"], "the file has no certificate for it")
    ]
    data["certificate"]["bounds"] += [kept, kept]
    assert [one.why for one in checked(data, records) if one.verdict is CheckVerdict.FAILS] == [
        "the scope has no such bound, or it is certified twice"
    ]


def test_a_broken_carton_is_a_range_of_its_own_in_every_set():
    records = plant()
    records.containers = [
        one._replace(status="broken") if one.code == C2 else one for one in records.containers
    ]
    scope = contain(records, "T4", Shape.FROM_ONSET)
    held = {one.code: (one.pieces, one.least, one.most, one.tight) for one in scope.containers}
    assert held[C2] == (70, 0, 70, False)
    # 40 of the 200 discs of K1, all of them suspect under this evidence, and whatever the broken carton holds.
    both = bounds_of(scope, [C1, C2])
    assert (both.pieces, both.least, both.most, both.tight) == (110, 0, 110, False)
    outcomes = checked(document(scope), records)
    assert verdicts(outcomes) == {CheckVerdict.CONFIRMED, CheckVerdict.ONE_SIDED}
    odd = {one.code: one.why for one in outcomes if one.verdict is CheckVerdict.ONE_SIDED}
    assert odd[C2] == f"{C2} is not claimed: the records give its content only as a range"
    assert P1 in odd


def test_discs_that_came_back_loose_are_certified():
    records = plant(
        move(80, "L1", 5, "customers", "returned"),
        move(81, "L1", 5, "returned", "return 1"),
        move(82, "L1", 2, "return 1", "K9"),
    )
    scope = contain(records, "T4", Shape.FROM_ONSET)
    held = {
        one.code: (one.pieces, one.least, one.most, one.tight) for one in scope.containers if one.lot == "L1"
    }
    # C1 (40 of T4's discs) and C2 (60 of them, 10 clean) were sent, and five came out of one of them or both.
    assert held["return 1"] == (3, 0, 3, True)
    assert held["K9"] == (2, 0, 2, True)
    data = document(scope)
    assert verdicts(checked(data, records)) == {CheckVerdict.CONFIRMED}
    line = next(place for place in data["places"] if place["pieces"] == -5)
    line["pieces"] = -4
    # The places do not add up any more either, which is told of what the count lacks.
    assert [one.code for one in checked(data, records) if one.verdict is CheckVerdict.FAILS] == [
        "came back loose, also counted as shipped",
        "unaccounted",
    ]


def test_what_a_carton_must_hold_counts_the_discs_that_may_have_left_it():
    records = plant(move(80, "L1", 5, "customers", "returned"))
    records.judgements = [judged("S9", "L1", 1, False)]
    scope = contain(records, "T4", Shape.FROM_ONSET)
    held = {one.code: (one.least, one.most) for one in scope.containers}
    assert held[C1] == (35, 40)
    assert held[C2] == (55, 60)
    # Together they gave up five.
    assert bounds_of(scope, [C1, C2]).least == 95
    assert bounds_of(scope, [C1, C2, "returned"]).least == 100


def test_a_part_past_the_limits_is_not_shown_and_said_so(monkeypatch):
    monkeypatch.setattr(solve, "FUTURES_AT_MOST", 0)
    records = plant(*MIXED)
    scope = contain(records, "T4", Shape.FROM_ONSET)
    assert any(not one.tight for one in scope.containers)
    assert any("may be wider" in gap for gap in scope.gaps)
    outcomes = checked(document(scope), records)
    assert CheckVerdict.FAILS not in verdicts(outcomes)
    whys = [one.why for one in outcomes if one.verdict is CheckVerdict.ONE_SIDED]
    assert any("no assignment in the file reaches the most" in why for why in whys)


def test_where_only_the_solver_says_so_the_file_says_that(monkeypatch):
    """Prices are taken away, as where the program in fractions leaves room: then the integer program is the bound."""

    def none(self, part, places, sign, *_program):
        return {}, 1, ceiling(self._network, part, {}, 1, places, sign) + 1

    monkeypatch.setattr(exact, "offers", lambda *_: [(10**6, frozenset())])
    monkeypatch.setattr(solve.Solver, "_prices", none)
    monkeypatch.setattr(solve.Solver, "_whole", whole_once())
    records = plant(*MIXED)
    scope = contain(records, "T4", Shape.FROM_ONSET)
    outcomes = checked(document(scope), records)
    assert CheckVerdict.FAILS not in verdicts(outcomes)
    whys = {why for one in outcomes for why in one.why.split("; ") if why}
    assert whys >= {"that nothing goes beyond the most was exhausted by the solver and is not shown"}


def whole_once():
    """A solution of the linear program is never whole; one of the integer program is."""
    original = solve.Solver._whole
    calls = iter(range(10**9))

    def whole(self, part, model, values):
        return None if next(calls) % 2 == 0 else original(self, part, model, values)

    return whole


def test_movements_that_conflict_leave_a_lot_without_certificates():
    records = plant(move(80, "L1", 500, "K1", C4))
    scope = contain(records, "T4", Shape.FROM_ONSET)
    assert scope.contradictions
    outcomes = checked(document(scope), records)
    assert CheckVerdict.FAILS not in verdicts(outcomes)
    assert CheckVerdict.ONE_SIDED in verdicts(outcomes)


def test_strokes_pressed_later_do_not_matter_and_others_do():
    records = plant()
    data = document(contain(records, "T4", Shape.FROM_ONSET))
    records.lots = [replace(lot, pressed=lot.pressed + 50) for lot in records.lots]
    records.journal_head = (120, "cd" * 32)
    assert verdicts(checked(data, records)) == {CheckVerdict.CONFIRMED}
    assert CheckVerdict.FAILS in verdicts(checked(data, plant()) + checked(changed_pressed(data), records))


def changed_pressed(data):
    other = json.loads(json.dumps(data))
    other["certificate"]["lots"][0]["pressed"][0][1] -= 10
    return other


def test_a_digest_covers_all_but_itself():
    data = {"a": [1, 2.5], "digest": ""}
    data["digest"] = digest_of(data)
    require_digest(data)
    with pytest.raises(NotCertified):
        require_digest({**data, "a": [1, 2.25]})
    with pytest.raises(NotCertified) as caught:
        digest_of({"a": 2**60})
    assert str(caught.value).startswith("the file has a value that no scope has: ")


def test_another_format_is_refused():
    records = plant()
    data = document(contain(records, "T4", Shape.FROM_ONSET))
    data["certificate"]["format"] = 2
    with pytest.raises(UsageError) as caught:
        checked(data, records)
    assert str(caught.value) == "the certificate has format 2; this program reads 1"


def test_a_carton_left_out_of_a_pallet_is_seen_by_its_count():
    records = plant()
    data = document(contain(records, "T4", Shape.FROM_ONSET))
    pallet = next(one for one in data["certificate"]["bounds"] if one["code"] == P1)
    pallet["places"].remove(C1)
    [found] = [one for one in checked(data, records) if one.verdict is CheckVerdict.FAILS]
    assert (found.code, found.why) == (P1, "the movements leave 70 discs there, the scope says 110")
    assert C3 not in pallet["places"]


def test_a_total_that_is_not_that_of_the_tiers_is_told_in_a_sentence():
    records = plant()
    data = document(contain(records, "T4", Shape.FROM_ONSET))
    total = next(one for one in data["places"] if one["place"] == "total")
    least, most, pieces = total["least"], total["most"], total["pieces"]
    total["most"] += 1
    [found] = [one for one in checked(data, records) if one.verdict is CheckVerdict.FAILS]
    assert found.why == (
        f"the tiers give {least} to {most} of {pieces} discs; the scope says {least} to {most + 1} of {pieces} discs"
    )

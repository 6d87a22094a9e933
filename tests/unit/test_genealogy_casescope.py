"""What differs between two scopes of a case: every stroke whose tier is another one, in both directions."""

import random

from support_casescope import carton, scope, tier
from support_each import each

from tracelink.genealogy.case.compare_scopes import OUTSIDE, Way, difference, strokes_of
from tracelink.genealogy.model.strokes import StrokeSet

OPPOSITE = {Way.IN: Way.OUT, Way.OUT: Way.IN, Way.MORE: Way.LESS, Way.LESS: Way.MORE, Way.SAME: Way.SAME}
SUSPICION = {OUTSIDE: 0, "cleared": 0, "possible": 1, "proven": 2}


def ways(found):
    return [(one.way, one.lot, str(one.strokes), one.before, one.now) for one in found.strokes]


def test_the_same_scope_of_a_longer_ledger_does_not_differ():
    one = scope(tier("possible", "L1", (1, 9)), containers=[carton()])
    found = difference(one, scope(*one.tiers, containers=one.containers, head=99))
    assert not found.differs
    assert found.heads == (10, 99)


def test_strokes_go_both_ways_in_one_difference():
    before = scope(
        tier("cleared", "L1", (1, 10)), tier("possible", "L1", (11, 20)), tier("proven", "L1", (21, 30))
    )
    now = scope(
        tier("cleared", "L1", (1, 5), (11, 12), reason="sample 7 was good"),
        tier("possible", "L1", (6, 10), (13, 20), (21, 25), reason="sample 2 was judged again"),
        tier("proven", "L1", (26, 30)),
    )
    assert ways(difference(before, now)) == [
        (Way.IN, "L1", "6-10", "cleared", "possible"),
        (Way.OUT, "L1", "11-12", "possible", "cleared"),
        (Way.LESS, "L1", "21-25", "proven", "possible"),
    ]
    assert [one.reason for one in difference(before, now).strokes] == [
        "sample 2 was judged again",
        "sample 7 was good",
        "sample 2 was judged again",
    ]


def test_a_lot_that_was_pressed_since_comes_into_scope_and_one_that_is_gone_goes_out():
    before = scope(tier("possible", "L1", (1, 4), reason="between good and bad"))
    found = difference(before, scope(tier("proven", "L2", (1, 3), reason="from the first bad on")))
    assert ways(found) == [
        (Way.OUT, "L1", "1-4", "possible", OUTSIDE),
        (Way.IN, "L2", "1-3", OUTSIDE, "proven"),
    ]
    assert found.strokes[0].reason == "nothing is said of them any more; before: between good and bad"


@each("seed", range(200))
def test_every_stroke_is_in_the_difference_exactly_when_its_tier_is_another(seed):
    """Against a stroke-by-stroke comparison; the way back is the opposite of the way there."""
    rng = random.Random(seed)
    scopes, maps = [], []
    for _ in range(2):
        tiers = {stroke: rng.choice([OUTSIDE, "cleared", "possible", "proven"]) for stroke in range(1, 25)}
        maps.append(tiers)
        scopes.append(
            scope(
                *(
                    tier(name, "L1", *((s.first, s.last) for s in strokes.spans))
                    for name in ("proven", "possible", "cleared")
                    if (strokes := StrokeSet.from_strokes(s for s, held in tiers.items() if held == name))
                )
            )
        )
    there, back = difference(*scopes), difference(*reversed(scopes))
    found = {stroke: (one.before, one.now) for one in there.strokes for stroke in one.strokes}
    assert found == {
        stroke: (maps[0][stroke], maps[1][stroke])
        for stroke in range(1, 25)
        if maps[0][stroke] != maps[1][stroke]
    }
    assert sum(len(one.strokes) for one in there.strokes) == len(found)
    for one in there.strokes:
        rise = SUSPICION[one.now] - SUSPICION[one.before]
        assert (one.way in (Way.IN, Way.MORE), one.way in (Way.OUT, Way.LESS)) == (rise > 0, rise < 0)
    assert {(OPPOSITE[one.way], one.now, one.before, one.strokes) for one in there.strokes} == {
        (one.way, one.before, one.now, one.strokes) for one in back.strokes
    }


def test_containers_tell_what_they_could_hold_and_where_they_went():
    before = scope(
        tier("possible", "L1", (1, 20)),
        containers=[carton("1"), carton("2", most=9), carton("3"), carton("4", parents=("P1",))],
    )
    now = scope(
        tier("possible", "L1", (1, 20)),
        containers=[
            carton("2", pieces=8, most=4),
            carton("3", least=2),
            carton("4", parents=("D1",), consignee="Shop 1", shipped=True),
            carton("5"),
        ],
    )
    found = [
        (one.way, one.code, one.before, one.now, one.reason) for one in difference(before, now).containers
    ]
    assert found == [
        (Way.OUT, "1", (0, 5), (0, 0), "movements recorded since then changed what it can hold"),
        (Way.LESS, "2", (0, 9), (0, 4), "10 discs of the lot were in it, 8 now"),
        (Way.MORE, "3", (0, 5), (2, 5), "movements recorded since then changed what it can hold"),
        (Way.SAME, "4", (0, 5), (0, 5), "it was closed in P1 and is closed in D1, shipped to Shop 1"),
        (Way.IN, "5", (0, 0), (0, 5), "movements recorded since then changed what it can hold"),
    ]


def test_gaps_and_contradictions_are_compared_as_sentences():
    found = difference(scope(gaps=["a", "b"], contradictions=["x"]), scope(gaps=["b", "c"]))
    assert (found.gaps_new, found.gaps_gone) == (("c",), ("a",))
    assert (found.contradictions_new, found.contradictions_gone) == ((), ("x",))
    assert found.differs


def test_a_kept_tier_gives_its_strokes_back():
    assert strokes_of(tier("possible", "L1", (1, 3), (7, 7))) == StrokeSet.from_strokes([1, 2, 3, 7])

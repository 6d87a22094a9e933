"""Several causes at once, against every way the faults can have run."""

import itertools
import random

from support_asking import contain_several
from support_each import each
from support_genealogy import single_stamper_plant, wild_floor

from tracelink.errors import UnknownCode
from tracelink.genealogy.containment.by_place.spread import Touched, spread_of
from tracelink.genealogy.containment.causes import CauseQuery
from tracelink.genealogy.containment.scope import bounds_of
from tracelink.genealogy.flow.follow import replay
from tracelink.genealogy.model.facts import ContainerFact, JudgementFact
from tracelink.genealogy.model.shapes import Shape, TierName
from tracelink.genealogy.model.strokes import StrokeSet
from tracelink.genealogy.suspects.closure import Axis, Stretch
from tracelink.genealogy.suspects.combine import CauseAxis, combine

DISCS = 7
SHAPES = (Shape.FROM_ONSET, Shape.WHOLE_LIFE, Shape.INTERMITTENT)


def random_life(rng, name):
    """A thing that made some discs of lots L1 and L2, in an order of its own."""
    places = rng.sample(
        [("L1", n) for n in range(1, DISCS + 1)] + [("L2", n) for n in range(1, 3)], rng.randint(2, 6)
    )
    stretches = tuple(
        Stretch(lot, StrokeSet.between(stroke, stroke), position - stroke)
        for position, (lot, stroke) in enumerate(places, 1)
    )
    return CauseAxis(name, Axis(name, "stamper", stretches, ordered=True), rng.choice(SHAPES)), places


def faults(life, places):
    """Every set of its discs that a life can affect."""
    if life.shape is Shape.FROM_ONSET:
        return [frozenset(places[onset:]) for onset in range(len(places) + 1)]
    if life.shape is Shape.WHOLE_LIFE:
        return [frozenset(), frozenset(places)]
    return [frozenset(some) for n in range(len(places) + 1) for some in itertools.combinations(places, n)]


def affected(clauses, fault):
    """The discs for which every clause has a life that affects them."""
    parts = [frozenset().union(*(fault[number] for number in clause)) for clause in clauses]
    return frozenset.intersection(*parts)


def flat(discs):
    return {(lot, stroke) for lot, strokes in discs.items() for stroke in strokes}


@each("seed", range(400))
def test_nothing_is_proven_or_cleared_that_any_agreeing_fault_denies(seed):
    """The truth table and both rules of combine.py, for one to three lives in one or two clauses."""
    rng = random.Random(seed)
    made = [random_life(rng, f"T{number}") for number in range(rng.randint(1, 3))]
    numbers = list(range(len(made)))
    cut = rng.choice([0, 0, 1]) if len(made) > 1 else 0
    clauses = [numbers] if not cut else [numbers[:cut], numbers[cut:]]
    every = [dict(enumerate(fault)) for fault in itertools.product(*(faults(*one) for one in made))]
    truth = affected(clauses, rng.choice(every))
    touched = affected(clauses, {number: frozenset(places) for number, (_, places) in enumerate(made)})
    tested = rng.sample(sorted(touched), rng.randint(0, min(4, len(touched))))
    judged = [
        (JudgementFact(f"S{n}", lot, stroke, (lot, stroke) not in truth, None, n), (lot, stroke) not in truth)
        for n, (lot, stroke) in enumerate(tested)
    ]
    agreeing = [
        found
        for fault in every
        if all(((one.lot, one.stroke) in (found := affected(clauses, fault))) != good for one, good in judged)
        for found in [affected(clauses, fault)]
    ]
    found = combine([[made[number][0] for number in clause] for clause in clauses], judged)
    assert found.contradiction is None
    assert flat(found.touched) == touched
    always, ever = frozenset.intersection(*agreeing), frozenset.union(*agreeing)
    assert flat(found.proven) <= always
    assert not flat(found.cleared) & ever
    assert {(one.lot, one.stroke) for one, good in judged if not good} <= flat(found.proven)
    assert {(one.lot, one.stroke) for one, good in judged if good} <= flat(found.cleared)
    if len(made) == 1:
        assert flat(found.proven) == always
        assert flat(found.cleared) == touched - ever
    assert flat(found.proven) | flat(found.cleared) | flat(found.possible) == touched


@each("seed", range(200))
def test_judgements_that_no_fault_explains_clear_nothing(seed):
    rng = random.Random(9000 + seed)
    made = [random_life(rng, f"T{number}") for number in range(2)]
    touched = frozenset(made[0][1]) | frozenset(made[1][1])
    tested = rng.sample(sorted(touched), min(4, len(touched)))
    judged = [
        (JudgementFact(f"S{n}", *disc, good, None, n), good)
        for n, disc in enumerate(tested)
        for good in [rng.random() < 0.5]
    ]
    every = itertools.product(*(faults(*one) for one in made))
    agreeing = [
        found
        for fault in every
        for found in [fault[0] | fault[1]]
        if all(((one.lot, one.stroke) in found) != good for one, good in judged)
    ]
    found = combine([[life for life, _ in made]], judged)
    if found.contradiction:
        goods = {(one.lot, one.stroke) for one, good in judged if good}
        assert (flat(found.cleared), agreeing) == (goods, [])
        assert flat(found.proven) == {(one.lot, one.stroke) for one, good in judged if not good}
    elif agreeing:
        assert flat(found.proven) <= frozenset.intersection(*agreeing)
        assert not flat(found.cleared) & frozenset.union(*agreeing)


def test_what_a_life_says_and_what_the_question_says():
    """The truth table, cell by cell, both ways round."""
    words = ("proven", "possible", "cleared", "-")
    expected_or = {
        ("proven", "proven"): "proven", ("proven", "possible"): "proven", ("proven", "cleared"): "proven",
        ("proven", "-"): "proven", ("possible", "possible"): "possible", ("possible", "cleared"): "possible",
        ("possible", "-"): "possible", ("cleared", "cleared"): "cleared", ("cleared", "-"): "cleared", ("-", "-"): "-",
    }  # fmt: skip
    rank = {"proven": 0, "possible": 1, "cleared": 2, "-": 3}
    for one, other in itertools.product(words, repeat=2):
        key = tuple(sorted((one, other), key=rank.__getitem__))
        assert by_or(one, other) == expected_or[key]
        worst = key[1] if "-" not in key else "-"
        assert by_and(one, other) == worst


def by_or(one, other):
    """A disc of two stampers under whole-life; each is made known, or not, by discs of its own."""
    judged, lives = [], []
    for number, word in enumerate((one, other)):
        lives.append(whole_life(number, word))
        judged += own_evidence(number, word)
    return word_of(combine([lives], judged))


def by_and(one, other):
    """Under and, evidence must be on discs of both: the tested discs are, the one asked about lies among them."""
    words = (one, other)
    if "-" in words:
        lives = [[whole_life(number, word)] for number, word in enumerate(words)]
        return word_of(combine(lives, []))
    if words == ("proven", "proven"):
        judged = [(JudgementFact("S", "both", 2, False, None, 1), False)]
    elif "cleared" in words:
        judged = [(JudgementFact("S", "both", 2, True, None, 1), True)]
    else:
        judged = []
    lives = [[shared_life(number)] for number in range(2)]
    return word_of(combine(lives, judged))


def shared_life(number):
    return CauseAxis(
        f"T{number}",
        Axis(f"T{number}", "stamper", (Stretch("both", StrokeSet.between(1, 2), 0),), ordered=True),
        Shape.WHOLE_LIFE,
    )


def whole_life(number, word):
    own = Stretch(f"own {number}", StrokeSet.between(1, 1), 0)
    asked = Stretch("both", StrokeSet.between(1, 1), 1)
    stretches = (own,) if word == "-" else (own, asked)
    return CauseAxis(f"T{number}", Axis(f"T{number}", "stamper", stretches, ordered=True), Shape.WHOLE_LIFE)


def own_evidence(number, word):
    if word not in ("proven", "cleared"):
        return []
    good = word == "cleared"
    return [(JudgementFact(f"S{number}", f"own {number}", 1, good, None, number), good)]


def word_of(found):
    for word, discs in (("proven", found.proven), ("cleared", found.cleared), ("possible", found.possible)):
        if 1 in discs.get("both", StrokeSet()):
            return word
    return "-"


@each("seed", range(300))
def test_touched_discs_are_never_more_than_counted_anywhere(seed):
    """Every disc is followed by hand; the bound of each set of places holds what is really there."""
    rng = random.Random(seed)
    floor = wild_floor(rng)
    history = replay(floor.lot, StrokeSet.between(1, floor.discs), floor.movements)
    chosen = [n for n in range(len(floor.movements)) if rng.random() < 0.4]
    stood = [(rng.randint(0, len(floor.movements)), place) for place in ("K1", "C1") if rng.random() < 0.4]
    touched = set().union(*(floor.truth[n] for n in chosen), *(held(floor, *one) for one in stood))
    found = spread_of(
        Touched(entered=tuple(floor.movements[n] for n in chosen), stood=tuple(stood)), {floor.lot: history}
    )
    places = floor.occupied()
    for size in range(1, len(places) + 1):
        for some in itertools.combinations(places, size):
            there = {disc for disc, place in floor.where.items() if place in some}
            assert len(there & touched) <= found.most(floor.lot, some)
    assert found.total[floor.lot] <= floor.discs


def held(floor, seq, place):
    """The discs that were in a place after an entry."""
    where = dict.fromkeys(floor.where, "counter")
    for move, discs in zip(floor.movements[:seq], floor.truth[:seq], strict=True):
        where |= dict.fromkeys(discs, move.target)
    return {disc for disc, here in where.items() if here == place}


def sample_of(floors, lot, stroke, number):
    """The tag that a disc lies under if it is alone there; else one that is not a place."""
    place = floors[lot].where[stroke]
    alone = sum(here == place for floor in floors.values() for here in floor.where.values()) == 1
    return place if alone and place in {"S1", "S2"} else f"S9{number}"


@each("joined", ["or", "and", "either of two places"])
@each("seed", range(120))
def test_bounds_of_stamper_and_carton_hold_what_is_really_there(seed, joined):
    """A stamper that broke at some stroke and a carton that damaged what was in it; every disc followed by hand."""
    rng = random.Random(seed)
    records, floors, life = single_stamper_plant(rng)
    records.containers = [ContainerFact(place, "carton", "closed", "") for place in ("C1", "C2")]
    broken = set(life[rng.randint(0, len(life)) :])
    handled = {place: ever_in(floors, place) for place in ("C1", "C2")}
    # Only some of what was in the carton need be damaged.
    damaged = {
        place: {disc for disc in sorted(discs) if rng.random() < 0.7} for place, discs in handled.items()
    }
    if joined == "or":
        clauses, truth = (("T1", "C1"),), broken | damaged["C1"]
    elif joined == "and":
        clauses, truth = (("T1",), ("C1",)), broken & damaged["C1"]
    else:
        clauses, truth = (("T1",), ("C1", "C2")), broken & (damaged["C1"] | damaged["C2"])
    every = [(lot, stroke) for lot, floor in floors.items() for stroke in range(1, floor.discs + 1)]
    records.judgements = [
        JudgementFact(
            sample_of(floors, lot, stroke, n), lot, stroke, (lot, stroke) not in truth, None, 100 + n
        )
        for n, (lot, stroke) in enumerate(rng.sample(every, rng.randint(0, 4)))
    ]
    try:
        scope = contain_several(records, CauseQuery(clauses), Shape.FROM_ONSET)
    except UnknownCode:
        # This floor never used the place.
        return
    stroke_tiers = {name: set() for name in TierName}
    for tier in scope.tiers:
        stroke_tiers[tier.name] |= {(tier.lot, stroke) for stroke in tier.strokes}
    assert stroke_tiers[TierName.PROVEN] <= truth
    assert not stroke_tiers[TierName.CLEARED] & (broken if joined == "or" else truth)
    where = {(lot, stroke): place for lot, floor in floors.items() for stroke, place in floor.where.items()}
    for one in scope.containers:
        there = sum(lot == one.lot and where[lot, stroke] == one.code for lot, stroke in truth)
        assert one.least <= there <= one.most, one
    good = {one.sample for one in records.judgements if one.good}
    assert not [one for one in scope.containers if one.code in good and one.most]
    places = sorted({one.code for one in scope.containers})
    for size in range(1, len(places) + 1):
        for some in itertools.combinations(places, size):
            bound = bounds_of(scope, some)
            assert bound.least <= sum(where[disc] in some for disc in truth) <= bound.most
    total = scope.places[-1]
    inside = {lot for lot, _ in every if lot in scope.holdings.strokes.lots}
    assert total.least <= sum(lot in inside for lot, _ in truth) <= total.most
    assert all(lot in inside for lot, _ in truth), "a lot with affected discs is in the scope"


def ever_in(floors, place):
    return {
        (lot, disc)
        for lot, floor in floors.items()
        for move, discs in zip(floor.movements, floor.truth, strict=True)
        for disc in discs
        if move.target == place
    }

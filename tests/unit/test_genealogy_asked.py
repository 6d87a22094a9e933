"""What a question asks is what is answered: every cause of it, either end of its period, and nothing that is not true."""

import pytest
from support_genealogy_plant import judged, move, small_plant
from support_memory import MemoryRecords

from tracelink.errors import UsageError
from tracelink.genealogy.containment.contain import contain
from tracelink.genealogy.containment.holdings import lot_holdings
from tracelink.genealogy.containment.query import ContainmentQuery, Evidence
from tracelink.genealogy.model.facts import ActFact, LotFact, NestFact, ReadingFact, ShipmentFact
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet


def at(clock):
    return f"2031-03-04T{clock}:00+01:00"


@pytest.fixture
def plant():
    """The small plant, whose press was read at seven, at eight and at nine."""
    records = small_plant()
    records.stations = {"W1": "press"}
    records.people = {"P7": "Ada"}
    records.acts = [
        ActFact(seq, "stack-taken", "W1", "P7", at(clock), at(clock), ReadingFact("L1", before, counter))
        for seq, clock, before, counter in (
            (10, "07:00", 0, 200),
            (15, "08:00", 200, 400),
            (22, "09:00", 400, 500),
        )
    ]
    return records


def strokes(scope):
    return [(tier.lot, str(tier.strokes)) for tier in scope.tiers]


def test_every_cause_of_a_question_counts(plant):
    """Stamper T4 made 400 discs of lot 1 and lot 2; compound M1 made lot 1 only."""
    both = ContainmentQuery("T4", Shape.WHOLE_LIFE, only_with=(("M1",),))
    either = ContainmentQuery("T4", Shape.WHOLE_LIFE, also=("L3",))
    assert strokes(contain(plant, both)) == [("L1", "1-400")]
    assert strokes(contain(plant, ContainmentQuery("T4", Shape.WHOLE_LIFE))) == [
        ("L1", "1-400"),
        ("L2", "1-300"),
    ]
    assert strokes(contain(plant, either)) == [("L1", "1-400"), ("L2", "1-300"), ("L3", "1-50")]


@pytest.mark.parametrize(
    ("since", "until", "expected"),
    [
        ("08:30", None, "401-500"),
        (None, "06:30", "1-200"),
        ("07:30", "07:45", "201-400"),
    ],
)
def test_a_period_has_two_ends_and_may_have_one(plant, since, until, expected):
    query = ContainmentQuery("W1", Shape.INTERMITTENT, since=since and at(since), until=until and at(until))
    scope = contain(plant, query)
    assert strokes(scope) == [("L1", expected)]
    first, last = (int(end) for end in expected.split("-"))
    assert f"Pressed then, or counted as pressed: {last - first + 1} discs." in " ".join(scope.reasons)


@pytest.mark.parametrize(
    ("field", "sentence"),
    [
        ("cause", "cause is None: expected str"),
        ("shape", "shape is None: expected Shape"),
        ("next_tests", "next_tests is None: expected int"),
    ],
)
def test_what_a_question_must_have_is_not_left_out(field, sentence):
    given = {"cause": "T4", "shape": Shape.WHOLE_LIFE, "next_tests": 3}
    with pytest.raises(UsageError) as told:
        ContainmentQuery(**{**given, field: None})
    assert sentence in str(told.value)


@pytest.mark.parametrize(("back", "contradicts"), [(2, False), (3, True)])
def test_more_loose_discs_than_were_sent_cannot_be(back, contradicts):
    """Carton C with two discs left; where each stack went is known, so only the loose ones can contradict it."""
    records = MemoryRecords(
        lots=[LotFact("L1", "9520000012342", 1, "Moth Parliament", "W1", 6, "pressed")],
        movements=[
            move(1, "L1", 6, "counter", "K1", 1, 6),
            move(2, "L1", 2, "K1", "C"),
            move(30, "L1", back, "customers", "returned"),
        ],
        nests=[NestFact("C", "D1", 5, None)],
        shipments=[ShipmentFact("D1", "O1", "Shop 1", "DE", "2031-03-03T10:00:00+01:00", 10)],
    )
    held = lot_holdings(records, "L1", StrokeSet.between(1, 2), NO_STROKES)
    assert bool(held.conflicts) == contradicts


@pytest.mark.parametrize(
    ("evidence", "sentence"),
    [
        ([("L9", 1, True)], "lot L9 is not in the records"),
        ([("L1", 501, True)], "lot L1 has strokes 1 to 500; there is no disc 501"),
        ([("L1", 0, True)], "lot L1 has strokes 1 to 500; there is no disc 0"),
        ([("L3", 1, True)], "lot L3 was not touched by T4; it touched L1, L2"),
        ([("L1", 401, True)], "disc 401 of lot L1 was not made with T4, which made 1-400"),
        (
            [("L1", 200, True)],
            "disc 200 of lot L1 is good here and bad by sample S1; one disc is not both (REJUDGE corrects a sample)",
        ),
        (
            [("L2", 9, True), ("L2", 9, False)],
            "disc 9 of lot L2 is bad here and good in another --evidence; one disc is not both (REJUDGE corrects a sample)",
        ),
    ],
)
def test_evidence_that_cannot_be_is_refused(plant, evidence, sentence):
    plant.judgements = [judged("S1", "L1", 200, False, defect="pit")]
    given = tuple(Evidence(lot, stroke, good) for lot, stroke, good in evidence)
    with pytest.raises(UsageError) as told:
        contain(plant, ContainmentQuery("T4", Shape.WHOLE_LIFE, given))
    assert str(told.value) == f"--evidence: {sentence}"


def test_evidence_that_says_what_is_known_already_is_taken(plant):
    plant.judgements = [judged("S1", "L1", 200, False, defect="pit")]
    given = (Evidence("L1", 200, good=False, defect="pit"), Evidence("L1", 400, good=False))
    assert strokes(contain(plant, ContainmentQuery("T4", Shape.FROM_ONSET, given)))

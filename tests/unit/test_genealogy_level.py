"""Which level of the family the judged discs point to."""

import pytest
from support_genealogy_plant import judged, small_plant

from tracelink.errors import UsageError
from tracelink.genealogy.model.facts import SegmentFact
from tracelink.genealogy.suspects.level import Level, level


def asked(*judgements, stamper="T4"):
    plant = small_plant()
    plant.judgements = list(judgements)
    return level(plant, stamper)


BAD_T4 = judged("S1", "L1", 10, False)
GOOD_T4 = judged("S2", "L2", 10, True)
BAD_T5 = judged("S3", "L1", 450, False)
GOOD_T5 = judged("S4", "L1", 450, True)
BAD_T7 = judged("S5", "L3", 10, False)
GOOD_T7 = judged("S6", "L3", 10, True)


def test_levels_list_good_bad_and_untested_stampers():
    found = asked(BAD_T4, GOOD_T5)
    assert found.levels == (
        Level("T4", "stamper", good=(), bad=("T4",), mixed=(), untested=()),
        Level("T3", "mother", good=("T5",), bad=("T4",), mixed=(), untested=()),
        Level("T2", "father", good=("T5",), bad=("T4",), mixed=(), untested=("T7",)),
        Level("T1", "lacquer", good=("T5",), bad=("T4",), mixed=(), untested=("T7",)),
    )


@pytest.mark.parametrize(
    ("judgements", "sentence"),
    [
        (
            (BAD_T4, GOOD_T5),
            "Stampers below mother T3 made good discs (T5): the evidence points to stamper T4, not to mother T3.",
        ),
        (
            (BAD_T4, BAD_T5, GOOD_T7),
            "Stampers below father T2 made good discs (T7): the evidence points to mother T3, not to father T2.",
        ),
        (
            (BAD_T4, GOOD_T7),
            (
                "Stampers below father T2 made good discs (T7): the evidence points to stamper T4 or to a tool up to "
                "mother T3, not to father T2. Untested: T5."
            ),
        ),
        (
            (BAD_T4, BAD_T5),
            "Every judged stamper below mother T3 is bad: the evidence points to it or to a tool above it. Untested: T7.",
        ),
        (
            (BAD_T4, BAD_T5, BAD_T7),
            "Every judged stamper below father T2 is bad: the evidence points to it or to a tool above it.",
        ),
        (
            (BAD_T4,),
            "No other stamper of the family of T4 has a judged disc: the level cannot be told. Test discs of T5, T7.",
        ),
        (
            (BAD_T4, GOOD_T4, BAD_T5),
            (
                "Stamper T4 made good and bad discs: the evidence points to the stamper itself or to the press, not to a tool "
                "it was grown from."
            ),
        ),
        ((GOOD_T4,), "No disc of stamper T4 was judged bad, so there is no fault to place."),
    ],
)
def test_the_sentence_names_the_level(judgements, sentence):
    assert asked(*judgements).sentence == sentence


def test_disagreeing_relatives_are_reported_as_such():
    plant = small_plant()
    plant.tools.append(type(plant.tools[4])("T8", "stamper", "T3", "EX-101 A", "A", "in store"))
    plant.segments.append(SegmentFact("L3", 51, 60, "W2", "T8", "T9", 0, 850, "M2", "E1", "E2", 80))
    plant.judgements = [BAD_T4, BAD_T5, judged("S7", "L3", 55, True)]
    assert level(plant, "T4").sentence == (
        "Of the other stampers below mother T3, some made bad discs only (T5) and some made good ones (T8): the evidence "
        "does not agree on one level. A fault that mother T3 got between two growings would look like this."
    )


def test_a_relative_that_made_good_and_bad_discs_speaks_against_an_inherited_fault():
    found = asked(BAD_T4, BAD_T5, judged("S8", "L1", 420, True))
    assert found.levels[1].mixed == ("T5",)
    assert found.sentence == (
        "Stampers below mother T3 made good discs (T5): the evidence points to stamper T4, not to mother T3."
    )


def test_a_stamper_without_a_tool_record_is_still_judged():
    plant = small_plant()
    plant.tools = [tool for tool in plant.tools if tool.code != "T4"]
    plant.judgements = [BAD_T4]
    assert level(plant, "T4").levels == (Level("T4", "stamper", (), ("T4",), (), ()),)


def test_only_a_stamper_has_levels():
    with pytest.raises(UsageError) as caught:
        level(small_plant(), "T3")
    assert str(caught.value) == "levels are compared from a stamper: expected a stamper, found mother T3"

"""`runout samples` by its users: which discs to draw, as the lot is pressed and judged."""

import csv
import io
import json
from xml.etree import ElementTree as ET

import pytest
from scipy.stats import hypergeom
from support_cli import run
from support_plant import LAB, PRESS, Floor, code, stamper

from tracelink.station.common.outcome import Word

LOT = code("L", 1)


@pytest.fixture(scope="module")
def ledger(tmp_path_factory):
    """Lot 1 changes its A stamper at stroke 60 and is judged there; one bad disc is none that was to be drawn."""
    floor = Floor.copy()
    a, b, second = stamper("EX-101-A"), stamper("EX-101-B"), stamper("EX-101-A", 2)
    floor.scan(PRESS, "P3", "SETUP", "L1", a, b, "C1", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')
    floor.scan(PRESS, "STACK", "K11", "#60", "CHANGE", second, "#60")
    floor.scan(PRESS, "STACK", "K12", "#120", "STOP", "#120")
    floor.scan(LAB, "P1")
    for tag, (stroke, verdict) in enumerate(((1, "GOOD"), (60, "GOOD"), (61, "GOOD"), (77, "BAD")), 1):
        spindle = "K11" if stroke < 61 else "K12"
        floor.scan(LAB, "SAMPLE", "L1", f"S{tag}", f"#{stroke}", spindle)
        floor.scan(LAB, verdict, f"S{tag}", *(['"crackle'] if verdict == "BAD" else []))
    return floor.saved(tmp_path_factory.mktemp("samples") / "plant.db")


def answer(ledger, *words):
    done = run("samples", *words, "--format", "json", ledger=ledger)
    return done.code, json.loads(done.out)


def test_first_and_last_discs_with_what_was_found(ledger):
    exit_code, found = answer(ledger, LOT)
    assert exit_code == 1
    assert [(one["stroke"], one["state"]) for one in found["strokes"]] == [
        (1, "good"),
        (60, "good"),
        (61, "good"),
        (120, "to draw"),
    ]
    assert found["strokes"][1]["why"] == [f"last-off {found['strokes'][0]['stamper_a']}"]
    assert (found["plan"], found["outcome"], found["left"]) == (None, None, 1)
    assert (found["others"], found["bad_apart"]) == (1, 1)


def test_a_plan_is_made_for_the_planned_discs_and_drawn_from_those_pressed(ledger):
    _, found = answer(ledger, LOT, "--aql", "1.5")
    assert (found["planned"], found["pressed"]) == (500, 120)
    assert (found["plan"]["size"], found["plan"]["acceptance"], found["plan"]["code_letter"]) == (50, 2, "H")
    drawn = [one["stroke"] for one in found["strokes"] if "plan" in one["why"]]
    assert len(drawn) == 12
    assert found["outcome"] is None
    assert found == answer(ledger, LOT, "--aql", "1.50")[1], "asking again draws no other discs"


def test_both_plans_and_one_in_so_many_in_words(ledger):
    done = run("samples", LOT, "--detect", "10", "--one-in", "50", ledger=ledger)
    assert done.code == 1
    assert "with 10 % or more of them bad, 95 % sure to find one" in done.out
    assert "An authorised person decides on the lot." in done.out
    assert "1 bad disc beside those of a plan" in done.out
    for word in ("safe", "accepted", "complete", "all clear"):
        assert word not in done.out
    listed = csv.DictReader(
        io.StringIO(run("samples", LOT, "--one-in", "50", "--format", "csv", ledger=ledger).out)
    )
    assert [row["stroke"] for row in listed if "one-in" in row["why"]] == ["50", "100"]


def test_what_the_plan_lets_through_as_a_picture(ledger, tmp_path):
    file = tmp_path / "curve.svg"
    done = run("samples", LOT, "--aql", "1.5", "--svg", file, ledger=ledger)
    assert f"Wrote {file}" in done.err
    told = " ".join(ET.parse(file).getroot().itertext())
    assert f"Lot {LOT}: what its plan lets through" in told
    assert "50 of 500 discs, up to 2 may be bad." in told
    # 8 bad in 500, 50 looked at: P(2 or fewer) by the hypergeometric distribution of scipy.
    assert f"1.50 %, the share that the plan is named for: {100 * hypergeom.cdf(2, 500, 8, 50):.1f} %" in told
    assert "so the lot is not on the curve" in told


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        ((), "a curve is drawn of a plan: none was asked for"),
        (("--aql", "0.010"), f"the plan looks at all 500 discs of {LOT}: it has no curve"),
    ],
)
def test_no_picture_without_a_curve(ledger, tmp_path, words, sentence):
    done = run("samples", LOT, *words, "--svg", tmp_path / "curve.svg", ledger=ledger)
    assert (done.code, [*tmp_path.iterdir()]) == (2, [])
    assert sentence in done.err


@pytest.mark.parametrize(("decision", "due"), [("RELEASE", "reduced"), ("REJECT", "normal")])
def test_the_severity_that_is_due_follows_from_the_lots_before(tmp_path, decision, due):
    """Lots 1 and 5 are of the same disc; this plant reduces inspection after one lot that was released."""
    floor = Floor.copy(sampling_reduced_after=1)
    floor.press(1, strokes=20, stacks=1)
    verdict = floor.scan(LAB, "P1", decision, "L1", '"as agreed')
    assert verdict.word is Word.DONE, verdict
    floor.press(5, strokes=20, stacks=1)
    place = floor.saved(tmp_path / "plant.db")
    found = {lot: answer(place, code("L", lot))[1]["severity_by_lots_before"] for lot in (1, 5, 2)}
    assert found == {1: "normal", 5: due, 2: "normal"}
    told = run("samples", code("L", 5), "--aql", "4.0", ledger=place).out
    assert ("it is due for reduced inspection. Quality decides." in " ".join(told.split())) == (
        due == "reduced"
    )


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (("--aql", "2"), "AQL '2' is not in the tables: expected one of 0.010"),
        (("--aql", "1", "--detect", "2"), "both an AQL and a share to detect: expected one of them"),
        (("--detect", "some"), "a share of 'some': expected percent, such as 2.5"),
        (("--detect", "nan"), "a share of 'nan': expected percent, such as 2.5"),
        (("--detect", "0"), "a share of 0 bad in a hundred: expected 0.1 to 99.9"),
    ],
)
def test_what_is_no_plan_is_named(ledger, words, sentence):
    done = run("samples", LOT, *words, ledger=ledger)
    assert done.code == 2
    assert sentence in done.err


def test_what_is_no_lot_is_named(ledger):
    assert "is not a lot: expected the code of a lot" in run("samples", code("K", 11), ledger=ledger).err
    assert "is not in the records" in run("samples", code("L", 999), ledger=ledger).err

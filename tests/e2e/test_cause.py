"""`runout cause` by its users: from scans at press and lab to the stamper that stands out."""

import csv
import io
import json

import pytest
from support_cli import run
from support_plant import LAB, PRESS, Floor, code, stamper


@pytest.fixture(scope="module")
def ledger(tmp_path_factory):
    """Lot 1 changes its A stamper at stroke 60, lot 2 runs beside it; discs of the first stamper go bad from 30 on."""
    floor = Floor.copy()
    a, b, second = stamper("EX-101-A"), stamper("EX-101-B"), stamper("EX-101-A", 2)
    floor.scan(PRESS, "P3", "SETUP", "L1", a, b, "C1", "E1", "E2", "START", '"EX-101-A', '"EX-101-B')
    floor.scan(PRESS, "STACK", "K11", "#60", "CHANGE", second, "#60")
    floor.scan(PRESS, "STACK", "K12", "#120", "STOP", "#120")
    floor.press(2, strokes=120, stacks=1)
    floor.scan(LAB, "P1")
    tag = 0
    for lot, strokes in ((1, range(5, 120, 5)), (2, range(5, 120, 10))):
        for stroke in strokes:
            tag += 1
            floor.scan(
                LAB,
                "SAMPLE",
                f"L{lot}",
                f"S{tag}",
                f"#{stroke}",
                "K21" if lot == 2 else "K11" if stroke < 61 else "K12",
            )
            bad = lot == 1 and 30 <= stroke <= 60
            floor.scan(LAB, *(["BAD", f"S{tag}", '"scratch'] if bad else ["GOOD", f"S{tag}"]))
    return floor.saved(tmp_path_factory.mktemp("cause") / "plant.db")


def test_the_stamper_stands_out_with_exit_code_1(ledger):
    done = run("cause", "--defect", "scratch", ledger=ledger)
    assert done.code == 1
    first = f"Stamper {code('T', 4)}: 7 of 12 discs made with it are bad, 0 of 23 without it"
    assert first in done.out
    assert "more frequent between" in done.out
    assert "An association is not proof" in done.out


def test_json_is_whole_and_csv_has_a_row_a_candidate(ledger):
    plain = json.loads(run("cause", "--format", "json", "--within", "lot", ledger=ledger).out)
    top = plain["candidates"][0]
    assert (top["kind"], top["code"], top["significant"]) == ("stamper", code("T", 4), True)
    assert top["onset"]["first"] == f"{code('L', 1)}:30"
    assert plain["stratum"] == "lot"
    assert plain["head"]["seq"] > 0
    rows = list(csv.DictReader(io.StringIO(run("cause", "--format", "csv", ledger=ledger).out)))
    assert [row["code"] for row in rows] == [one["code"] for one in plain["candidates"]]


def test_a_period_without_samples_has_nothing_to_compare(ledger):
    done = run("cause", "--from", "2040-01-01T00:00:00+01:00", ledger=ledger)
    assert (done.code, done.out.splitlines()[0]) == (0, "0 of 0 judged discs are bad, defect any.")


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (
            ["--from", "2031-03-04T10:00:00"],
            (
                "--from: time '2031-03-04T10:00:00' is not usable: expected date, T, time and offset like "
                "2031-03-04T09:15:00+01:00"
            ),
        ),
        (
            ["--from", "2031-03-05T10:00:00+01:00", "--to", "2031-03-05T10:00:00+02:00"],
            (
                "--from 2031-03-05T10:00:00+01:00 comes after --to 2031-03-05T10:00:00+02:00: expected the earlier time "
                "first"
            ),
        ),
        (["--defect", "warp"], "--defect: no disc was ever judged bad for 'warp'; known here: scratch"),
        (["--defect", " "], "--defect is empty: name the defect as the lab does, or leave it out for any"),
    ],
)
def test_wrong_words_are_named(ledger, words, sentence):
    done = run("cause", *words, ledger=ledger)
    assert (done.code, done.err) == (2, f"runout: {sentence}\n")

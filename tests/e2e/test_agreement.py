"""`runout agreement` and `runout gauge-study` by their users: files of verdicts and readings, good and bad ones."""

import json

import pytest
from openpyxl import Workbook
from support_cli import run

import runout
from tracelink.errors import UsageError

VERDICTS = """disc,person,verdict
S1,Ida,good
S1,June,good
S2,Ida,crackle
S2,June,crackle
S3,Ida,good
S3,June,crackle
S4,Ida,good
S4,June,good
S5,Ida,good
"""


def readings(mark="."):
    values = {("S1", "Ida"): (1.0, 1.2), ("S1", "June"): (1.1, 1.1)}
    values |= {("S2", "Ida"): (2.0, 2.1), ("S2", "June"): (2.2, 2.0)}
    lines = [
        f"{disc};{person};{str(each).replace('.', mark)}"
        for (disc, person), pair in values.items()
        for each in pair
    ]
    return "disc;person;value\n" + "\n".join(lines) + "\n"


@pytest.fixture
def written(tmp_path):
    def write(text, name="file.csv"):
        (tmp_path / name).write_text(text, encoding="utf-8")
        return str(tmp_path / name)

    return write


def test_two_inspectors(written):
    done = run("agreement", written(VERDICTS))
    assert done.code == 0
    assert done.out.splitlines()[4:] == [
        "They agree on 3 of 4 discs.",
        "Agreement beyond chance (kappa): 0.50 (95 % interval -0.23 to 1.00); 1 is full, 0 is chance.",
        "With so few discs the interval is rough, and rather too narrow.",
        "Of the discs that either called 'crackle', both did for 50 %.",
        "Of the discs that either called 'good', both did for 67 %.",
        "Left out: 1 disc that only one of them judged.",
    ]
    printed = json.loads(run("agreement", written(VERDICTS), "--format", "json").out)
    assert printed == json.loads(json.dumps(runout.compare_inspectors(written(VERDICTS)).to_dict()))
    assert printed["table"] == [[1, 0], [1, 2]]


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        pytest.param(
            "disc,person,verdict\nS1,Ida,good\nS1,June,good\nS2,Ida,good\nS2,June,good\n",
            "Cannot tell: both always said 'good', so chance alone explains that they agree.",
            id="all good",
        ),
        pytest.param(
            "disc,person,verdict\nS1,Ida,good\nS2,June,good\n",
            "Cannot tell: 0 discs that both judged, and 1 or more are needed.",
            id="no disc in common",
        ),
    ],
)
def test_verdicts_that_say_nothing(written, text, sentence):
    done = run("agreement", written(text))
    assert (done.code, sentence in done.out) == (1, True)


def test_inspectors_who_never_differ(written):
    done = run("agreement", written("disc,person,verdict\nS1,I,a\nS1,J,a\nS2,I,b\nS2,J,b\n"))
    assert "They never differ, so 2 discs cannot tell how seldom they would." in done.out


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        pytest.param(
            "disc,person\nS1,Ida\n", "no column verdict: expected disc, person, verdict", id="column"
        ),
        pytest.param("", "is empty: expected a first row with disc, person, verdict", id="empty"),
        pytest.param(
            "disc,person,verdict\nS1,Ida,good\n",
            "1 person judged these discs: expected two",
            id="one person",
        ),
        pytest.param(
            "disc,person,verdict\nS1,Ida,good\nS1,Ida,bad\nS1,June,\n",
            "no verdict was taken\nline 4: verdict is '': expected printable text\n"
            "line 3: Ida said 'good' of disc S1 before: expected one verdict",
            id="two verdicts and none",
        ),
    ],
)
def test_verdict_files_that_are_wrong(written, text, sentence):
    done = run("agreement", written(text))
    assert done.code == 2
    assert sentence in done.err


def test_a_gauge_in_two_hands(written):
    done = run("gauge-study", written(readings()), "--tolerance", "6")
    assert done.code == 0
    assert "2 discs, 2 people, 2 readings each." in done.out
    assert "Six of its standard deviations are 10 % of the tolerance 6." in done.out
    assert done.out.endswith("A person decides whether the gauge is good enough for its task.\n")
    printed = json.loads(run("gauge-study", written(readings()), "--format", "json").out)
    assert printed == json.loads(json.dumps(runout.study_gauge(written(readings())).to_dict()))


def test_a_decimal_comma_is_said_never_guessed(written):
    with_comma = written(readings(","))
    done = run("gauge-study", with_comma)
    assert done.code == 2
    assert "line 2: value is '1,0': expected a number with a decimal point" in done.err
    said = run("gauge-study", with_comma, "--decimal", "comma", "--format", "json")
    assert said.out == run("gauge-study", written(readings(), "p.csv"), "--format", "json").out
    points = run("gauge-study", written(readings(), "p.csv"), "--decimal", "comma")
    assert "line 2: value is '1.0': expected a number with a decimal comma" in points.err


def test_readings_of_a_workbook(written, tmp_path):
    book = Workbook()
    for line in readings().splitlines():
        disc, person, value = line.split(";")
        book.active.append([disc, person, value if value == "value" else float(value)])
    book.save(tmp_path / "readings.xlsx")
    from_book = run("gauge-study", str(tmp_path / "readings.xlsx"), "--format", "csv")
    assert from_book.out == run("gauge-study", written(readings()), "--format", "csv").out


@pytest.mark.parametrize(
    ("text", "code", "sentence"),
    [
        pytest.param(
            "disc,person,value\nS1,Ida,1\n", 1, "1 disc, person or repeat, and 2 or more are needed", id="one"
        ),
        pytest.param(
            "disc,person,value\nS1,Ida,1\nS1,June,1\nS1,June,1\n", 2,
            "Ida measured disc S1 1 times, June measured disc S1 2 times", id="a hole",
        ),
        pytest.param("disc,person,value\nS1,Ida,1 dB\n", 2, "line 2: value is '1 dB'", id="a unit"),
        pytest.param("disc,person,value\nS1,Ida,nan\n", 2, "line 2: value is 'nan'", id="no number"),
        pytest.param(
            "disc,person,value\n" + "".join(f"{d},{p},3\n" * 2 for d in "ab" for p in "cd"), 1,
            "Cannot tell: all readings are 3.", id="all alike",
        ),
    ],
)  # fmt: skip
def test_studies_that_are_wrong_or_say_nothing(written, text, code, sentence):
    done = run("gauge-study", written(text))
    assert (done.code, sentence in done.out + done.err) == (code, True), done.out + done.err


def test_what_cannot_be_asked(written):
    for asked in ({"decimal": "dot"}, {"tolerance": 0.0}):
        with pytest.raises(UsageError):
            runout.study_gauge(written(readings()), **asked)
    with pytest.raises(UsageError, match="file is 3"):
        runout.compare_inspectors(3)

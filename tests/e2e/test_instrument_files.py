"""Files of instruments: read whole or not at all, every wrong cell by row and column, and nothing guessed."""

import json

import pytest
from openpyxl import Workbook
from support_cli import run
from support_lab import add_to, lab_floor
from support_plant import code, n

TESTER = {
    "name": "groove tester", "decimal": "comma", "separator": "semicolon", "sample": "Tag", "side": "Side",
    "gauge": code("G", 1), "values": [
        {"heading": "Noise", "test": "noise", "unit": "dB"},
        {"heading": "Ticks", "test": "ticks", "unit": "ticks"},
    ],
}  # fmt: skip
SCALE = {
    "name": "scale", "decimal": "point", "separator": "comma", "sample": "Tag", "gauge_column": "Instrument",
    "values": [{"heading": "Mass", "test": "mass", "unit_column": "Unit"}],
}  # fmt: skip
MEASURED = "2031-03-03T10:00:00+01:00"
S1, S2 = n("S1"), n("S2")
GOOD = f"Tag;Side;Noise;Ticks;Remark\n{S1};A;-57,2;2;x\n{S1};B;-58,0;;\n{S2};a;-52,1;0;loud\n"
WRONG = (
    f"Tag;Side;Noise;Ticks\n{n('S9')};A;-57,2;\n{S1};C;-57,2;\n{S1};A;-57.2;\n{S1};A;-57,25;\n{S1};A;over;\n{n('L1')};A;-57,2;\n"
    f"S123;A;-57,2;\n{S2};A;-57,0;1\n{S2};A;-57,0;\n"
)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    floor = lab_floor()
    add_to(floor, {"instrument": [TESTER, SCALE]})
    return floor.saved(tmp_path_factory.mktemp("instruments") / "plant.db")


@pytest.fixture
def ledger(made, tmp_path):
    copied = tmp_path / "plant.db"
    copied.write_bytes(made.read_bytes())
    return copied


@pytest.fixture
def read(ledger, tmp_path):
    def read(text, *words, name="noise.csv", instrument="groove tester"):
        (tmp_path / name).write_text(text, encoding="utf-8")
        given = (str(tmp_path / name), "--instrument", instrument, "--by", n("P1"), "--at", MEASURED)
        return run("read-results", *given, *words, ledger=ledger)

    return read


def values(ledger):
    found = json.loads(run("results", n("L1"), "--format", "json", ledger=ledger).out)
    return [(each["stroke"], each["side"], each["test"], each["value"]) for each in found["results"]]


def test_every_value_of_a_file_is_booked_with_its_row(read, ledger):
    done = read(GOOD, "--format", "json")
    assert done.code == 1
    found = json.loads(done.out)
    assert [
        (each["row"], each["test"], each["side"], each["value"], each["standing"]) for each in found["values"]
    ] == [
        (2, "noise", "A", "-57.2", "within"),
        (2, "ticks", "A", "2", "no limit"),
        (3, "noise", "B", "-58.0", "within"),
        (4, "noise", "A", "-52.1", "outside"),
        (4, "ticks", "A", "0", "no limit"),
    ]
    assert values(ledger) == [
        (3, "A", "noise", "-57.2"), (3, "A", "ticks", "2"), (3, "B", "noise", "-58.0"), (12, "A", "noise", "-52.1"),
        (12, "A", "ticks", "0"),
    ]  # fmt: skip
    checked = run("audit", "verify", ledger=ledger)
    assert checked.code == 0, checked.out + checked.err


def test_the_same_file_is_not_read_twice_whatever_it_is_called(read, ledger):
    read(GOOD)
    again = read(GOOD, name="copy.csv")
    assert again.code == 2
    assert "results file copy.csv was read already, as noise.csv (entry " in again.err
    changed = read(GOOD + "\n", name="more.csv")
    assert changed.code == 2
    assert f"row 2, column Noise: Sample {S1} has noise -57.2 dB on side A already." in changed.err
    assert len(values(ledger)) == 5


def test_every_wrong_cell_is_named_and_nothing_is_booked(read, ledger):
    done = read(WRONG)
    assert done.code == 2
    told = [
        "results file noise.csv: nothing was booked",
        f"row 2, column Noise: sample tag {n('S9')} is not in the system: expected the tag of a disc that was drawn",
        'row 3, column Noise: Side "C" of noise: expected A or B, as it is measured on each side.',
        "row 4, column Noise: '-57.2' is not a number with a decimal comma, as the plant file says of this instrument",
        f"row 5, column Noise: Gauge {n('G1')} (groove tester) reads in steps of 0.1; it cannot have shown -57.25. Read it again.",
        "row 6, column Noise: 'over' is not a number with a decimal comma, as the plant file says of this instrument",
        f"row 7, column Noise: {n('L1')} is a lot card: expected a sample tag",
        "row 8, column Noise: 'S123' is not a plant code: expected a capital letter, 6 to 9 digits and a check character",
        f"row 10, column Noise: Sample {S2} has noise -57.0 dB on side A already.",
    ]
    for sentence in told:
        assert sentence in done.err
    assert done.err.count("\nrow ") == len(told) - 1
    assert values(ledger) == []


def test_unit_and_gauge_may_stand_in_the_file(read, ledger):
    head = "Tag,Instrument,Mass,Unit\n"
    done = read(f"{head}{S1},{n('G2')},141.2,kg\n{S2},{n('G3')},141.2,g\n", instrument="scale")
    assert (
        "row 2, column Mass: mass is measured in g, not kg. Nothing is converted; give it in g." in done.err
    )
    assert f"row 3, column Mass: Gauge {n('G3')} is not in the system." in done.err
    assert read(f"{head}{S1},{n('G2')},141.2,g\n", instrument="scale").code == 0
    assert values(ledger) == [(3, None, "mass", "141.2")]


def test_numbers_of_a_workbook_have_no_sign_to_be_guessed(ledger, tmp_path):
    book = Workbook()
    for row in (["Tag", "Side", "Noise", "Ticks"], [S1, "A", -57.2, 3], [S2, "B", "-58,1", None]):
        book.active.append(row)
    book.save(tmp_path / "noise.xlsx")
    given = ("--instrument", "groove tester", "--by", n("P1"))
    assert run("read-results", str(tmp_path / "noise.xlsx"), *given, ledger=ledger).code == 0
    assert values(ledger) == [(3, "A", "noise", "-57.2"), (3, "A", "ticks", "3"), (12, "B", "noise", "-58.1")]


def test_a_dry_run_books_nothing_and_says_the_same(read, ledger):
    tried = read(GOOD, "--dry-run", "--format", "csv")
    assert values(ledger) == []
    assert tried.out == read(GOOD, "--format", "csv").out


def test_a_file_or_person_that_cannot_be_is_told(read, ledger, tmp_path):
    unknown = read(GOOD, instrument="caliper")
    assert (unknown.code, "expected groove tester or scale" in unknown.err) == (2, True)
    assert "has no column ticks" in read("Tag;Side;Noise\n").err
    assert "holds no value below its first row" in read("Tag;Side;Noise;Ticks\n").err
    (tmp_path / "x.csv").write_text(GOOD, encoding="utf-8")
    given = (str(tmp_path / "x.csv"), "--instrument", "groove tester")
    done = run("read-results", *given, "--by", n("P3"), ledger=ledger)
    assert (done.code, "may not read in results of instruments" in done.err) == (4, True)

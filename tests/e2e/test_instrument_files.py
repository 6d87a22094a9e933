"""Files of instruments: read whole or not at all, every wrong cell by row and column, and nothing guessed."""

import json
from datetime import datetime
from os import environ
from time import tzset

import pytest
from openpyxl import Workbook
from support_cli import run
from support_lab import add_to, lab_floor
from support_plant import code, n

from tracelink.errors import UsageError
from tracelink.ledger.entry import Entry, Stamp
from tracelink.ledger.kinds.registry import project
from tracelink.ledger.time_forms import strptime_form
from tracelink.services.desks import instrument_files

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
TIMED = {**SCALE, "name": "timed scale", "time": "When", "time_form": "DD.MM.YYYY hh:mm"}
STAMPED = {**SCALE, "name": "stamped scale", "time": "When"}
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
    add_to(floor, {"instrument": [TESTER, SCALE, TIMED, STAMPED]})
    return floor.saved(tmp_path_factory.mktemp("instruments") / "plant.db")


@pytest.fixture
def ledger(made, tmp_path):
    copied = tmp_path / "plant.db"
    copied.write_bytes(made.read_bytes())
    return copied


@pytest.fixture
def in_zone():
    """Put this process into a zone, in the notation of POSIX, and back."""
    before = environ.get("TZ")

    def put(zone):
        environ["TZ"] = zone
        tzset()

    yield put
    environ.pop("TZ")
    if before is not None:
        environ["TZ"] = before
    tzset()


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
        f"row 2, column Noise: Sample tag {n('S9')} is not in the system.",
        'row 3, column Noise: Side "C" of noise: expected A or B, as it is measured on each side.',
        "row 4, column Noise: '-57.2' is not a number with a decimal comma, as the plant file says of this instrument",
        f"row 5, column Noise: Gauge {n('G1')} (groove tester) reads in steps of 0.1; it cannot have shown -57.25. Read value and gauge again; if the value was typed wrongly, scan CANCEL first.",
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
    assert (unknown.code, "expected groove tester, scale, stamped scale or timed scale" in unknown.err) == (
        2,
        True,
    )
    assert "has no column ticks" in read("Tag;Side;Noise\n").err
    assert "holds no value below its first row" in read("Tag;Side;Noise;Ticks\n").err
    (tmp_path / "x.csv").write_text(GOOD, encoding="utf-8")
    given = (str(tmp_path / "x.csv"), "--instrument", "groove tester")
    done = run("read-results", *given, "--by", n("P3"), ledger=ledger)
    assert (done.code, "may not read in results of instruments" in done.err) == (4, True)


class TestTheTimeOfEachRow:
    HEAD = "Tag,Instrument,Mass,Unit,When\n"

    @pytest.fixture(autouse=True)
    def now(self, monkeypatch):
        """The test plants live in 2031."""
        monkeypatch.setattr(instrument_files, "local_now", lambda: "2031-03-03T12:00:00+01:00")

    def test_judges_by_the_gauge_and_limit_of_its_day(self, ledger, tmp_path, in_zone):
        """The scale is due on 2 March; a plant an hour east of Greenwich writes its own time."""
        in_zone("CET-1")
        (tmp_path / "mass.csv").write_text(
            f"{self.HEAD}{S1},{n('G2')},141.2,g,02.03.2031 23:59\n{S2},{n('G2')},141.3,g,03.03.2031 00:01\n"
        )
        given = (
            str(tmp_path / "mass.csv"),
            "--instrument",
            "timed scale",
            "--by",
            n("P1"),
            "--format",
            "json",
        )
        found = json.loads(run("read-results", *given, ledger=ledger).out)["values"]
        assert [(each["at"], each["overdue"]) for each in found] == [
            ("2031-03-02T23:59:00+01:00", False),
            ("2031-03-03T00:01:00+01:00", True),
        ]
        listed = json.loads(run("results", n("L1"), "--format", "json", ledger=ledger).out)["results"]
        assert [each["at"] for each in listed] == [each["at"] for each in found]
        assert run("audit", "verify", ledger=ledger).code == 0
        assert run("rebuild", ledger=ledger).code == 0

    def test_of_a_workbook_is_a_date(self, ledger, tmp_path, in_zone):
        in_zone("CET-1")
        book = Workbook()
        for row in (self.HEAD.strip().split(","), [S1, n("G2"), 141.2, "g", datetime(2031, 3, 2, 8, 5)]):  # noqa: DTZ001
            book.active.append(row)
        book.save(tmp_path / "mass.xlsx")
        given = ("--instrument", "timed scale", "--by", n("P1"), "--format", "json")
        found = json.loads(run("read-results", str(tmp_path / "mass.xlsx"), *given, ledger=ledger).out)[
            "values"
        ]
        assert [each["at"] for each in found] == ["2031-03-02T08:05:00+01:00"]

    def test_that_nobody_can_tell_is_named_by_row(self, ledger, tmp_path, in_zone):
        """Clocks of this zone go back an hour at 3:00 on the last Sunday of October, and forward on that of March."""
        in_zone("CET-1CEST,M3.5.0,M10.5.0/3")
        times = ("2031-03-02 08:05", "32.03.2031 08:05", "26.10.2031 02:30", "30.03.2031 02:30", "")
        rows = "".join(f"{S1},{n('G2')},141.2,g,{time}\n" for time in times)
        (tmp_path / "mass.csv").write_text(self.HEAD + rows)
        given = (str(tmp_path / "mass.csv"), "--instrument", "timed scale", "--by", n("P1"))
        done = run("read-results", *given, ledger=ledger)
        assert done.code == 2
        form = "is no time like DD.MM.YYYY hh:mm, as the plant file says of this instrument"
        for row, time in ((2, times[0]), (3, times[1]), (6, "")):
            assert f"row {row}, column Mass: {time!r} in column When {form}" in done.err
        for row, time in ((4, times[2]), (5, times[3])):
            assert f"row {row}, column Mass: {time!r} in column When came twice or not at all" in done.err
        assert values(ledger) == []
        both = run("read-results", *given, "--at", MEASURED, ledger=ledger)
        assert "stands in column When of every row: expected no time beside it" in both.err

    def test_that_is_yet_to_come_is_refused_with_the_whole_file(self, ledger, tmp_path, in_zone):
        in_zone("CET-1")
        rows = f"{S1},{n('G2')},141.2,g,03.03.2031 12:00\n{S2},{n('G2')},141.2,g,03.03.2031 12:01\n"
        (tmp_path / "mass.csv").write_text(self.HEAD + rows)
        given = (str(tmp_path / "mass.csv"), "--instrument", "timed scale", "--by", n("P1"))
        done = run("read-results", *given, ledger=ledger)
        assert (done.code, values(ledger)) == (2, [])
        assert done.err.endswith(
            "nothing was booked\nrow 3, column Mass: '03.03.2031 12:01' in column When is yet to come: it is "
            "2031-03-03 12:00 +01:00 now; look at the clocks of the instrument and of this computer\n"
        )

    def test_is_told_beside_all_else_that_is_wrong_in_the_row(self, ledger, tmp_path, in_zone):
        in_zone("CET-1")
        (tmp_path / "mass.csv").write_text(f"{self.HEAD}{n('S9')},{n('G2')},heavy,g,32.03.2031 08:05\n")
        given = (str(tmp_path / "mass.csv"), "--instrument", "timed scale", "--by", n("P1"))
        told = run("read-results", *given, ledger=ledger).err.splitlines()[1:]
        assert [line.split(": ")[0] for line in told] == ["row 2, column Mass"] * 3
        assert "is no time like" in told[0]
        assert told[1].endswith(f"Sample tag {n('S9')} is not in the system.")
        assert "'heavy' is not a number" in told[2]

    def test_has_its_offset_where_no_form_is_said(self, ledger, tmp_path):
        (tmp_path / "mass.csv").write_text(f"{self.HEAD}{S1},{n('G2')},141.2,g,{MEASURED}\n")
        given = (str(tmp_path / "mass.csv"), "--instrument", "stamped scale", "--by", n("P1"))
        assert run("read-results", *given, ledger=ledger).code == 0
        (tmp_path / "mass.csv").write_text(f"{self.HEAD}{S2},{n('G2')},141.2,g,2031-03-03T10:00:00\n")
        assert "expected date, T, time and offset like" in run("read-results", *given, ledger=ledger).err


@pytest.mark.parametrize(
    "form", ["DD.MM.YY hh:mm", "YYYY-MM-DD", "DD.MM.YYYY hh:mm hh", "MM/DD/YYYY hh:mm%S", ""]
)
def test_a_form_of_times_that_is_none_is_refused(form):
    with pytest.raises(UsageError, match="expected YYYY, MM, DD, hh, mm and perhaps ss, each once"):
        strptime_form(form)


def test_an_instrument_of_an_older_program_stays_readable():
    body = {
        "instrument": "scale", "decimal": "point", "separator": ",", "sample_heading": "Tag", "side_heading": None,
        "gauge": None, "gauge_heading": "Instrument",
        "columns": [{"heading": "Mass", "test": "mass", "unit": "g", "unit_heading": None}],
    }  # fmt: skip
    stamp = Stamp("2031-01-01T08:00:00+01:00", "2031-01-01T07:00:00Z")
    described, column = project(Entry(7, stamp, "instrument-described", body, "0" * 64))
    assert (described.row["name"], described.row["time_heading"], described.row["time_form"]) == (
        "scale",
        None,
        None,
    )
    assert column.row["heading"] == "Mass"

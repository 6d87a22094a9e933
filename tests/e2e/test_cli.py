"""The command line by its users: a whole story, bad input, exit codes."""

import json
import os
import select
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest
from support_cli import run, station_log, write_plant_file
from support_journal import changed_text
from support_ledgers import everything, filled, initialised
from support_plant import (
    LAB,
    LINE,
    MATRICES,
    PRESS,
    carton_sscc,
    code,
    gtin,
    plant_data,
    raw,
    raw_disc,
    raw_sleeve,
    stamper,
)

from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.identity.rawlines import raw_numbered_sleeve
from tracelink.ledger.entry import read_entry
from tracelink.printing.label import write_label
from tracelink.printing.layout import load_layout
from tracelink.store.journal import journal
from tracelink.store.ledger import Ledger

TOOL_BENCH = code("W", 1)


@pytest.fixture
def ledger(tmp_path):
    return initialised(tmp_path)


@pytest.fixture
def pressed(ledger):
    """A ledger with one lot of 20 discs on two spindles and three of them in an open carton."""
    return filled(ledger, _press_and_pack)


def _press_and_pack(ledger):
    lines = ["P1"]
    for place in (0, 1):
        tag = [f"T{10 * place + n}" for n in range(1, 5)]
        lines += ["LACQUER", tag[0], f'"{"AB"[place]}', f'"{MATRICES[place]}']
        lines += ["GROW", tag[0], tag[1], "GROW", tag[1], tag[2], "GROW", tag[2], tag[3]]
    book(ledger, "tool", TOOL_BENCH, lines)
    press = ["P1", "SETUP", "L1", "T4", "T14", "C1", "E1", "E2", "START", '"EX-101-A', '"EX-101-B']
    book(ledger, "press", PRESS, [*press, "STACK", "K11", "#10", "STACK", "K12", "#20", "STOP", "#20"])
    samples = [
        "P1",
        "SAMPLE",
        "L1",
        "S1",
        "#3",
        "K11",
        "GOOD",
        "S1",
        "SAMPLE",
        "L1",
        "S2",
        "#15",
        "K12",
        "BAD",
        "S2",
        '"scratch',
    ]
    book(ledger, "lab", LAB, samples)
    pairs = [raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1))] * 3
    book(ledger, "line", LINE, ["P1", "CLEAR", "P2", "B1", "K11", carton_sscc(1), *pairs])


def book(ledger, area, station, lines):
    done = run(area, "--station", station, ledger=ledger, scans="".join(raw(line) + "\n" for line in lines))
    assert done.code == 0, done.out
    return done


class TestInit:
    def test_an_existing_ledger_is_never_overwritten(self, ledger, tmp_path):
        before = everything(ledger)
        again = run("init", "--plant", tmp_path / "plant.toml", ledger=ledger)
        assert (again.code, again.err) == (
            2,
            f"runout: {ledger} exists already; a ledger is never overwritten\n",
        )
        assert everything(ledger) == before

    @pytest.mark.parametrize(
        ("content", "sentence"),
        [
            (b"", "plant file: the section [plant] is missing; a new ledger needs it"),
            (b"\xff\xfe", "is not UTF-8 text: byte 0 cannot be read"),
            (b"[plant", "is not TOML:"),
            (b'[plant]\nname = "x"\n', "[plant]: company_prefix is missing: expected text"),
        ],
    )
    def test_a_wrong_plant_file_is_named_and_makes_no_ledger(self, tmp_path, content, sentence):
        file = tmp_path / "wrong.toml"
        file.write_bytes(content)
        made = run("init", "--plant", file, ledger=tmp_path / "new.db")
        assert made.code == 2
        assert sentence in made.err
        assert not (tmp_path / "new.db").exists()

    def test_a_missing_plant_file_is_named(self, tmp_path):
        made = run("init", "--plant", tmp_path / "none.toml", ledger=tmp_path / "new.db")
        assert (made.code, made.err) == (
            2,
            f"runout: plant file {tmp_path}/none.toml cannot be read: No such file or directory\n",
        )

    def test_a_later_file_adds_to_the_ledger_whole_or_not_at_all(self, ledger, tmp_path):
        order = {"code": code("O", 9), "consignee": "Shop 9", "country": "FR", "gtin": gtin(1), "quantity": 5}
        good = write_plant_file(tmp_path / "good.toml", {"order": [order]})
        assert run("plan", good, "--by", code("P", 3), ledger=ledger).out == "1 entry added.\n"
        twice = write_plant_file(
            tmp_path / "twice.toml", {"order": [{**order, "code": code("O", 10)}, order]}
        )
        refused = run("plan", twice, "--by", code("P", 3), ledger=ledger)
        assert (refused.code, refused.err) == (
            2,
            (
                f"runout: line 7: [[order]] number 2: order-taken {code('O', 9)}: it is in the ledger already\n"
                "Nothing of the file was taken.\n"
            ),
        )
        assert (
            json.loads(run("audit", "verify", "--format", "json", ledger=ledger).out)[0]["differences"] == 0
        )

    def test_a_plant_file_that_names_what_is_not_there_makes_no_ledger(self, tmp_path):
        data = plant_data()
        data["lot"][0]["piece"] = 9
        made = run("init", "--plant", write_plant_file(tmp_path / "p.toml", data), ledger=tmp_path / "new.db")
        assert made.code == 2
        assert (
            f"[[lot]] number 1: lot-planned {data['lot'][0]['code']}: it names a product, disc or code"
            in made.err
        )
        assert sorted(file.name for file in tmp_path.iterdir()) == ["p.toml"]

    def test_what_the_plant_file_says_may_be_so_since_an_earlier_day(self, tmp_path):
        file, since = write_plant_file(tmp_path / "plant.toml"), "2031-02-28T14:00:00+01:00"
        made = run("init", "--plant", file, "--at", since, ledger=tmp_path / "new.db")
        assert made.code == 0, made.err
        with Ledger.open(str(tmp_path / "new.db"), read_only=True) as ledger, ledger.reading() as conn:
            times = {read_entry(row.canonical).stamp.event_time for row in journal.rows(conn)}
        assert times == {since}
        wrong = run("init", "--plant", file, "--at", "yesterday", ledger=tmp_path / "other.db")
        assert (wrong.code, wrong.err) == (
            2,
            "runout: time 'yesterday' is not usable: expected date, T, time and offset like 2031-03-04T09:15:00+01:00\n",
        )
        assert not (tmp_path / "other.db").exists()

    def test_a_byte_order_mark_is_no_fault(self, tmp_path):
        file = write_plant_file(tmp_path / "plant.toml")
        file.write_bytes(b"\xef\xbb\xbf" + file.read_bytes())
        assert run("init", "--plant", file, ledger=tmp_path / "new.db").code == 0


def test_the_next_code_goes_on_after_the_largest_that_the_ledger_knows(pressed):
    people = [
        row["person"] for row in json.loads(run("person", "list", "--format", "json", ledger=pressed).out)
    ]
    last = max(PlantCode.parse(each).number for each in people)
    assert (
        run("code", "make", "P", ledger=pressed).out == f"{PlantCode.build(CodeKind.PERSON, last + 1).text}\n"
    )
    assert run("code", "make", "Q", "--count", 2, ledger=pressed).out.split() == [
        PlantCode.build(CodeKind.CASE, number).text for number in (1, 2)
    ]
    nowhere = run("code", "make", "P", ledger=pressed.with_name("none.db"))
    assert (nowhere.code, nowhere.out) == (2, "")


class TestStations:
    def test_which_station_must_be_said_when_there_are_several(self, ledger):
        asked = run("line", ledger=ledger)
        assert asked.code == 2
        assert f"Known: {LINE} (line 4)" in asked.err

    def test_a_plant_without_such_a_station_is_told_how_to_add_one(self, tmp_path):
        data = plant_data()
        data["station"] = [each for each in data["station"] if each["area"] != "dock"]
        file = write_plant_file(tmp_path / "plant.toml", data)
        assert run("init", "--plant", file, ledger=tmp_path / "new.db").code == 0
        assert run("dock", ledger=tmp_path / "new.db").err == (
            "runout: the plant has no dock station: add one with `runout plan` (`runout guide plant-file`)\n"
        )

    def test_a_wrong_sleeve_stops_the_line(self, pressed):
        scans = f"{raw_disc(gtin(1), 1, 1)}\n{raw_sleeve(gtin(2))}\n"
        stopped = run("line", "--station", LINE, ledger=pressed, scans=scans)
        assert stopped.code == 1
        assert stopped.out == (
            'NEXT  "Paper Comet Arithmetic". Now its sleeve.  [3 of 5 in carton]\n'
            'STOP  Sleeve 9520000000028 is "Moth Parliament"; spindle K000011O holds "Paper Comet Arithmetic". Put this sleeve aside, '
            "and also the last 3 units. Scan RECHECK, then each of the 3.  [3 of 5 in carton]\n"
        )

    def test_bytes_that_are_no_text_are_refused_and_kept(self, pressed):
        refused = run("line", "--station", LINE, ledger=pressed, scans=b"]C1\xff\x00\n")
        assert (refused.code, refused.out[:5]) == (1, "STOP ")
        row = json.loads(run("findings", "--format", "json", ledger=pressed).out)[0]
        # Shown so that it can be read back exactly: a backslash that was scanned is doubled.
        assert row["subject"] == r"]C1\\xff\x00"

    def test_findings_that_are_left_out_are_counted(self, pressed):
        for number in range(3):
            run("line", "--station", LINE, ledger=pressed, scans=f"nonsense {number}\n".encode())
        found = run("findings", "--station", LINE, ledger=pressed)
        assert "left out" not in found.err
        count = found.out.count("entry ")
        few = run("findings", "--station", LINE, "--last", 1, ledger=pressed)
        assert few.out.count("entry ") == 1
        assert f"older findings left out; --last {count} lists all." in few.err

    def test_other_programs_get_all_findings_and_a_screen_the_newest_fifty(self, pressed):
        scans = "".join(f"nonsense {number}\n" for number in range(60)).encode()
        run("line", "--station", LINE, ledger=pressed, scans=scans)
        rows = json.loads(run("findings", "--format", "json", ledger=pressed).out)
        assert len(rows) >= 60
        assert run("findings", "--format", "csv", ledger=pressed).out.count("\n") == len(rows) + 1
        shown = run("findings", ledger=pressed)
        assert shown.out.count("entry ") == 50
        assert f"{len(rows) - 50} older findings left out; --last {len(rows)} lists all." in shown.err
        few = run("findings", "--format", "json", "--last", 7, ledger=pressed)
        assert json.loads(few.out) == rows[:7]
        assert f"{len(rows) - 7} older findings left out" in few.err

    def test_a_separator_stand_in_is_understood(self, pressed):
        scans = f"{raw_numbered_sleeve(gtin(3), '1')}~\n"
        refused = run("line", "--station", LINE, "--separator", "~", ledger=pressed, scans=scans)
        assert "Scan the disc first, then its sleeve." in refused.out

    def test_a_control_character_cannot_drive_the_terminal(self, pressed):
        refused = run("line", "--station", LINE, ledger=pressed, scans="]C0\x1b[31mHELLO\n")
        assert "\x1b" not in refused.out


class TestReplay:
    SCANS = (raw("P1"), raw("CLEAR"), raw("P2"), raw("B1"))

    def test_a_log_is_booked_once(self, ledger, tmp_path):
        log = station_log(tmp_path / "line.jsonl", LINE, list(self.SCANS))
        first, second = (run("replay", log, ledger=ledger) for _ in range(2))
        assert (first.code, first.err) == (0, "4 scans booked, 0 booked before.\n")
        assert (second.code, second.err) == (0, "0 scans booked, 4 booked before.\n")
        assert run("audit", "verify", ledger=ledger).code == 0

    def test_a_scan_under_a_number_that_was_anothers_is_told_and_not_lost_unseen(self, ledger, tmp_path):
        """A station whose numbers began again, because its terminal was replaced."""
        run("replay", station_log(tmp_path / "old.jsonl", LINE, list(self.SCANS)), ledger=ledger)
        again = station_log(tmp_path / "new.jsonl", LINE, [*self.SCANS[:2], raw("P1"), raw("B1")])
        told = run("replay", again, ledger=ledger)
        assert told.code == 1
        assert told.err.startswith(
            f"0 scans booked, 4 booked before.\n{again}: scan 3 of station {LINE} is not the one that was booked under "
            f"this number, and was not booked: {raw('P1')}."
        )

    def test_a_cut_log_is_booked_as_far_as_it_goes_and_then_goes_on(self, ledger, tmp_path):
        whole = station_log(tmp_path / "whole.jsonl", LINE, list(self.SCANS))
        cut = tmp_path / "cut.jsonl"
        cut.write_bytes(whole.read_bytes()[:-40])
        first = run("replay", cut, ledger=ledger)
        assert first.code == 1
        assert "is cut after scan 3: line 5 is not whole. The rest can be replayed later." in first.err
        assert run("replay", whole, ledger=ledger).err == "1 scan booked, 3 booked before.\n"

    @pytest.mark.parametrize(
        ("line", "sentence"),
        [
            (
                '{"n": 3, "at": "2031-03-04T09:00:00+01:00", "raw": "x"}',
                "line 3: expected scan 2, found scan 3",
            ),
            ('{"n": 2, "at": "2031-03-04T08:00:00+01:00", "raw": "x"}', "is before the scan above it"),
            ('{"n": 2, "at": "yesterday", "raw": "x"}', "time 'yesterday' is not usable"),
            ('{"n": 2, "raw": "x"}', "line 3: fields ['n', 'raw']: expected at, n, raw"),
            ("rubbish", "line 3: expected a JSON object, found 'rubbish'"),
            ('{"end": 7}', "line 3: the end line stands before the end of the file"),
        ],
    )
    def test_a_fault_in_the_middle_books_nothing(self, ledger, tmp_path, line, sentence):
        log = tmp_path / "line.jsonl"
        header = json.dumps({"format": "runout-station-log", "version": 1, "station": LINE})
        first = json.dumps({"n": 1, "at": "2031-03-04T09:00:00+01:00", "raw": raw("P1")})
        log.write_text(f"{header}\n{first}\n{line}\n{{}}\n", encoding="utf-8")
        refused = run("replay", log, ledger=ledger)
        assert refused.code == 2
        assert sentence in refused.err
        assert run("findings", ledger=ledger).code == 0

    @pytest.mark.parametrize(
        ("content", "sentence"),
        [
            (b"", "is empty: expected a station log"),
            (b"\xff\xfe", "is not UTF-8 text"),
            (b'{"format": "something else"}\n', "is not a station log"),
            (
                b'{"format": "runout-station-log", "version": 2, "station": "W"}\n',
                "is a station log of version 2",
            ),
            (b'{"format": "runout-station-log", "version": 1}\n', "the first line names no station"),
        ],
    )
    def test_what_is_no_log_is_said(self, ledger, tmp_path, content, sentence):
        log = tmp_path / "wrong.jsonl"
        log.write_bytes(content)
        refused = run("replay", log, ledger=ledger)
        assert refused.code == 2
        assert sentence in refused.err

    def test_an_unknown_station_books_nothing(self, ledger, tmp_path):
        log = station_log(tmp_path / "line.jsonl", code("W", 99), [raw("P1")])
        refused = run("replay", log, ledger=ledger)
        assert (refused.code, refused.err) == (
            2,
            f"runout: station {code('W', 99)} is not in the system\n",
        )


class TestTrace:
    def test_back_from_a_carton_to_the_lacquers(self, pressed):
        found = json.loads(run("trace", carton_sscc(1), "--back", "--format", "json", ledger=pressed).out)
        kinds = {node["kind"] for node in found["back"]["nodes"]}
        assert {
            "lacquer",
            "father",
            "mother",
            "stamper",
            "lot",
            "spindle",
            "press",
            "compound",
            "label",
        } <= kinds
        assert "forward" not in found

    def test_forward_from_a_lacquer_to_the_open_carton(self, pressed):
        found = run("trace", code("T", 1), "--forward", "--format", "csv", ledger=pressed)
        assert found.code == 0
        assert carton_sscc(1) in found.out

    def test_both_ways_may_be_asked_for_by_name(self, pressed):
        found = json.loads(
            run("trace", code("L", 1), "--back", "--forward", "--format", "json", ledger=pressed).out
        )
        assert {"back", "forward"} <= set(found)

    def test_what_is_on_hold_is_told(self, pressed):
        book(pressed, "lab", LAB, ["HOLD", "K12", '"looks warped'])
        assert f"{code('K', 12)}: hold H0000015" in run("trace", code("L", 1), ledger=pressed).out

    @pytest.mark.parametrize(
        ("option", "file"), [("--svg", "plant.db"), ("--svg", "."), ("--html", "plant.toml")]
    )
    def test_a_report_never_takes_the_place_of_another_file(self, pressed, option, file, monkeypatch):
        monkeypatch.chdir(pressed.parent)
        before = everything(pressed), (pressed.parent / "plant.toml").read_bytes()
        refused = run("trace", code("L", 1), option, file, ledger=pressed)
        assert refused.code == 2
        assert f"{file}: expected a file name that ends in" in refused.err
        assert (everything(pressed), (pressed.parent / "plant.toml").read_bytes()) == before

    def test_a_picture_is_written_whole(self, pressed, tmp_path):
        picture = tmp_path / "tree.svg"
        assert run("trace", code("L", 1), "--svg", picture, ledger=pressed).code == 0
        assert picture.read_text(encoding="utf-8").startswith("<svg")
        assert [file.name for file in tmp_path.glob("*.part")] == []

    @pytest.mark.parametrize(
        ("given", "sentence"),
        [
            ("T000001M", "check character of 'T000001M' is wrong: expected N, found M"),
            (code("T", 99), "is not in the records"),
            (carton_sscc(9), "is not in the records"),
            ("095200000000000012", "invalid check digit in SSCC"),
            ("rubbish", ""),
        ],
    )
    def test_a_wrong_code_has_its_sentence(self, pressed, given, sentence):
        refused = run("trace", given, ledger=pressed)
        assert refused.code == 2
        assert sentence in refused.err
        assert "Traceback" not in refused.err


class TestContain:
    def test_the_scope_of_a_stamper_and_its_holds(self, pressed):
        bad = stamper("EX-101-A")
        scope = json.loads(
            run("contain", bad, "--shape", "from-onset", "--format", "json", ledger=pressed).out
        )
        tiers = [(tier["name"], tier["strokes"]) for tier in scope["tiers"]]
        assert tiers == [("cleared", [[1, 3]]), ("possible", [[4, 14]]), ("proven", [[15, 20]])]
        bounds = {held["code"]: (held["pieces"], held["least"], held["most"]) for held in scope["containers"]}
        # Ten discs on the first spindle: stroke 3 was drawn; of the nine left, 4 to 10 are possible. Three went
        # into the carton: none or all of them may be affected; six stayed, of which two can be clean.
        assert bounds[carton_sscc(1)] == (3, 0, 3)
        assert bounds[code("K", 11)] == (6, 0, 6)
        assert bounds[code("K", 12)] == (9, 5, 9)
        held = run(
            "contain",
            bad,
            "--shape",
            "from-onset",
            "--hold",
            "--by",
            code("P", 2),
            "--reason",
            "scratch",
            ledger=pressed,
        )
        assert held.code == 1
        assert "placed on" in held.err
        refused = run("line", "--station", LINE, ledger=pressed, scans=raw_disc(gtin(1), 1, 1) + "\n")
        assert f"Carton {carton_sscc(1)} is on hold: scratch (hold H0000015)" in refused.out
        assert run("hold", ledger=pressed).code == 1

    def test_holding_needs_an_authorised_person(self, pressed):
        words = ("contain", stamper("EX-101-A"), "--shape", "from-onset", "--hold")
        assert run(*words, ledger=pressed).code == 2
        refused = run(*words, "--by", code("P", 3), "--reason", "scratch", ledger=pressed)
        assert (refused.code, refused.err) == (
            4,
            "runout: Cleo may not place holds: that needs the role quality\n",
        )
        assert run("hold", ledger=pressed).code == 0

    @pytest.mark.parametrize(
        ("evidence", "sentence"),
        [
            (f"{code('L', 1)}:99=good", "has strokes 1 to 20; there is no disc 99"),
            (f"{code('L', 99)}:1=good", "is not in the records"),
            (f"{code('L', 2)}:1=good", "there is no disc 1"),
            ("rubbish", "expected LOT:STROKE=good or LOT:STROKE=bad"),
            (f"{code('L', 1)}:5=good:scratch", "a good disc has no defect"),
        ],
    )
    def test_wrong_evidence_has_its_sentence(self, pressed, evidence, sentence):
        words = ("contain", stamper("EX-101-A"), "--shape", "from-onset", "--evidence", evidence)
        refused = run(*words, ledger=pressed)
        assert refused.code == 2
        assert sentence in refused.err

    @pytest.mark.parametrize(
        ("words", "sentence"),
        [
            (
                ("--defect", "scretch"),
                "--defect: no disc here was judged bad for 'scretch'; known here: scratch",
            ),
            (("--defect", " "), "--defect is empty"),
            (("--by", code("P", 2)), "--by, --reason and --at belong to --hold"),
            (("--reason", "x"), "--by, --reason and --at belong to --hold"),
            (("--hold", "--by", code("P", 2), "--reason", " "), "--hold needs --by BADGE and --reason TEXT"),
            (("--evidence", f"{code('L', 1)}:15=good"), "one disc is not both"),
            (
                ("--evidence", f"{code('L', 1)}:7=good", "--evidence", f"{code('L', 1)}:7=bad"),
                f"disc 7 of lot {code('L', 1)} is bad here and good in another --evidence; one disc is not both",
            ),
            (("--html", "plant.db"), "plant.db: expected a file name that ends in .html"),
            (("--html", "."), ".: expected a file name that ends in .html"),
            (("--html", "no/such/folder/x.html"), "the folder no/such/folder does not exist"),
        ],
    )
    def test_a_slip_of_the_pen_neither_clears_nor_holds_nor_overwrites(self, pressed, words, sentence):
        before = everything(pressed)
        refused = run("contain", stamper("EX-101-A"), "--shape", "from-onset", *words, ledger=pressed)
        assert refused.code == 2
        assert sentence in refused.err
        assert everything(pressed) == before

    def test_evidence_from_another_tool_is_refused(self, pressed):
        words = ("contain", code("L", 1), "--shape", "from-onset", "--evidence", f"{code('L', 2)}:1=bad")
        assert run(*words, ledger=pressed).code == 2

    def test_the_defect_is_read_as_the_lab_writes_it(self, pressed):
        words = ("contain", stamper("EX-101-A"), "--shape", "from-onset", "--format", "json")
        assert json.loads(run(*words, "--defect", " Scratch ", ledger=pressed).out)["defect"] == "scratch"

    def test_holding_twice_holds_once(self, pressed):
        words = (
            "contain",
            stamper("EX-101-A"),
            "--shape",
            "from-onset",
            "--hold",
            "--by",
            code("P", 2),
            "--reason",
            "x",
        )
        assert "placed on" in run(*words, ledger=pressed).err
        again = run(*words, ledger=pressed)
        assert ": H0000015." in again.err
        assert len(json.loads(run("hold", "--format", "json", ledger=pressed).out)) == 6

    def test_more_evidence_narrows(self, pressed):
        words = ("contain", stamper("EX-101-A"), "--shape", "from-onset", "--format", "json")
        scope = json.loads(run(*words, "--evidence", f"{code('L', 1)}:12=good", ledger=pressed).out)
        first = scope["tiers"][0]
        assert (first["name"], first["strokes"]) == ("cleared", [[1, 12]])

    def test_the_report_never_says_that_anything_is_safe(self, pressed):
        text = run("contain", stamper("EX-101-A"), "--shape", "from-onset", ledger=pressed).out.lower()
        assert "an authorised person decides" in text
        for word in ("all clear", "100 %", "recall complete", " safe "):
            assert word not in text


class TestAudit:
    def test_a_changed_row_is_named(self, pressed):
        import pysqlite3  # noqa: PLC0415

        conn = pysqlite3.connect(pressed)
        conn.execute("UPDATE lot SET decision = 'released' WHERE code = ?", (code("L", 1),))
        conn.commit()
        conn.close()
        found = run("audit", "verify", ledger=pressed)
        assert found.code == 3
        assert f"lot {code('L', 1)}: decision is 'released', the journal says 'pending'" in found.err
        assert run("rebuild", ledger=pressed).code == 0
        assert run("audit", "verify", ledger=pressed).code == 0

    def test_a_changed_entry_is_located(self, pressed):
        import pysqlite3  # noqa: PLC0415

        conn = pysqlite3.connect(pressed)
        conn.execute("DROP TRIGGER journal_no_update")
        row = conn.execute("SELECT seq FROM journal WHERE kind = 'master-registered' LIMIT 1").fetchone()
        conn.execute(*changed_text(conn, row[0], "EX-101-A", "EX-101-B"))
        conn.commit()
        conn.close()
        found = run("audit", "verify", ledger=pressed)
        assert found.code == 3
        assert f"entry {row[0]} was changed" in found.err

    def test_a_head_that_was_kept_shows_a_tail_cut_off_or_written_anew(self, pressed, tmp_path):
        """The chain alone cannot: the shorter or other journal verifies by itself."""
        kept = json.loads(run("audit", "verify", "--format", "json", ledger=pressed).out)[0]
        head = f"{kept['entries']}:{kept['head']}"
        assert run("backup", tmp_path / "shorter.db", ledger=pressed).code == 0
        assert run("audit", "verify", "--kept", head, ledger=pressed).code == 0
        book(pressed, "lab", LAB, ["HOLD", "K12", '"looks warped'])
        assert run("audit", "verify", "--kept", head, ledger=pressed).code == 0
        later = json.loads(run("audit", "verify", "--format", "json", ledger=pressed).out)[0]
        cut = run(
            "audit", "verify", "--kept", f"{later['entries']}:{later['head']}", ledger=tmp_path / "shorter.db"
        )
        assert cut.code == 3
        assert (
            f"the head kept of {later['entries']} entries: it was made of {later['entries']} entries"
            in cut.err
        )
        assert (
            f"the journal has no entry {later['entries']}, only {kept['entries']}: its tail was cut off"
            in cut.err
        )
        book(tmp_path / "shorter.db", "lab", LAB, ["HOLD", "K11", '"another story'])
        anew = run(
            "audit", "verify", "--kept", f"{later['entries']}:{later['head']}", ledger=tmp_path / "shorter.db"
        )
        assert anew.code == 3
        assert "are not those that it was made of: the journal was written anew" in anew.err

    def test_a_head_that_is_none_is_said(self, pressed):
        assert run("audit", "verify", "--kept", "54", ledger=pressed).code == 2


class TestNoLedger:
    @pytest.mark.parametrize(
        "words", [("hold",), ("audit", "verify"), ("rebuild",), ("trace", code("L", 1)), ("line",)]
    )
    def test_a_missing_ledger_is_said(self, tmp_path, words):
        refused = run(*words, ledger=tmp_path / "none.db")
        assert refused.code == 2
        assert refused.err.startswith(
            f"runout: there is no ledger at {tmp_path}/none.db: make one with `runout init`"
        )
        assert not (tmp_path / "none.db").exists()

    def test_a_file_that_is_no_ledger_is_said(self, tmp_path):
        file = tmp_path / "notes.txt"
        file.write_text("these are notes, not a ledger, and they go on for a while\n" * 40, encoding="utf-8")
        refused = run("hold", ledger=file)
        assert refused.code == 2
        assert "is not a ledger of this program" in refused.err


def test_the_installed_command_runs_and_help_starts_fast_enough_to_be_asked_for():
    command = shutil.which("runout", path=f"{sys.prefix}/bin")
    assert command is not None
    shown = subprocess.run([command, "--help"], capture_output=True, text=True, check=True)
    assert "What a bad tool, material or lot touched" in shown.stdout


class TestReaders:
    """Other readers than the keyboard wedge drive the same station."""

    @staticmethod
    def next_line(station):
        """The next line of a station, or what it says if none comes."""
        ready, _, _ = select.select([station.stdout], [], [], 15)
        if not ready:
            station.kill()
            pytest.fail(f"no verdict came: {station.stderr.read()}")
        return station.stdout.readline()

    @staticmethod
    def wait_until_open(ledger):
        """Wait until a live station holds its lock, then a moment for it to begin reading."""
        place = Path(f"{ledger}-{LINE}.lock")
        until = time.monotonic() + 30
        while time.monotonic() < until:
            # Looked up and not tried: a lock held for a moment here would turn the station away.
            if place.exists() and f":{place.stat().st_ino} " in Path("/proc/locks").read_text(
                encoding="ascii"
            ):
                time.sleep(1)
                return
            time.sleep(0.1)
        pytest.fail("the station did not open within 30 seconds")

    @pytest.fixture
    def start(self):
        """Starts live stations; whatever is still running at the end is stopped."""
        started = []

        def begin(ledger, *words):
            # A test run in the background ignores ctrl-C, and its children would inherit that.
            program = (
                "import signal; signal.signal(signal.SIGINT, signal.default_int_handler); "
                "from tracelink.cli import main; main()"
            )
            command = [sys.executable, "-c", program, "--ledger", str(ledger)]
            pipes = dict.fromkeys(("stdin", "stdout", "stderr"), subprocess.PIPE)
            started.append(
                subprocess.Popen([*command, "line", "--station", LINE, *map(str, words)], text=True, **pipes)
            )
            return started[-1]

        yield begin
        for station in started:
            station.kill()
            station.communicate()

    def test_a_scanner_on_a_serial_port(self, pressed, start):
        master, slave = os.openpty()
        station = start(pressed, "--serial", os.ttyname(slave))
        # A port that is opened forgets what came before.
        self.wait_until_open(pressed)
        os.write(master, f"{raw_disc(gtin(1), 1, 1)}\r".encode())
        assert (
            self.next_line(station) == 'NEXT  "Paper Comet Arithmetic". Now its sleeve.  [3 of 5 in carton]\n'
        )
        # Half a code, and the rest at once: one scan.
        os.write(master, raw_sleeve(gtin(1))[:6].encode())
        os.write(master, f"{raw_sleeve(gtin(1))[6:]}\r".encode())
        assert self.next_line(station) == 'MATCH EX 101 "Paper Comet Arithmetic"  [4 of 5 in carton]\n'
        station.send_signal(signal.SIGINT)
        _out, err = station.communicate(timeout=10)
        assert (station.returncode, "Stopped by hand" in err) == (130, True)
        os.close(master)
        os.close(slave)

    def test_pictures_that_arrive_in_a_folder(self, pressed, start, tmp_path):
        folder = tmp_path / "camera"
        folder.mkdir()
        station = start(pressed, "--folder", folder)
        data = {"gtin": gtin(1), "piece": "1", "total": "1", "catalogue": "EX 101", "side": "A"}
        self.wait_until_open(pressed)
        write_label(folder / "first.png", load_layout("disc-label"), data, 300)
        assert (
            self.next_line(station) == 'NEXT  "Paper Comet Arithmetic". Now its sleeve.  [3 of 5 in carton]\n'
        )
        # The scanner and the keyboard go on beside the camera, which signs nobody on.
        station.stdin.write(f"{raw_sleeve(gtin(1))}\n")
        station.stdin.flush()
        assert self.next_line(station) == 'MATCH EX 101 "Paper Comet Arithmetic"  [4 of 5 in carton]\n'
        write_label(
            folder / "badge.png",
            load_layout("badge"),
            {"code": code("P", 2), "name": "Ben", "work": "packer"},
            300,
        )
        assert self.next_line(station).startswith(f"STOP  Badge {code('P', 2)} is in the picture badge.png:")
        station.send_signal(signal.SIGINT)
        station.communicate(timeout=10)
        assert station.returncode == 130

    def test_pictures_in_which_nothing_reads_are_no_reads_and_the_next_is_read(self, pressed, tmp_path):
        data = {"gtin": gtin(1), "piece": "1", "total": "1", "catalogue": "EX 101", "side": "A"}
        write_label(tmp_path / "disc.png", load_layout("disc-label"), data, 300)
        (tmp_path / "torn.png").write_bytes((tmp_path / "disc.png").read_bytes()[:200])
        words = [word for name in ("torn", "disc") for word in ("--image", tmp_path / f"{name}.png")]
        done = run("line", "--station", LINE, *words, ledger=pressed)
        assert (done.code, "Traceback" in done.err) == (1, False)
        assert "The disc will not scan: turn it and try again." in done.out
        assert "Now its sleeve." in done.out
        missing = run("line", "--station", LINE, *words, "--image", tmp_path / "none.png", ledger=pressed)
        assert (missing.code, missing.out) == (2, "")
        assert f"There is no file {tmp_path}/none.png." in missing.err

    def test_one_unreadable_picture_does_not_end_the_rest(self, tmp_path):
        for number in (1, 2):
            write_label(
                tmp_path / f"{number}.png", load_layout("spindle-card"), {"code": code("K", number)}, 300
            )
        (tmp_path / "torn.png").write_bytes(b"no picture")
        files = [tmp_path / name for name in ("1.png", "torn.png", "2.png", "none.png")]
        done = run("label", "read", *files)
        assert (done.code, done.out) == (1, f"]C0{code('K', 1)}\n]C0{code('K', 2)}\n")
        assert done.err == (
            f"{tmp_path}/torn.png is not an image: expected a PNG or JPEG file.\nThere is no file {tmp_path}/none.png.\n"
            "2 of 4 pictures could not be read.\n"
        )
        assert run("label", "read", files[1]).code == 2
        assert run("label", "read", files[0], files[2]).code == 0

    def test_a_station_is_open_in_one_terminal_only(self, pressed, start, tmp_path):
        """A disc scanned at one must not be matched with a sleeve scanned at the other."""
        folder = tmp_path / "camera"
        folder.mkdir()
        first = start(pressed, "--folder", folder)
        self.wait_until_open(pressed)
        refused = run("line", "--station", LINE, ledger=pressed, scans=raw_disc(gtin(1), 1, 1) + "\n")
        assert refused.code == 4
        assert f"station {LINE} is open in another terminal. Close it there first" in refused.err
        first.kill()
        first.wait(timeout=10)
        assert run("line", "--station", LINE, ledger=pressed, scans=raw_disc(gtin(1), 1, 1) + "\n").code == 0

    @pytest.mark.parametrize(
        ("words", "sentence"),
        [
            (("--serial", "/dev/no-such-port"), "The serial port /dev/no-such-port cannot be opened"),
            (("--folder", "/no/such/folder"), "There is no folder /no/such/folder."),
            (("--serial", "x", "--folder", "y"), "--image, --serial and --folder: expected one of them"),
            (("label.png",), "files are read with --image"),
        ],
    )
    def test_a_wrong_reader_is_said(self, pressed, words, sentence):
        refused = run("line", "--station", LINE, *words, ledger=pressed)
        assert refused.code == 2
        assert sentence in refused.err


def test_whoever_comes_back_to_a_station_is_told_where_it_stands(pressed):
    """On a terminal only: a pipe gets verdicts and nothing else."""
    run("line", "--station", LINE, ledger=pressed, scans=raw_disc(gtin(1), 1, 1) + "\n")
    master, slave = os.openpty()
    command = [sys.executable, "-c", "from tracelink.cli import main; main()", "--ledger", str(pressed)]
    station = subprocess.Popen(
        [*command, "line", "--station", LINE],
        stdin=subprocess.DEVNULL,
        stdout=slave,
        env={**os.environ, "COLUMNS": "80"},
    )
    assert station.wait(timeout=20) == 0
    os.close(slave)
    told = os.read(master, 8000).decode()
    os.close(master)
    assert 'Arithmetic" EX\r\n101, 3 of 5 in carton' in told, "broken between words"
    told = " ".join(told.split())
    assert (
        f'Station {LINE}, line 4: Ada is signed on. Packs "Paper Comet Arithmetic" EX 101, 3 of 5 in carton {carton_sscc(1)}, '
        in told
    )
    assert "a disc waits for its sleeve. End with ctrl-D." in told


class TestScopeFiles:
    """`runout contain` written to files."""

    def test_page_pdf_workbook_and_list_are_written_whole(self, pressed, tmp_path):
        files = [tmp_path / name for name in ("s.html", "s.pdf", "s.xlsx", "s.csv")]
        options = [word for pair in zip(OPTIONS, files, strict=True) for word in pair]
        done = run("contain", stamper("EX-101-A"), "--shape", "from-onset", *options, ledger=pressed)
        assert done.code == 1
        assert done.err == "".join(f"Wrote {file}\n" for file in files)
        assert files[0].read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
        assert [file.read_bytes()[:4] for file in files[1:3]] == [b"%PDF", b"PK\x03\x04"]
        assert files[3].read_text(encoding="utf-8").startswith("consignee,country,orders,")
        assert sorted(tmp_path.glob(".*.part")) == []

    def test_the_json_has_the_document_and_agrees_with_the_scope(self, pressed):
        words = ("contain", stamper("EX-101-A"), "--shape", "from-onset", "--format", "json")
        found = json.loads(run(*words, ledger=pressed).out)
        document = found["document"]
        assert document["imprint"]["head_seq"] == found["head"]["seq"]
        assert [tier["strokes"] for tier in document["tiers"]] == [[[15, 20]], [[4, 14]], [[1, 3]]]
        assert document["free_to_ship"]["count"] == 2
        assert json.loads(run(*words, ledger=pressed).out)["document"]["version"] == document["version"]

    def test_holds_placed_with_it_stand_in_the_document(self, pressed):
        words = ("contain", stamper("EX-101-A"), "--shape", "from-onset", "--format", "json")
        held = run(*words, "--hold", "--by", code("P", 2), "--reason", "scratch", ledger=pressed)
        document = json.loads(held.out)["document"]
        (hold,) = document["holds"]
        assert (hold["placed_by"], hold["reason"], hold["entry"]) == (
            "Ben",
            "scratch",
            document["imprint"]["head_seq"],
        )
        assert document["free_to_ship"] == {"count": 0, "least": 0, "most": 0, "rows": []}
        again = run("contain", stamper("EX-101-A"), "--shape", "from-onset", ledger=pressed)
        assert "Free to leave   nothing found; " in again.out

    def test_given_evidence_stands_in_the_document_as_given(self, pressed):
        words = ("--evidence", f"{code('L', 1)}:12=good", "--format", "json")
        found = run("contain", stamper("EX-101-A"), "--shape", "from-onset", *words, ledger=pressed)
        evidence = json.loads(found.out)["document"]["trigger"]["evidence"]
        (given,) = [one for one in evidence if one["stroke"] == 12]
        assert (given["sample"], given["judged_by"], given["judged_at"]) == ("not recorded", "", "")

    def test_several_causes_have_a_document_as_well(self, pressed, tmp_path):
        files = [tmp_path / name for name in ("s.html", "s.pdf", "s.xlsx", "s.csv")]
        options = [word for pair in zip(OPTIONS, files, strict=True) for word in pair]
        words = ("contain", stamper("EX-101-A"), "--also", carton_sscc(1), "--shape", "from-onset")
        assert run(*words, *options, ledger=pressed).code == 1
        title = f"{stamper('EX-101-A')} or {carton_sscc(1)}, &#34;Paper Comet Arithmetic&#34;: any defect"
        assert f"<title>{title}</title>" in files[0].read_text(encoding="utf-8")

    @pytest.mark.parametrize("option", ["--pdf", "--xlsx", "--consignees"])
    def test_a_file_of_another_kind_is_not_overwritten(self, pressed, option, tmp_path):
        done = run(
            "contain", stamper("EX-101-A"), "--shape", "from-onset", option, tmp_path / "x.db", ledger=pressed
        )
        assert done.code == 2
        assert "expected a file name that ends in" in done.err


OPTIONS = ("--html", "--pdf", "--xlsx", "--consignees")

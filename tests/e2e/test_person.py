"""`runout person`, PINs at commands, and the secret key they rest on."""

import json
import os
import pty
import select
import stat
import subprocess
import sys
import termios
import time

import pytest
from support_cli import run, station_log
from support_ledgers import filled, new_plant
from support_pins import PINS, WRONG
from support_plant import LAB, code, n, raw
from support_sql import read

from tracelink.store.journal.pin_key import key_file, make_key, read_key
from tracelink.store.ledger import Ledger

ADA, BEN, CLEO = code("P", 1), code("P", 2), code("P", 3)


@pytest.fixture(autouse=True)
def no_pin_in_the_environment(monkeypatch):
    monkeypatch.delenv("RUNOUT_PIN", raising=False)
    monkeypatch.delenv("RUNOUT_PIN_KEY", raising=False)


@pytest.fixture
def place(tmp_path):
    return filled(tmp_path / "plant.db", new_plant)


def set_pin(place, badge, digits, *words):
    return run("person", "pin", badge, "--stdin", *words, ledger=place, scans=f"{digits}\n")


@pytest.fixture
def pinned(place):
    assert set_pin(place, ADA, PINS[1]).out == "Ada has a new PIN.\n"
    return place


def kinds(place):
    ledger = Ledger.open(str(place), read_only=True)
    with ledger.reading() as conn:
        found = [kind for (kind,) in read(conn, "journal", "kind", order="seq")]
    ledger.close()
    return found


class TestSettingAPin:
    def test_quality_sets_the_first_and_the_owner_the_next(self, pinned, monkeypatch):
        refused = set_pin(pinned, BEN, PINS[2], "--by", CLEO)
        assert refused.code == 4
        assert "Cleo may not set the PIN of Ben: the first PIN" in refused.err
        assert set_pin(pinned, CLEO, "4711").code == 4
        monkeypatch.setenv("RUNOUT_PIN", PINS[1])
        assert set_pin(pinned, CLEO, "4711", "--by", ADA).code == 0
        monkeypatch.setenv("RUNOUT_PIN", "4711")
        assert set_pin(pinned, CLEO, "1147").code == 0
        assert kinds(pinned).count("pin-set") == 3

    def test_another_pin_for_somebody_takes_two_people_and_is_a_finding(self, pinned, monkeypatch):
        """Whoever sets a PIN knows it: one person who did so alone could act as two where two are asked for."""
        monkeypatch.setenv("RUNOUT_PIN", PINS[1])
        assert set_pin(pinned, BEN, PINS[2], "--by", ADA).code == 0
        before = kinds(pinned)
        alone = set_pin(pinned, BEN, "2580", "--by", ADA)
        assert alone.code == 4
        assert "Ada may not give Ben another PIN alone: whoever sets a PIN knows it." in alone.err
        two = ("--by", ADA, "--reason", "forgotten", "--second")
        # The owner of the PIN is no help; neither is somebody who is not of quality, nor the first person once more.
        monkeypatch.setenv("RUNOUT_SECOND_PIN", PINS[1])
        for second in (CLEO, ADA):
            assert set_pin(pinned, BEN, "2580", *two, second).code == 4
        assert set_pin(pinned, BEN, "2580", "--by", ADA, "--second", CLEO).code == 2
        assert set_pin(pinned, BEN, "2580", "--by", ADA, "--second", CLEO, "--reason", " ").code == 2
        assert set(kinds(pinned)[len(before) :]) <= {"pin-given"}
        assert run("findings", "--finding", "pin-replaced", ledger=pinned).code == 0

    def test_two_of_quality_give_somebody_another_pin(self, pinned, monkeypatch):
        monkeypatch.setenv("RUNOUT_PIN", PINS[1])
        for badge, digits in ((BEN, PINS[2]), (CLEO, "4711")):
            assert set_pin(pinned, badge, digits, "--by", ADA).code == 0
        two = ("--by", ADA, "--reason", "forgotten", "--second", BEN)
        monkeypatch.setenv("RUNOUT_SECOND_PIN", WRONG)
        assert set_pin(pinned, CLEO, "2580", *two).code == 4
        monkeypatch.setenv("RUNOUT_SECOND_PIN", PINS[2])
        assert set_pin(pinned, CLEO, "2580", *two).out == "Cleo has a new PIN.\n"
        assert kinds(pinned)[-2:] == ["pin-replaced", "pin-set"]
        found = " ".join(run("findings", "--finding", "pin-replaced", ledger=pinned).out.split())
        assert f"{ADA} and {BEN} set another PIN for badge {CLEO}. Its owner changes it at once" in found
        verified = json.loads(run("audit", "verify", "--format", "json", ledger=pinned).out)[0]
        assert (verified["differences"], verified["faults"]) == (0, [])
        # The old one counts no more.
        stopped = run("lab", "--station", LAB, ledger=pinned, scans=f"{raw('P3')}\n#4711\n")
        assert "Wrong PIN" in stopped.out

    def test_the_old_pin_is_wanted(self, pinned, monkeypatch):
        monkeypatch.setenv("RUNOUT_PIN", WRONG)
        refused = set_pin(pinned, ADA, "2580")
        assert (refused.code, refused.err) == (4, "runout: Wrong PIN for the badge of Ada. Key it again.\n")
        assert kinds(pinned)[-1] == "badge-refused"

    @pytest.mark.parametrize("digits", ["12", "1111", "abcd", ""])
    def test_what_may_be_no_pin_is_refused(self, place, digits):
        refused = set_pin(place, ADA, digits)
        assert refused.code == 2
        assert "pin-set" not in kinds(place)

    def test_neither_file_holds_a_pin(self, pinned):
        for file in pinned.parent.iterdir():
            assert PINS[1].encode() not in file.read_bytes(), file


class TestTheKey:
    def test_only_its_owner_may_read_it(self, pinned):
        file = key_file(str(pinned))
        assert file == pinned.with_name("plant.db.pin-key")
        assert stat.S_IMODE(file.stat().st_mode) == 0o600
        assert len(read_key(str(pinned))) == 32
        file.chmod(0o640)
        refused = run("lab", "--station", LAB, ledger=pinned, scans=raw("P1") + "\n")
        assert "may be read by others than its owner: expected access 600, found 640" in refused.out
        assert refused.code == 1

    def test_it_is_not_in_a_backup(self, pinned, tmp_path):
        key = key_file(str(pinned)).read_text().strip()
        (tmp_path / "safe").mkdir()
        assert run("backup", tmp_path / "safe" / "copy.db", ledger=pinned).code == 0
        assert [file.name for file in (tmp_path / "safe").iterdir()] == ["copy.db"]
        found = (tmp_path / "safe" / "copy.db").read_bytes()
        assert key.encode() not in found
        assert bytes.fromhex(key) not in found

    def test_a_restored_ledger_asks_for_it(self, pinned, tmp_path):
        run("backup", tmp_path / "copy.db", ledger=pinned)
        run("restore", tmp_path / "copy.db", ledger=tmp_path / "new.db")
        stopped = run("lab", "--station", LAB, ledger=tmp_path / "new.db", scans=raw("P1") + "\n")
        assert "cannot be checked: the secret key it was set with is not on this machine" in stopped.out

    def test_a_lost_key_is_told_and_every_pin_set_anew(self, pinned):
        key_file(str(pinned)).unlink()
        refused = set_pin(pinned, BEN, PINS[2], "--by", ADA)
        assert refused.code == 2
        assert "--new-key" in refused.err
        alone = set_pin(pinned, BEN, PINS[2], "--by", ADA, "--new-key")
        assert (alone.code, alone.err[:44]) == (2, "runout: this is an act of two people: expect")
        two = ("--by", ADA, "--new-key", "--reason", "disk lost", "--second")
        assert set_pin(pinned, BEN, PINS[2], *two, ADA).code == 4
        assert set_pin(pinned, BEN, PINS[2], *two, code("P", 3)).code == 4
        assert not key_file(str(pinned)).exists()
        assert set_pin(pinned, BEN, PINS[2], *two, BEN).code == 0
        again = set_pin(pinned, BEN, PINS[2], *two, BEN)
        assert again.code == 2
        found = run("findings", "--finding", "pin-key-replaced", ledger=pinned)
        assert f"{ADA} and {BEN} made a new PIN key: 1 PIN to be set anew." in " ".join(found.out.split())
        verified = json.loads(run("audit", "verify", "--format", "json", ledger=pinned).out)[0]
        assert (verified["differences"], verified["faults"]) == (0, [])
        stopped = run("lab", "--station", LAB, ledger=pinned, scans=raw("P1") + "\n")
        assert "cannot be checked" in stopped.out
        asked = run("lab", "--station", LAB, ledger=pinned, scans=f"{raw('P2')}\n#{PINS[2]}\n")
        assert "Ben is signed on." in asked.out

    def test_the_environment_names_another_file(self, place, tmp_path, monkeypatch):
        monkeypatch.setenv("RUNOUT_PIN_KEY", str(tmp_path / "elsewhere"))
        assert set_pin(place, ADA, PINS[1]).code == 0
        assert (tmp_path / "elsewhere").exists()
        assert not place.with_name("plant.db.pin-key").exists()

    def test_none_is_overwritten(self, pinned):
        before = read_key(str(pinned))
        with pytest.raises(Exception, match="cannot be made: File exists"):
            make_key(str(pinned))
        assert read_key(str(pinned)) == before


def acts():
    by = ("--by", ADA)
    return [
        ("label", "issue", "carton", "--count", "2", *by),
        ("label", "count", n("B1"), "spoiled", "2", *by),
        ("allocate", n("O1"), *by),
        ("balance", n("B1"), "--investigate", *by, "--reason", "x"),
        ("investigate", "close", "3", *by, "--reason", "x"),
        ("contain", n("T1"), "--shape", "whole-life", "--hold", *by, "--reason", "x"),
    ]


class TestActsByCommand:
    @pytest.mark.parametrize("words", acts(), ids=lambda words: " ".join(words[:2]))
    def test_none_goes_without_the_pin(self, pinned, words, monkeypatch):
        before = kinds(pinned)
        refused = run(*words, ledger=pinned)
        if words[0] != "balance":
            assert refused.code == 2
            assert f"badge {ADA} has a PIN: expected it in RUNOUT_PIN" in refused.err
        assert kinds(pinned) == before
        monkeypatch.setenv("RUNOUT_PIN", WRONG)
        refused = run(*words, ledger=pinned)
        if words[0] != "balance":
            assert refused.code == 4
            assert "Wrong PIN for the badge of Ada" in refused.err
            assert kinds(pinned) == [*before, "badge-refused"]

    def test_the_right_one_opens_and_is_an_entry(self, pinned, monkeypatch):
        monkeypatch.setenv("RUNOUT_PIN", PINS[1])
        assert run(*acts()[0], ledger=pinned).code == 0
        assert kinds(pinned)[-2:] == ["pin-given", "sscc-issued"]

    def test_wrong_ones_make_wait_and_are_nobodys_act(self, pinned, monkeypatch):
        monkeypatch.setenv("RUNOUT_PIN", WRONG)
        for _ in range(4):
            refused = run(*acts()[0], ledger=pinned)
        assert (
            refused.err
            == "runout: Wrong PIN, 4 in a row for the badge of Ada. Wait 30 seconds, then key it again.\n"
        )
        monkeypatch.setenv("RUNOUT_PIN", PINS[1])
        early = run(*acts()[0], ledger=pinned)
        assert early.code == 4
        assert "Ada, 4 PINs were wrong: wait until" in early.err
        ledger = Ledger.open(str(pinned), read_only=True)
        with ledger.reading() as conn:
            rows = read(conn, "finding", "station", "person", "subject")
        assert set(rows) == {(None, None, ADA)}

    def test_who_has_no_pin_acts_by_badge(self, pinned):
        assert run("label", "issue", "carton", "--count", "2", "--by", BEN, ledger=pinned).code == 0


def test_people_are_listed_with_roles_and_pins(pinned):
    listed = run("person", "list", "--format", "csv", ledger=pinned)
    assert listed.code == 0
    lines = listed.out.splitlines()
    assert lines[0] == "person,name,roles,pin_seq,failures,failed_at,withdrawn"
    assert lines[1].startswith(f'{ADA},Ada,"dock, lab, line, press, quality, tool",')
    assert lines[3] == f"{CLEO},Cleo,press,,,,"


def test_a_log_with_a_pin_keeps_none(pinned, tmp_path):
    log = station_log(
        tmp_path / "lab.jsonl", LAB, [raw("P1"), f"#{PINS[1]}", raw("SAMPLE")], at="2031-03-04T09:00:00+01:00"
    )
    done = run("replay", log, ledger=pinned)
    assert done.code == 0, done.err
    for file in pinned.parent.glob("plant.db*"):
        assert PINS[1].encode() not in file.read_bytes()


@pytest.mark.parametrize("closed_between", [False, True])
def test_what_is_keyed_at_a_terminal_is_not_shown(pinned, closed_between):
    """A station on a terminal of its own: the digits never come back, what is keyed after them does."""
    if closed_between:
        run("lab", "--station", LAB, ledger=pinned, scans=raw("P1") + "\n")
    parent, child = pty.openpty()
    command = [
        sys.executable,
        "-c",
        "from tracelink.cli import main; main()",
        "--ledger",
        str(pinned),
        "lab",
        "--station",
        LAB,
    ]
    # On a terminal that only prints, and is wide: elsewhere an instruction is drawn in large letters, or broken.
    plain = {**os.environ, "TERM": "dumb", "COLUMNS": "200", "LINES": "24"}
    station = subprocess.Popen(command, stdin=child, stdout=child, stderr=child, close_fds=True, env=plain)
    os.close(child)
    shown = b""

    def until(word):
        nonlocal shown
        deadline = time.monotonic() + 30
        while word not in shown:
            ready, _, _ = select.select([parent], [], [], max(0.0, deadline - time.monotonic()))
            assert ready, f"{word} is not shown after 30 seconds: {shown}"
            shown += os.read(parent, 4096)

    try:
        until(b"End with ctrl-D")
        if closed_between:
            deadline = time.monotonic() + 20
            while termios.tcgetattr(parent)[3] & termios.ECHO and time.monotonic() < deadline:
                time.sleep(0.05)
        else:
            os.write(parent, raw("P1").encode() + b"\n")
            until(b"key # and your PIN")
        os.write(parent, f"#{PINS[1]}\n".encode())
        until(b"Ada is signed on.")
        os.write(parent, b'"heard both sides\n')
        until(b'"heard both sides')
    finally:
        station.kill()
        station.wait()
        os.close(parent)
    assert PINS[1].encode() not in shown

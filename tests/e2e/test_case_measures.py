"""Why it happened, what is done about it, which investigations belong to a case: entries of named people."""

import json
import shutil

import pytest
from support_cases import ADA, BEN, CAUSE, CLEO, shipped_file
from support_cli import run
from support_plant import LAB, n, raw

CASE = n("Q1")
AT = ("--at", "2031-03-06T12:00:00+01:00")
BY = ("--by", ADA, *AT)


@pytest.fixture(scope="module")
def opened(tmp_path_factory):
    folder = tmp_path_factory.mktemp("measures")
    place = shutil.copy(shipped_file(folder), folder / "measures.db")
    words = ("case", "open", CAUSE, "--shape", "from-onset", "--reason", "scratch", *BY)
    assert run(*words, ledger=place).code == 0
    return place


@pytest.fixture
def ledger(opened, tmp_path):
    return shutil.copy(opened, tmp_path / "plant.db")


def act(ledger, name, *words, by=BY, code=0):
    done = run("case", name, CASE, *words, *by, ledger=ledger)
    assert done.code == code, done.out + done.err
    return done


def shown(ledger, command):
    return json.loads(run("case", command, CASE, "--format", "json", ledger=ledger).out)


def test_the_newest_root_cause_counts_and_both_stay(ledger):
    assert shown(ledger, "status")["root_cause"] is None
    act(ledger, "root-cause", "--text", "a chip on the punch")
    assert act(ledger, "root-cause", "--text", " a burr ").out == "Root cause recorded: a burr.\n"
    assert shown(ledger, "status")["root_cause"] == "a burr"
    details = [
        one["detail"] for one in shown(ledger, "show")["history"] if one["kind"] == "case-cause-stated"
    ]
    assert details == ["words a chip on the punch", "words a burr"]
    assert "Root cause: a burr\n" in run("case", "status", CASE, ledger=ledger).out


def test_an_action_has_an_owner_and_a_day(ledger):
    act(ledger, "action", "--text", "new punch", "--owner", BEN, "--due", "2031-04-01")
    [action] = shown(ledger, "status")["actions"]
    assert (action["words"], action["owner"], action["due"]) == ("new punch", BEN, "2031-04-01")
    summary = run("case", "summary", CASE, ledger=ledger).out
    assert f"Corrective action: new punch, by {BEN}, due 2031-04-01" in summary
    assert "Root cause: not stated yet" in summary


def test_an_investigation_is_linked_once(ledger):
    scans = "".join(raw(line) + "\n" for line in ("COUNT", "K12", "#2"))
    assert run("lab", "--station", LAB, ledger=ledger, scans=scans).code == 1
    [one] = json.loads(run("investigate", "list", "--format", "json", ledger=ledger).out)
    number = str(one["seq"])
    for _twice in range(2):
        assert act(ledger, "link", number).out == f"Investigation {number} belongs to the case.\n"
    assert shown(ledger, "status")["investigations"] == [int(number)]


def test_a_rebuild_and_an_examination_find_them_as_they_were(ledger):
    act(ledger, "root-cause", "--text", "a burr")
    act(ledger, "action", "--text", "new punch", "--owner", BEN, "--due", "2031-04-01")
    before = shown(ledger, "status")
    assert run("rebuild", ledger=ledger).code == 0
    assert shown(ledger, "status") == before
    assert run("audit", "verify", ledger=ledger).code in (0, 1)


@pytest.mark.parametrize(
    ("words", "by", "code", "sentence"),
    [
        (("root-cause", "--text", " "), BY, 2, "words is empty: expected some text"),
        (("root-cause", "--text", "x"), ("--by", CLEO, *AT), 4, "may not state the root cause of a case"),
        (("action", "--text", "x", "--owner", n("P9"), "--due", "2031-04-01"), BY, 4, "unknown badge"),
        (("action", "--text", "x", "--owner", BEN, "--due", "2031-02-30"), BY, 2, "does not match"),
        (("action", "--text", "x", "--owner", BEN, "--due", "2031-03-05"), BY, 2,
         "the due date 2031-03-05 lies before 2031-03-06, the day on which the action is set"),
        (("link", "9999"), BY, 2, "there is no investigation 9999: runout investigate list shows them"),
    ],
)  # fmt: skip
def test_a_wrong_word_has_its_sentence_and_writes_nothing(ledger, words, by, code, sentence):
    before = shown(ledger, "show")["last_entry"]
    done = run("case", words[0], CASE, *words[1:], *by, ledger=ledger)
    assert (done.code, sentence in done.err) == (code, True), done.err
    assert shown(ledger, "show")["last_entry"] == before

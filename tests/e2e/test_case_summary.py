"""A summary of a case for an authority: the points of 21 CFR 7.46(a) and 7.53(b), each figure that of the scope."""

import csv
import io
import json
import shutil

import pytest
from support_cases import ADA, CAUSE, shipped_file
from support_cli import run
from support_clock import station_clock
from support_plant import DOCK, n, raw

CASE = n("Q1")
AT = "2031-03-06T12:00:00+01:00"
ITEMS = [
    f"--item={name}=words on {name}" for name in ("reason", "circumstances", "risk", "strategy", "official")
]


@pytest.fixture(scope="module")
def ledger(tmp_path_factory):
    """A case: one consignee told, who answered; one carton came back."""
    folder = tmp_path_factory.mktemp("summary")
    place = shutil.copy(shipped_file(folder), folder / "summary.db")
    (folder / "sent.txt").write_text("Please send them back.", encoding="utf-8")
    scans = "".join(raw(line) + "\n" for line in ("RETURN", "carton 3", '"scratch'))
    by = ("--by", ADA, "--at", "2031-03-05T09:00:00+01:00")
    for words in (
        ("case", "open", CAUSE, "--shape", "from-onset", *by, "--reason", "as June told Ben"),
        ("case", "notice", CASE, "--consignee", "Shop 9", *by, "--sent", folder / "sent.txt", "--method", "letter"),
        ("case", "reply", CASE, "--consignee", "Shop 9", "--quantity-on-hand", "5", "--returned", "5",
         "--by", ADA, "--at", "2031-03-06T09:00:00+01:00"),
    ):  # fmt: skip
        assert run(*words, ledger=place).code == 0, words
    with station_clock():
        assert run("dock", "--station", DOCK, ledger=place, scans=scans).code == 0
    return place


def summed(ledger, *words):
    return run("case", "summary", CASE, "--at", AT, *words, ledger=ledger)


def test_its_figures_are_those_of_the_scope_and_the_status(ledger):
    found = json.loads(summed(ledger, *ITEMS, "--format", "json").out)
    scope = json.loads(run("contain", CAUSE, "--shape", "from-onset", "--format", "json", ledger=ledger).out)
    status = json.loads(run("case", "status", CASE, "--format", "json", ledger=ledger).out)
    answer, totals = scope["document"]["answer"], scope["document"]["totals"]
    assert (found["certain"], found["possible"]) == (answer["certain"], answer["possible"])
    assert (found["shipped_least"], found["shipped_most"]) == (
        answer["shipped"]["least"],
        answer["shipped"]["most"],
    )
    assert found["made"] == totals["pieces"] == 20
    assert {one["name"]: (one["may_hold"], one["least"], one["most"]) for one in found["consignees"]} == {
        one["consignee"]: (one["may_hold"], one["least"], one["most"]) for one in status["consignees"]
    }
    assert found["gaps"] == []


def test_it_says_who_was_told_when_and_what_came_of_it(ledger):
    done = summed(ledger, *ITEMS)
    assert (done.code, done.err) == (0, "")
    for said in (
        "Told 2031-03-05 09:00 +01:00 by letter (SHA-256 of the text ",
        "Answered 2031-03-06 09:00 +01:00: 5 discs on hand, 5 sent back by its own count; booked here: came back 5, of these destroyed 0",
        "NOT TOLD\n  NOT ANSWERED; booked here: came back 0",
        "to 2 direct accounts; told: 1; answered: 1.",
        "Came back, as booked here: 5 discs, of these destroyed: 0.",
        "words on risk",
        "21 CFR 7.46(a) and 7.53(b), rules for foods, drugs and devices: a model",
    ):
        assert said in done.out, said
    # Why the plant opened the case are its own words.
    assert "June" not in done.out
    assert "product safety" not in done.out.lower()


def test_the_clock_runs_since_the_first_information(ledger):
    """Sample 2 was judged bad at the lab; the hours are from there to the summary, in whatever zone each is told."""
    found = json.loads(summed(ledger, *ITEMS, "--format", "json").out)
    judged = json.loads(
        run("contain", CAUSE, "--shape", "from-onset", "--format", "json", ledger=ledger).out
    )["document"]["trigger"]["first_bad"]["judged_at"]
    assert found["first_information"] == judged
    later = json.loads(
        run(
            "case", "summary", CASE, "--at", "2031-03-07T11:00:00+00:00", "--format", "json", ledger=ledger
        ).out
    )
    assert later["hours"] - found["hours"] == 24


def test_what_nobody_gave_is_a_named_gap(ledger):
    done = summed(ledger, "--item", "risk=none to people")
    assert (done.code, done.err) == (1, "Not given: reason, circumstances, strategy, official.\n")
    assert "[NOT GIVEN: when and how it was found]" in done.out


def test_the_plants_own_template_takes_its_place(ledger, tmp_path):
    (tmp_path / "own.txt").write_text("{{ summary.made }} made, {{ item.risk }}", encoding="utf-8")
    assert summed(ledger, *ITEMS, "--template", tmp_path / "own.txt").out == "20 made, words on risk\n"


def test_csv_has_a_line_for_each_consignee(ledger):
    rows = list(csv.DictReader(io.StringIO(summed(ledger, *ITEMS, "--format", "csv").out)))
    assert [(row["name"], row["on_hand"], row["returned_said"], row["returned"]) for row in rows] == [
        ("Shop 1", "", "", "0"),
        ("Shop 9", "5", "5", "5"),
    ]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (
            ("--item", "hazard=x"),
            "--item hazard: this summary has no such item; it has reason, circumstances, risk",
        ),
        (("--item", "risk"), "--item 'risk': expected NAME=TEXT"),
        (("--template", "none.txt"), "template none.txt cannot be read"),
        (("--at", "noon"), "noon"),
    ],
)
def test_a_wrong_word_has_its_sentence(ledger, words, sentence):
    done = run("case", "summary", CASE, *words, ledger=ledger)
    assert done.code == 2
    assert sentence in done.err


def test_the_items_and_their_sources_are_listed(ledger):
    listed = summed(ledger, "--items").out
    assert "risk: evaluation of the risk, by a person who may (21 CFR 7.46(a), a model; " in listed


def test_what_a_consignee_says_came_back_stands_beside_what_was_booked(ledger, tmp_path):
    other = shutil.copy(ledger, tmp_path / "said.db")
    words = ("--quantity-on-hand", "5", "--returned", "3000", "--destroyed", "2", "--by", ADA)
    said = run("case", "reply", CASE, "--consignee", "Shop 9", *words, "--at", AT, ledger=other)
    assert said.code == 1
    assert (
        "5 discs on hand, 3\u202f000 sent back by its own count, 2 destroyed by its own count; "
        "booked here: came back 5, of these destroyed 0"
    ) in summed(other, *ITEMS).out


@pytest.mark.parametrize("command", [("summary",), ("notice", "--by", ADA)])
def test_the_items_fit_a_screen(ledger, monkeypatch, command):
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setattr("tracelink.cli.common.say._is_screen", lambda *, err: not err)
    done = run("case", command[0], CASE, *command[1:], "--items", ledger=ledger)
    assert "reason: why" in done.out
    assert max(map(len, done.out.splitlines())) <= 80

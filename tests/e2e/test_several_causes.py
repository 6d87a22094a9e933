"""Stations, persons, periods and several causes through the command line, on scans of a press, a line and a dock."""

import json

import pytest
from support_causes import HOPPER, at, play_day
from support_cli import run
from support_plant import DOCK, LINE, PRESS, TOOL, Floor, code

from tracelink.genealogy.commoncause.compare import common_cause
from tracelink.genealogy.containment.query_words import from_words
from tracelink.services.containment import scope_of
from tracelink.store.records.judged_discs import judged_discs
from tracelink.store.records.sql_records import SqlRecords

KINDS = ["consignee", "order", "country"]
SAME = ("cause", "kind", "shape", "defect", "reasons", "suspects", "contradictions", "gaps", "head")


@pytest.fixture(scope="module")
def ledger(tmp_path_factory):
    return play_day(Floor.copy(**HOPPER)).saved(tmp_path_factory.mktemp("several") / "plant.db")


def asked(ledger, *words, shape="intermittent"):
    done = run("contain", *words, "--shape", shape, "--format", "json", ledger=ledger)
    assert done.code in (0, 1), done.err
    return done.code, json.loads(done.out)


def tiers(plain):
    return [(tier["name"], tier["strokes"]) for tier in plain["tiers"]]


def suspects(plain):
    return {one["code"]: one["most"] for one in plain["containers"] if one["most"]}


def test_a_press_in_a_period(ledger):
    code_, plain = asked(ledger, PRESS, "--from", at(9, 30), "--to", at(10, 30))
    assert (code_, plain["kind"], plain["period"]) == (1, "station", [at(9, 30), at(10, 30)])
    assert tiers(plain) == [("possible", [[21, 50]])]


def test_a_line_in_a_period_by_place(ledger):
    code_, plain = asked(ledger, LINE, "--from", at(11), "--to", at(11, 30))
    assert code_ == 1
    assert (tiers(plain), sum(suspects(plain).values())) == ([], 5)
    text = run(
        "contain", LINE, "--from", at(11), "--to", at(11, 30), "--shape", "intermittent", ledger=ledger
    ).out
    assert "0 discs affected for certain, 5 possibly" in text
    assert "no link found" not in text


def test_matches_in_the_spool_count(ledger):
    for cause in (LINE, code("P", 1)):
        plain = asked(ledger, cause, "--from", at(13, 30))[1]
        assert list(suspects(plain).values()) == [2]


def test_a_dock_and_a_person(ledger):
    assert list(suspects(asked(ledger, DOCK)[1]).values()) == [5]
    plain = asked(ledger, code("P", 3))[1]
    assert (plain["kind"], tiers(plain)) == ("person", [("possible", [[1, 50]])])


def test_a_quiet_period_has_no_link(ledger):
    code_, plain = asked(ledger, LINE, "--from", at(20), "--to", at(21))
    assert (code_, tiers(plain), suspects(plain)) == (0, [], {})


def test_both_and_either(ledger):
    both = asked(ledger, code("T", 4), "--only-with", code("C", 2))[1]
    assert (both["cause"], both["clauses"]) == (
        f"{code('T', 4)} and {code('C', 2)}",
        [[code("T", 4)], [code("C", 2)]],
    )
    assert tiers(both) == [("possible", [[21, 50]])]
    either = asked(ledger, code("C", 1), "--also", code("C", 2))[1]
    assert max(span for _, strokes in tiers(either) for span in strokes)[1] == 50
    choice = asked(ledger, code("T", 4), "--only-with", f"{code('C', 1)},{code('C', 2)}")[1]
    assert sum(last - first + 1 for _, strokes in tiers(choice) for first, last in strokes) == 50


def test_a_compound_through_the_hopper_ends_where_it_was_emptied(ledger):
    """320 g and 160 g: two discs to a filling, below 1 % after ten; EMPTY at 40 ends it for the second."""
    plain = asked(ledger, code("C", 1))[1]
    (carried,) = plain["carried_over"]
    assert (carried["strokes"], carried["first_out"]) == ([[21, 30]], 22)
    assert tiers(plain) == [("possible", [[1, 20]]), ("possible", [[21, 30]])]
    assert asked(ledger, code("C", 2))[1]["carried_over"] == []


def test_holds_of_several_causes_name_what_was_asked(ledger, tmp_path):
    copy = tmp_path / "plant.db"
    copy.write_bytes(ledger.read_bytes())
    words = ["--only-with", code("C", 2), "--hold", "--by", code("P", 1), "--reason", "pits"]
    done = run("contain", code("T", 4), *words, "--shape", "whole-life", ledger=copy)
    assert (done.code, "placed on" in done.err) == (1, True)
    listed = run("hold", "--format", "csv", ledger=copy).out
    assert f"{code('T', 4)} and {code('C', 2)}" in listed
    assert f"{code('L', 1)},21,50" in listed


def test_evidence_of_the_command_line_counts(ledger):
    plain = asked(
        ledger,
        code("T", 4),
        "--only-with",
        code("L", 1),
        "--evidence",
        f"{code('L', 1)}:30=good",
        shape="from-onset",
    )[1]
    assert tiers(plain) == [("cleared", [[1, 30]]), ("possible", [[31, 50]])]


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (
            [LINE, "--from", "2031-03-04T10:00:00"],
            (
                "--from: time '2031-03-04T10:00:00' is not usable: expected date, T, time and offset like "
                "2031-03-04T09:15:00+01:00"
            ),
        ),
        (
            [LINE, "--from", at(12), "--to", at(11)],
            f"--from {at(12)} comes after --to {at(11)}: expected the earlier time first",
        ),
        (
            [code("T", 4), "--from", at(9)],
            (
                "--from and --to say when a station or a person did something, or what was in equipment: expected one of "
                "them, found stamper"
            ),
        ),
        ([code("T", 4), "--also", code("T", 4)], f"{code('T', 4)} is named twice: expected each cause once"),
        (
            [code("T", 4), "--also", code("T", 14), "--window", "1-5"],
            "--window is for one stamper, lot or press; with several causes use --from and --to",
        ),
        (
            [code("W", 6)],
            f"station {code('W', 6)} is known, but nothing was ever recorded there: it touched no disc",
        ),
        (
            [code("T", 4), "--only-with", code("L", 1), "--evidence", f"{code('L', 2)}:3=bad"],
            f"--evidence: lot {code('L', 2)} has strokes 1 to 0; there is no disc 3",
        ),
    ],
)
def test_wrong_words_are_named(ledger, words, sentence):
    done = run("contain", *words, "--shape", "intermittent", ledger=ledger)
    assert (done.code, done.err) == (2, f"runout: {sentence}\n")


def test_a_document_of_several_causes_can_be_written(ledger, tmp_path):
    for words in (
        [LINE, "--from", at(11)],
        [code("T", 4), "--also", LINE],
        [code("T", 4), "--only-with", code("C", 2)],
    ):
        page = tmp_path / "scope.html"
        done = run("contain", *words, "--shape", "intermittent", "--html", page, ledger=ledger)
        assert done.code == 1, done.err
        assert words[0] in page.read_text(encoding="utf-8")


def test_the_same_on_postgresql(pg_place):
    t, c, p = code("T", 4), code("C", 1), code("P", 1)
    questions = (
        [PRESS, "--from", at(9, 30), "--to", at(10, 30)],
        [LINE, "--from", at(11)],
        [p, "--to", at(13)],
        [t, "--only-with", f"{c},{DOCK}"],
        [c],
    )
    served = Floor.new(pg_place, **HOPPER)
    # Growing all tools takes most of the time; the day needs those of one disc.
    served.scan(TOOL, "P1")
    for place, side in enumerate("AB"):
        t = [f"T{10 * place + n}" for n in range(1, 5)]
        served.scan(
            TOOL, "LACQUER", t[0], f'"{side}', f'"EX-101-{side}', "GROW", t[0], t[1], "GROW", t[1], t[2]
        )
        served.scan(TOOL, "GROW", t[2], t[3])
    answers = []
    for floor in (play_day(served), play_day(Floor.copy(**HOPPER))):
        with floor.ledger.reading() as conn:
            scopes = [
                scope_of(SqlRecords(conn), from_words([*words, "--shape", "intermittent"])).to_json()
                for words in questions
            ]
            answers.append([[scope[name] for name in COMPARED] for scope in scopes])
            assert common_cause(judged_discs(conn, None)).candidates == ()
        floor.ledger.close()
    assert answers[0] == answers[1]
    assert answers[0][4][0] != []


COMPARED = ("tiers", "containers", "groups", "places", "carried_over")


@pytest.mark.parametrize(
    "words", [(PRESS,), (PRESS, "--from", at(9, 30), "--to", at(10, 30)), (code("L", 1),)]
)
def test_totals_are_those_of_the_whole_answer(words, ledger):
    ended, plain = asked(ledger, *words)
    done = run("contain", *words, "--shape", "intermittent", "--totals", "--format", "json", ledger=ledger)
    counted = json.loads(done.out)
    assert done.code == ended == 1
    assert counted["places"] == plain["places"]
    assert [(one["kind"], one["code"], one["most"]) for one in counted["recipients"]] == sorted(
        ((one["kind"], one["code"], one["most"]) for one in plain["groups"] if one["kind"] in KINDS),
        key=lambda one: (KINDS.index(one[0]), -one[2], one[1]),
    )
    assert {name: counted[name] for name in SAME} == {name: plain[name] for name in SAME}
    assert counted["possible"] == plain["places"][-1]["most"] - plain["places"][-1]["least"]


def test_totals_are_printed_and_go_with_nothing_else(ledger):
    shown = run("contain", PRESS, "--shape", "intermittent", "--totals", ledger=ledger)
    rows = run("contain", PRESS, "--shape", "intermittent", "--totals", "--format", "csv", ledger=ledger)
    assert "discs possibly affected" in shown.out
    assert rows.out.splitlines()[0] == "kind,name,pieces,least,most,tight"
    assert any(line.startswith("place,total,") for line in rows.out.splitlines())
    refused = run("contain", PRESS, "--shape", "intermittent", "--totals", "--together", "FR", ledger=ledger)
    assert (refused.code, "--totals only counts" in refused.err) == (2, True)
    slip = ("contain", PRESS, "--shape", "intermittent", "--totals", "--defect", "scrach")
    unknown = run(*slip, ledger=ledger)
    assert (unknown.code, "no disc here was judged bad for 'scrach'" in unknown.err) == (2, True)

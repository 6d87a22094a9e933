"""The page of rules: everything it names exists, nothing is claimed that is not marked."""

import json

import click
import pytest
from support_cli import run
from support_each import each
from support_plant import Floor

from tracelink.cli import cli
from tracelink.ledger.kinds.registry import KINDS
from tracelink.report.pages.rule_table import PARTS, RULES, Force, SourceRead


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    floor = Floor.new(str(tmp_path_factory.mktemp("rules") / "plant.db"))
    floor.tools()
    floor.ledger.close()
    return floor.ledger.place


@each("rule", RULES, ids=lambda rule: rule.clause)
def test_what_a_rule_names_exists(rule):
    assert rule.part in PARTS
    assert set(rule.kinds) <= set(KINDS)
    for words in rule.commands:
        command, context = cli, click.Context(cli)
        for word in words.split():
            assert isinstance(command, click.Group), words
            command = command.get_command(context, word)
            assert command is not None, words
        assert not isinstance(command, click.Group), f"{words} is a group: name the command"


def test_a_rule_says_what_is_kept_and_nothing_twice():
    clauses = [rule.clause for rule in RULES]
    assert len(set(clauses)) == len(clauses)
    assert all(rule.asks and rule.keeps for rule in RULES)
    assert {rule.part for rule in RULES} == set(PARTS)
    assert [rule.part for rule in RULES] == sorted((rule.part for rule in RULES), key=list(PARTS).index)


def test_only_certificates_and_contracts_bind():
    """Records are general consumer goods: of these clauses only those of a certificate or contract bind."""
    binding = {rule.clause.split(",")[0] for rule in RULES if rule.force is Force.CONTRACT}
    assert binding == {"ISO 9001:2015", "EPCIS 2.0"}
    assert not [rule for rule in RULES if rule.clause.startswith("21 CFR") and rule.force is not Force.MODEL]


@each(
    ("clause", "read"),
    [
        ("ISO 9001:2015, 8.5.2", SourceRead.CHECKED),
        ("ISO 9001:2015, 8.6", SourceRead.NOT_CHECKED),
        ("IATF 16949:2016, 8.5.2.1", SourceRead.PART),
        ("21 CFR 7.53(b)", SourceRead.NOT_CHECKED),
        ("21 CFR 211.125(c)", SourceRead.CHECKED),
        ("21 CFR 211.125(d)", SourceRead.NOT_CHECKED),
        ("21 CFR 11.10(e)", SourceRead.CHECKED),
        ("21 CFR 1.1455(c)", SourceRead.NOT_CHECKED),
        ("21 CFR 11.50 and 11.70", SourceRead.NOT_CHECKED),
        ("21 CFR 1.361", SourceRead.CHECKED),
    ],
)
def test_what_was_read_is_told_from_what_was_not(clause, read):
    assert next(rule.read for rule in RULES if rule.clause == clause) is read


def test_rows_are_stable_and_count_the_entries_of_this_ledger(place):
    done = run("audit", "rules", "--part", "quality", "--format", "json", ledger=place)
    assert done.code == 0
    rows = json.loads(done.out)
    assert list(rows[0]) == [
        "part", "clause", "asks", "force", "read", "keeps", "entries", "count", "commands", "lacks",
    ]  # fmt: skip
    first = next(row for row in rows if row["clause"] == "ISO 9001:2015, 8.5.2")
    # 16 lacquers, 4 tools grown from each, 12 lots planned; nothing pressed, held or decided yet.
    assert first["count"] == 16 + 16 * 4 + 12


def test_the_text_says_first_what_binds(place):
    done = run("audit", "rules", "--binding", ledger=place)
    assert done.out.startswith("Records are general consumer goods.")
    assert "[binds by certificate or contract; not checked against the original text]" in done.out
    assert "21 CFR 211" not in done.out.replace("\n", " ").split("Quality systems")[1]


def test_the_page_opens_without_network_and_names_the_head(place, tmp_path):
    file = tmp_path / "rules.html"
    assert run("audit", "rules", "--html", file, ledger=place).code == 0
    page = file.read_text(encoding="utf-8")
    for rule in RULES:
        assert rule.clause.split(" (")[0] in page
    assert "http://" not in page
    assert "https://" not in page
    assert "not checked against the original text" in page
    assert run("audit", "rules", "--html", tmp_path / "rules.txt", ledger=place).code == 2

"""A journal that is divided by ranges of entry numbers, as the guide says, goes on as before and stays append-only."""

import re

import psycopg
import pytest
from support_cases import CAUSE, shipped_file
from support_cli import run
from support_plant import LINE, Floor, n

from runout import copy_ledger
from tracelink.cli.guide import FOLDER
from tracelink.store.ledger import Ledger

QUESTIONS = (
    ("trace", n("L1"), "--format", "json"),
    ("contain", CAUSE, "--shape", "whole-life", "--totals", "--format", "json"),
    ("balance", n("L1"), "--format", "json"),
    ("audit", "verify", "--format", "json"),
)
RANGES = ("journal", "journal_1", "journal_2", "journal_pack", "journal_pack_1", "journal_pack_2")


@pytest.fixture(scope="module")
def divided(pg_running, tmp_path_factory):
    """A database whose second range begins with the next entry, and what was asked of it while it was whole."""
    place = pg_running.database()
    copy_ledger(shipped_file(tmp_path_factory.mktemp("plant")), place)
    before = [run(*question, ledger=place) for question in QUESTIONS]
    with asked(place) as conn:
        conn.execute(statements(conn.execute("SELECT max(seq) FROM journal").fetchone()[0]))
    assert run("upgrade", ledger=place).code == 0
    return place, before


def asked(place):
    return psycopg.connect(place.replace("+psycopg", ""), autocommit=True)


def statements(last):
    """Return what the guide says to do, with the ranges of a plant whose last entry has the number given."""
    page = (FOLDER / "database-server.md").read_text(encoding="utf-8")
    (block,) = re.findall(r"```sql\n(BEGIN;.*?)```", page, re.DOTALL)
    assert block.count("(6400001)") == 4, "the ranges of the guide are others now"
    return block.replace("6400001", str(last + 1)).replace("12800001", str(last + 1_000_001))


def test_it_answers_as_before_and_goes_on_in_the_next_range(divided):
    place, before = divided
    for question, old in zip(QUESTIONS, before, strict=True):
        now = run(*question, ledger=place)
        assert (now.code, now.out, now.err) == (old.code, old.out, old.err), question
    with Ledger.open(place) as ledger:
        Floor(ledger).scan(LINE, "P1")
    with asked(place) as conn:
        assert conn.execute("SELECT count(*) FROM journal_2").fetchone()[0] > 0
    assert run("audit", "verify", ledger=place).code == 0
    assert run("rebuild", ledger=place).code == 0
    assert run("audit", "verify", ledger=place).code == 0


@pytest.mark.parametrize("table", RANGES)
def test_no_range_is_edited_deleted_or_emptied(divided, table):
    place, _before = divided
    column = "packed" if "pack" in table else "stored"
    with asked(place) as conn:
        for statement in (
            f"UPDATE {table} SET {column} = {column}",
            f"DELETE FROM {table}",
            f"TRUNCATE {table} CASCADE",
        ):
            with pytest.raises(psycopg.Error, match="append-only"):
                conn.execute(statement)
    assert run("audit", "verify", ledger=place).code == 0


@pytest.mark.parametrize(
    ("table", "trigger"), [("journal_1", "journal_no_update"), ("journal_pack_2", "journal_pack_no_truncate")]
)
def test_a_guard_of_a_range_that_is_gone_is_told(divided, table, trigger):
    place, _before = divided
    with asked(place) as conn:
        conn.execute(f"ALTER TABLE {table} DISABLE TRIGGER {trigger}")
        found = run("audit", "verify", ledger=place)
        conn.execute(f"ALTER TABLE {table} ENABLE TRIGGER {trigger}")
    assert found.code == 3
    assert f"the trigger {trigger} of the schema is gone or switched off on {table}" in found.out + found.err

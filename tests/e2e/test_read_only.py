"""The auditor's way in: the connection itself refuses to write, and so does every command that would."""

import os

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError
from support_cli import run, station_log, write_plant_file
from support_ledgers import content, filled, new_plant
from support_plant import LAB, LINE, code, n, raw

from tracelink.errors import RefusedByRule
from tracelink.store.database.engine import open_engine
from tracelink.store.database.tables import SHADOW
from tracelink.store.database.tables_journal import journal as journal_table
from tracelink.store.database.tables_stations import spool
from tracelink.store.journal.keys import make_key
from tracelink.store.ledger import Ledger
from tracelink.store.only_reading import only_reading

WRITES = [
    "UPDATE lot SET decision = 'released'",
    "DELETE FROM hold",
    "INSERT INTO setting VALUES ('mine', 1, 'me')",
    "CREATE TABLE mine (x INTEGER)",
    "DROP TABLE finding",
    *(f"DELETE FROM {table.name}" for table in (journal_table, spool, *SHADOW)),
]


@pytest.fixture
def place(tmp_path):
    return filled(tmp_path / "plant.db", new_plant)


def refuses_all_writes(ledger):
    for statement in WRITES:
        with pytest.raises(DBAPIError, match=r"(?i)read-?only"), ledger._engine.begin() as conn:
            conn.execute(text(statement))
    with pytest.raises(DBAPIError, match=r"(?i)read-?only"), ledger._engine.begin() as conn:
        conn.execute(spool.delete())


def test_a_file_opened_to_be_read_cannot_be_written_by_any_statement(place):
    before = content(place)
    ledger = Ledger.open(str(place), read_only=True)
    refuses_all_writes(ledger)
    # Not even by somebody who takes the first guard away: the file itself is open for reading only.
    with ledger._engine.connect() as conn:
        conn.connection.driver_connection.execute("PRAGMA query_only=OFF")
        with pytest.raises(DBAPIError, match="readonly"):
            conn.execute(text("DELETE FROM hold"))
    ledger.close()
    assert content(place) == before


def test_a_database_opened_to_be_read_cannot_be_written_by_any_statement(pg_plant):
    ledger = Ledger.open(pg_plant.ledger.place, read_only=True)
    refuses_all_writes(ledger)
    assert ledger.verify().seq > 0
    ledger.close()


def test_a_ledger_opened_to_be_written_can_be(place):
    ledger = Ledger.open(str(place))
    with ledger._engine.begin() as conn:
        conn.execute(text("INSERT INTO setting VALUES ('mine', 1, 'me')"))
    ledger.close()


def test_no_writing_connection_is_made_in_an_auditors_session(place):
    with only_reading():
        with pytest.raises(RefusedByRule, match=r"--read-only"):
            Ledger.open(str(place))
        with pytest.raises(RefusedByRule):
            Ledger.create(str(place.with_name("new.db")))
        with pytest.raises(RefusedByRule):
            open_engine(Ledger.open(str(place), read_only=True)._engine.url.set(query={}))
    Ledger.open(str(place)).close()
    assert not place.with_name("new.db").exists()


def writing_commands(place, tmp_path):
    by = ("--by", code("P", 1))
    plan = write_plant_file(tmp_path / "more.toml", {"location": [{"code": code("Y", 9), "name": "rack 9"}]})
    log = station_log(tmp_path / "lab.jsonl", LAB, [raw("P1")])
    (tmp_path / "orders.csv").write_text("order,consignee,country,gtin,quantity\n", encoding="utf-8")
    return [
        ("init", "--plant", plan),
        ("plan", plan, *by),
        ("lab", "--station", LAB),
        ("replay", log),
        ("contain", n("C1"), "--shape", "whole-life", "--hold", *by, "--reason", "x"),
        ("investigate", "close", "3", *by, "--reason", "x"),
        ("allocate", n("O1"), *by),
        ("label", "issue", "carton", "--count", "2", *by),
        ("label", "count", n("B1"), "spoiled", "2", *by),
        ("upgrade",),
        ("rebuild",),
        ("restore", place),
    ]


@pytest.mark.parametrize("number", range(12))
def test_every_writing_command_is_refused(place, tmp_path, number):
    words = writing_commands(place, tmp_path)[number]
    before = content(place)
    ledger = tmp_path / "new.db" if words[0] in ("init", "restore") else place
    if words[0] == "init":
        words = ("init", "--plant", write_plant_file(tmp_path / "plant.toml"))
    refused = run("--read-only", *words, ledger=ledger)
    assert refused.code == 4, (words, refused)
    assert "--read-only" in refused.err
    assert refused.out == ""
    assert content(place) == before
    assert not (tmp_path / "new.db").exists()


@pytest.mark.parametrize(
    "words",
    [
        ("audit", "verify"),
        ("findings",),
        ("hold",),
        ("balance", n("B1")),
        ("investigate", "list"),
        ("label", "confusable"),
        ("trace", n("L1"), "--back"),
    ],
)
def test_reading_commands_answer_as_always(place, words):
    plain, reading = run(*words, ledger=place), run("--read-only", *words, ledger=place)
    assert (reading.code, reading.out) == (plain.code, plain.out)
    assert reading.code in (0, 1)


def test_an_auditor_may_take_a_verified_copy(place, tmp_path):
    made = run("--read-only", "backup", tmp_path / "copy.db", ledger=place)
    assert made.code == 0, made.err
    assert run("audit", "verify", ledger=tmp_path / "copy.db").code == 0


def test_the_environment_does_the_same(place, monkeypatch):
    monkeypatch.setitem(os.environ, "RUNOUT_READ_ONLY", "1")
    assert run("rebuild", ledger=place).code == 4


SIGNS = [
    ["audit", "checkpoint"],
    ["audit", "key", "--make", "--key", "new.key"],
    ["audit", "export", code("L", 1), "--out", "b.zip"],
    ["station-key", "make", LINE, "--key", "new.key"],
]


@pytest.mark.parametrize("words", SIGNS, ids=lambda words: "-".join(words[:2]))
def test_nothing_is_signed_and_no_key_made_in_an_auditors_session(place, words, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    make_key(place.with_name("plant.db.key"), "plant/journal")
    before = sorted(one.name for one in tmp_path.glob("*[!ml]"))
    done = run("--read-only", *words, ledger=place)
    assert (done.code, done.out) == (4, ""), done.err
    assert "--read-only" in done.err
    # SQLite has its own two files, -shm and -wal, while anybody reads.
    assert sorted(one.name for one in tmp_path.glob("*[!ml]")) == before


def test_a_witness_signs_nothing_in_an_auditors_session(place, tmp_path):
    key, witness = place.with_name("plant.db.key"), tmp_path / "witness.key"
    signer = str(make_key(key, "plant/journal"))
    make_key(witness, "witness")
    note = tmp_path / "note.txt"
    assert run("audit", "checkpoint", "--out", note, ledger=place).code == 0
    before = note.read_bytes()
    words = ("audit", "witness", note, "--key", witness, "--log", signer)
    assert run("--read-only", *words, ledger=place).code == 4
    assert note.read_bytes() == before
    assert run(*words, ledger=place).code == 0


def test_the_public_half_of_a_key_is_shown_in_an_auditors_session(place):
    signer = str(make_key(place.with_name("plant.db.key"), "plant/journal"))
    assert run("--read-only", "audit", "key", ledger=place).out.strip() == signer

"""The logins of the guide on a database server: the auditor's may only read, the stations' cannot touch the truth."""

import re

import psycopg
import pytest
from support_cli import run
from support_ledgers import filled, packing_line
from support_plant import LINE, Floor, n, raw

from runout import copy_ledger
from tracelink.cli.guide import FOLDER
from tracelink.errors import RefusedByRule, StorageFailed
from tracelink.store.database.tables import TABLES
from tracelink.store.ledger import Ledger

BLOCKS = re.findall(
    r"```sql\n(.*?)```", (FOLDER / "database-server.md").read_text(encoding="utf-8"), re.DOTALL
)
TRUTH = ("journal", "journal_pack", "tree_node", "scan_signature")


@pytest.fixture(scope="module")
def server(pg_running, tmp_path_factory):
    """A function that gives the URL for a login, after all that the guide says was done."""
    administrator, owner = ([one for one in block.split(";\n") if one.strip()] for block in BLOCKS[:2])
    with psycopg.connect(f"{pg_running.url.replace('+psycopg', '')}/postgres", autocommit=True) as conn:
        for statement in administrator:
            conn.execute(statement)

    def url(login):
        return f"{pg_running.url.replace('app@', f'{login}@')}/plant"

    copy_ledger(filled(tmp_path_factory.mktemp("logins") / "plant.db", packing_line), url("plant"))
    with asked(url("plant")) as conn:
        for statement in owner:
            conn.execute(statement)
    yield url
    with psycopg.connect(f"{pg_running.url.replace('+psycopg', '')}/postgres", autocommit=True) as conn:
        conn.execute("DROP DATABASE plant WITH (FORCE)")
        for login in ("plant", "stations", "auditor"):
            conn.execute(f"DROP ROLE {login}")


def asked(url):
    return psycopg.connect(url.replace("+psycopg", ""), autocommit=True)


def denied(conn, statement):
    """Return why a statement may not be carried out."""
    with pytest.raises(psycopg.Error) as problem:
        conn.execute(statement)
    return str(problem.value).splitlines()[0]


def refused(url, statement):
    """Return why a login may not carry out a statement."""
    with asked(url) as conn:
        return denied(conn, statement)


def test_the_auditor_reads_everything_and_writes_nothing(server):
    for words in (("audit", "verify"), ("trace", n("L1")), ("findings",), ("board", "--once")):
        for more in ((), ("--read-only",)):
            answered = run(*more, *words, ledger=server("auditor"))
            assert (answered.code, answered.err) == (0, ""), words
    writes = [
        f"{how} {name}{more}"
        for name in TABLES
        for how, more in (("DELETE FROM", ""), ("TRUNCATE", ""), ("INSERT INTO", " DEFAULT VALUES"))
    ]
    with asked(server("auditor")) as conn:
        assert {denied(conn, one).partition(" in a ")[2] for one in writes} == {"read-only transaction"}
        # The login's own setting is a help; what it may do is another matter.
        conn.execute("SET default_transaction_read_only = off")
        assert {denied(conn, one).partition(" for ")[0] for one in writes} == {"permission denied"}


def test_an_auditor_who_scans_is_told(server):
    with Ledger.open(server("auditor")) as ledger, pytest.raises(StorageFailed, match="may not"):
        ledger.scan(LINE, raw("CLOSE"), "2031-03-03T09:00:00+01:00")
    assert run("rebuild", ledger=server("auditor")).code == 4


def test_stations_work_and_cannot_touch_the_truth(server):
    with Ledger.open(server("stations")) as ledger:
        floor = Floor(ledger)
        assert floor.match(1).count == "4 of 5 in carton"
        assert floor.scan(LINE, "CLOSE").word.value == "DONE"
    assert run("audit", "verify", ledger=server("stations")).code == 0
    for name in TRUTH:
        for statement in (
            f"UPDATE {name} SET {TABLES[name].columns.keys()[-1]} = NULL",
            f"DELETE FROM {name}",
            f"TRUNCATE {name}",
        ):
            assert refused(server("stations"), statement) == f"permission denied for table {name}"
        assert (
            refused(server("stations"), f"ALTER TABLE {name} DISABLE TRIGGER ALL")
            == f"must be owner of table {name}"
        )
    assert "must be owner" in refused(server("stations"), "DROP TRIGGER journal_no_update ON journal")
    assert "must be owner" in refused(server("stations"), "DROP FUNCTION journal_no_update() CASCADE")
    assert "permission denied for schema" in refused(server("stations"), "CREATE TABLE mine (x int)")
    made_anew = run("rebuild", ledger=server("stations"))
    assert made_anew.code == 4
    assert "may not do this: nothing was booked (permission denied for table" in made_anew.err


@pytest.mark.parametrize("table", ["journal", "journal_pack", "scan_signature"])
def test_the_owner_empties_nothing_by_mistake(server, table):
    with Ledger.open(server("plant")) as ledger:
        with pytest.raises(RefusedByRule, match="append-only"), ledger.transaction() as conn:
            conn.exec_driver_sql(f"TRUNCATE {table} CASCADE")
        ledger.verify()


_CHANGED = """
ALTER FUNCTION journal_no_update() RENAME TO kept;
CREATE FUNCTION journal_no_update() RETURNS trigger LANGUAGE plpgsql AS $$ BEGIN RETURN NEW; END $$;
DROP TRIGGER journal_no_update ON journal;
CREATE TRIGGER journal_no_update BEFORE UPDATE ON journal FOR EACH ROW EXECUTE FUNCTION journal_no_update()
"""
_CHANGED_BACK = """
DROP FUNCTION journal_no_update() CASCADE;
ALTER FUNCTION kept() RENAME TO journal_no_update;
CREATE TRIGGER journal_no_update BEFORE UPDATE ON journal FOR EACH ROW EXECUTE FUNCTION journal_no_update()
"""
_DROPPED_BACK = """
CREATE TRIGGER scan_signature_no_delete BEFORE DELETE ON scan_signature
    FOR EACH ROW EXECUTE FUNCTION scan_signature_no_delete()
"""


@pytest.mark.parametrize(
    ("away", "back", "told"),
    [
        (
            "ALTER TABLE journal DISABLE TRIGGER journal_no_truncate",
            "ALTER TABLE journal ENABLE TRIGGER journal_no_truncate",
            "the trigger journal_no_truncate of the schema is gone or switched off",
        ),
        (
            "DROP TRIGGER scan_signature_no_delete ON scan_signature",
            _DROPPED_BACK,
            "the trigger scan_signature_no_delete of the schema is gone or switched off",
        ),
        (_CHANGED, _CHANGED_BACK, "the trigger journal_no_update of the schema was changed"),
        (
            "ALTER TABLE stock DROP CONSTRAINT ck_stock_place_not_negative",
            "ALTER TABLE stock ADD CONSTRAINT ck_stock_place_not_negative CHECK (quantity >= 0)",
            "the constraint or index ck_stock_place_not_negative of table stock is gone",
        ),
    ],
    ids=["switched off", "dropped", "another function", "constraint"],
)
def test_what_the_owner_takes_away_is_told(server, away, back, told):
    with asked(server("plant")) as conn:
        conn.execute(away)
    found = run("audit", "verify", ledger=server("auditor"))
    with asked(server("plant")) as conn:
        conn.execute(back)
    assert found.code == 3
    assert told in found.out + found.err
    assert run("audit", "verify", ledger=server("auditor")).code == 0


def test_a_guard_that_is_gone_comes_back_with_an_upgrade(server):
    with asked(server("plant")) as conn:
        conn.execute("DROP TRIGGER journal_no_truncate ON journal")
    assert run("audit", "verify", ledger=server("auditor")).code == 3
    assert run("upgrade", ledger=server("plant")).code == 0
    assert run("audit", "verify", ledger=server("auditor")).code == 0

"""Migration 0044 on a server: entries in the form before are rewritten, the guards of the journal stand again, nestings are found."""

import pytest
from sqlalchemy import text
from sqlalchemy.exc import DBAPIError
from support_cli import run
from support_older_form import older_form
from support_plant import TOOL

from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.journal import journal

GUARD = "ALTER TABLE journal {} TRIGGER USER"


def test_a_ledger_on_a_server_is_rewritten(pg_plant):
    pg_plant.scan(TOOL, '"größer')
    with pg_plant.ledger.reading() as conn:
        before = list(journal.rows(conn))
        stored = conn.execute(text("SELECT seq, stored FROM journal ORDER BY seq")).all()
    place = pg_plant.ledger.place
    engine = open_engine(ledger_url(place))
    with engine.begin() as conn:
        conn.execute(text(GUARD.format("DISABLE")))
        for row in before:
            values = {"seq": row.seq, "stored": older_form(row.canonical)}
            conn.execute(text("UPDATE journal SET stored = :stored WHERE seq = :seq"), values)
        conn.execute(text(GUARD.format("ENABLE")))
        conn.execute(text("DROP INDEX ix_nesting_parent_opened_seq"))
        conn.execute(text("CREATE INDEX ix_nesting_parent ON nesting (parent)"))
        conn.execute(text("UPDATE alembic_version SET version_num = '0043'"))
    done = run("upgrade", ledger=place)
    assert done.code == 0, done.err
    with engine.connect() as conn:
        assert conn.execute(text("SELECT seq, stored FROM journal ORDER BY seq")).all() == stored
        assert [row.canonical for row in journal.rows(conn)] == [row.canonical for row in before]
        with pytest.raises(DBAPIError, match="append-only"):
            conn.execute(text("UPDATE journal SET kind = 'other' WHERE seq = 1"))
    engine.dispose()
    verified = run("audit", "verify", ledger=place)
    assert (verified.code, "Differences: 0" in verified.out) == (0, True), verified.err

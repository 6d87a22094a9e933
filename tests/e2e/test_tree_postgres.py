"""The tree of a ledger on PostgreSQL that is older than the tree: filled by the migration."""

import hashlib

from alembic import command
from alembic.config import Config
from sqlalchemy import select, text

from tracelink.datadir import data_dir
from tracelink.ledger.proof import merkle
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.schema import upgrade
from tracelink.store.database.tables_journal import tree_node


def test_an_older_ledger_gets_the_tree_of_its_entries(pg_place):
    engine = open_engine(ledger_url(pg_place))
    config = Config()
    config.set_main_option("script_location", str(data_dir("migrations")))
    config.set_main_option("path_separator", "os")
    leaves = [hashlib.sha256(b"%d" % n).digest() for n in range(600)]
    with engine.begin() as conn:
        config.attributes["connection"] = conn
        command.upgrade(config, "0005")
        conn.execute(
            text("INSERT INTO journal (seq, hash, kind, canonical) VALUES (:seq, :hash, 'x', ''::bytea)"),
            [{"seq": n, "hash": one.hex()} for n, one in enumerate(leaves, 1)],
        )
    # The migrations alone: what stands in these entries could not be replayed.
    upgrade(engine)
    with engine.connect() as conn:
        stored = {(row.level, row.position): bytes(row.hash) for row in conn.execute(select(tree_node))}
    engine.dispose()
    at = merkle.Leaves(leaves)
    assert stored == {
        (level, place): at.subtree(level, place) for level in (4, 8) for place in range(600 >> level)
    }

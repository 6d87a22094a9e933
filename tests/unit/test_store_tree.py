"""The stored tree: grown with the journal, the same after a rebuild, and read by proofs in a few rows."""

import hashlib

import pytest
from sqlalchemy import insert, select, text
from support_merkle import verify_consistency
from support_plant import TOOL, Floor
from support_schema import empty_ledger

from tracelink.errors import JournalError, UsageError
from tracelink.ledger.proof import merkle, merkle_proofs
from tracelink.store.database.tables_journal import journal, tree_node
from tracelink.store.journal import rebuild, subtrees
from tracelink.store.journal.journal import head
from tracelink.store.statements.short_writes import write


@pytest.fixture
def floor():
    """More than 256 entries, so that two levels are stored; refused scans are entries as well."""
    made = Floor.copy()
    made.press(1)
    made.scan(TOOL, *["no code"] * 110)
    return made


def stored(conn):
    return {(row.level, row.position): bytes(row.hash) for row in conn.execute(select(tree_node))}


def expected(leaves):
    at = merkle.Leaves(leaves)
    return {
        (level, place): at.subtree(level, place)
        for level in range(4, 32, 4)
        for place in range(len(leaves) >> level)
    }


def synthetic(entries):
    """A ledger whose journal is only hashes, and whose tree was filled from them."""
    engine = empty_ledger()
    conn = engine.connect()
    conn.begin()
    hashes = [hashlib.sha256(b"%d" % n).digest() for n in range(entries)]
    rows = [{"seq": n, "hash": digest, "kind": "x", "stored": b""} for n, digest in enumerate(hashes, 1)]
    conn.execute(insert(journal), rows)
    subtrees.rebuild_tree(conn)
    return conn, hashes


def test_every_entry_lets_the_tree_grow(floor):
    with floor.ledger.reading() as conn:
        leaves = list(subtrees.leaves(conn))
        assert len(leaves) == head(conn).seq > 256
        assert stored(conn) == expected(leaves)
        for size in (0, 1, 15, 16, 17, 255, 256, len(leaves)):
            assert subtrees.root(conn, size) == merkle.root(merkle.Leaves(leaves), size)


def test_a_rebuild_makes_the_tree_anew(floor):
    with floor.ledger.transaction() as conn:
        before = stored(conn)
        conn.execute(text("DELETE FROM tree_node WHERE position = 3"))
        conn.execute(text("UPDATE tree_node SET hash = :zeros WHERE position = 1"), {"zeros": bytes(32)})
        rebuild.rebuild(conn)
        assert stored(conn) == before


@pytest.mark.parametrize("size", [1, 16, 17, 255, 256, 4095, 4096, 4097, 9000])
def test_proofs_of_a_stored_tree(size):
    conn, leaves = synthetic(9000)
    at = merkle.Leaves(leaves)
    root = merkle.root(at, size)
    assert subtrees.root(conn, size) == root
    for seq in sorted({1, 2, 16, 17, 256, 4096, size // 2, size - 1, size} & set(range(1, size + 1))):
        proof = subtrees.inclusion(conn, seq, size)
        assert proof == merkle.inclusion(at, seq - 1, size)
        merkle_proofs.verify_inclusion(leaves[seq - 1], seq - 1, size, root, proof)
        early = subtrees.consistency(conn, seq, size)
        verify_consistency(seq, size, subtrees.root(conn, seq), root, early)
    assert subtrees.consistency(conn, 0, size) == ()
    conn.close()


def test_a_proof_reads_few_rows():
    """As many as the tree is high, not as many as it has leaves."""
    conn, leaves = synthetic(9000)
    asked = []
    original = subtrees.StoredTree.hashes

    def counting(self, level, first, count):
        asked.append(count)
        return original(self, level, first, count)

    subtrees.StoredTree.hashes = counting
    try:
        for seq in (1, 4097, 8999):
            asked.clear()
            subtrees.inclusion(conn, seq, 9000)
            height = (len(leaves) - 1).bit_length()
            assert len(asked) <= 2 * height
            assert sum(asked) <= 8 * 2 * height
    finally:
        subtrees.StoredTree.hashes = original
    conn.close()


def test_appending_writes_no_more_as_the_journal_grows(floor, monkeypatch):
    """One row for 16 entries and one more for 256: never more than one for each level."""
    written = []

    def counting(conn, statement, values):
        written.append(values["level"])
        return write(conn, statement, values)

    monkeypatch.setattr(subtrees, "write", counting)
    before = floor.ledger.head().seq
    floor.press(2)
    after = floor.ledger.head().seq
    assert len(written) == after // 16 - before // 16 + after // 256 - before // 256 > 0


def test_what_is_not_there_is_said(floor):
    with floor.ledger.reading() as conn:
        entries = head(conn).seq
        with pytest.raises(UsageError, match=f"the ledger has {entries} entries: there is no tree of 9999"):
            subtrees.root(conn, 9999)
        with pytest.raises(UsageError, match="entry 0 is not among the first 5 entries"):
            subtrees.inclusion(conn, 0, 5)
        with pytest.raises(UsageError, match="entry 6 is not among the first 5 entries"):
            subtrees.inclusion(conn, 6, 5)
        with pytest.raises(UsageError, match="the first 5 entries cannot begin with 6 entries"):
            subtrees.consistency(conn, 6, 5)


def test_a_hole_in_the_tree_is_said_where_a_proof_meets_it(floor):
    with floor.ledger.transaction() as conn:
        conn.execute(text("DELETE FROM tree_node WHERE level = 4 AND position = 2"))
        with pytest.raises(
            JournalError, match="the stored tree over entries 33 to 48 has 0 hashes of level 4"
        ):
            subtrees.inclusion(conn, 49, 64)


def test_a_hash_is_hexadecimal():
    with pytest.raises(JournalError, match="holds 'none' where the hash of an entry should be"):
        subtrees.leaf("none")

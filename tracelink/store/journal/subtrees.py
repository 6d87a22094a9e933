"""The Merkle tree of a ledger: grown with every entry, read for proofs.

Theory of operation
-------------------
Leaves are the hashes in the journal. Of the subtrees above them those of every fourth level are stored, each
once it is complete and never again: appending writes a row for every 16th entry, another for every 256th, and
so on, in the transaction of the entry. Any other complete subtree is folded from at most 8 rows of the level
below, so a proof in a tree of a hundred million entries reads some 60 short ranges and hashes a few hundred
times. What is stored says nothing that the journal does not: `rebuild` makes it anew, and `audit verify`
compares it with the journal.
"""

from collections.abc import Iterator

from sqlalchemy import Connection, bindparam, func, insert, select

from tracelink.errors import JournalError, UsageError
from tracelink.ledger.proof import merkle
from tracelink.ledger.proof.merkle import STORED_STEP, Frontier
from tracelink.store.database.tables_journal import journal, tree_node
from tracelink.store.statements import short_reads
from tracelink.store.statements.short_writes import write

_FAN = 1 << STORED_STEP
_CHUNK = 4096

_LEAVES = (
    select(journal.c.hash)
    .where(journal.c.seq > bindparam("first"), journal.c.seq <= bindparam("last"))
    .order_by(journal.c.seq)
)
_NODES = (
    select(tree_node.c.hash)
    .where(
        tree_node.c.level == bindparam("level"),
        tree_node.c.position >= bindparam("first"),
        tree_node.c.position < bindparam("last"),
    )
    .order_by(tree_node.c.position)
)
_INSERT = insert(tree_node)
_ENTRIES = select(func.coalesce(func.max(journal.c.seq), 0))


class StoredTree:
    """The complete subtrees of the ledger behind a connection."""

    def __init__(self, conn: Connection) -> None:
        """Args: conn: inside a transaction, so that the tree stays as it is."""
        self._conn = conn

    def subtree(self, level: int, position: int) -> bytes:
        """Return the hash of a complete subtree.

        Raises:
            JournalError: the stored tree lacks a part of it.
        """
        above = level % STORED_STEP
        return merkle.fold(self.hashes(level - above, position << above, 1 << above))

    def hashes(self, level: int, first: int, count: int) -> list[bytes]:
        """Return `count` hashes of neighbours on a level that is stored, from position `first` on.

        Raises:
            JournalError: some are not there.
        """
        if level == 0:
            rows = short_reads.rows(self._conn, _LEAVES, {"first": first, "last": first + count})
            found = [bytes(row.hash) for row in rows]
        else:
            values = {"level": level, "first": first, "last": first + count}
            found = [bytes(row.hash) for row in short_reads.rows(self._conn, _NODES, values)]
        if len(found) != count:
            last = (first + count) << level
            raise JournalError(
                f"the stored tree over entries {(first << level) + 1} to {last} has {len(found)} hashes of level "
                f"{level}, expected {count}: `runout audit verify` says what is wrong"
            )
        return found


def grow(conn: Connection, size: int) -> None:
    """Store the subtrees that became complete with the last entry, in the transaction of `conn`.

    Args:
        conn: a connection inside the write transaction that appended the entry.
        size: number of entries, that one included.
    """
    tree, level, position = StoredTree(conn), 0, size
    while position % _FAN == 0:
        level, position = level + STORED_STEP, position // _FAN
        below = tree.hashes(level - STORED_STEP, (position - 1) * _FAN, _FAN)
        write(conn, _INSERT, {"level": level, "position": position - 1, "hash": merkle.fold(below)})


def root(conn: Connection, size: int) -> bytes:
    """Return the root over the first `size` entries, 32 bytes.

    Raises:
        UsageError: the ledger has fewer entries.
    """
    _require_size(conn, size)
    return merkle.root(StoredTree(conn), size)


def inclusion(conn: Connection, seq: int, size: int) -> tuple[bytes, ...]:
    """Return the proof that entry `seq` (counted from 1) is among the first `size` entries.

    Check it with `merkle_proofs.verify_inclusion(leaf, seq - 1, size, root, proof)`; the leaf is the entry's hash.

    Raises:
        UsageError: the ledger has no such entry, or fewer entries than `size`.
    """
    _require_size(conn, size)
    if not 1 <= seq <= size:
        raise UsageError(f"entry {seq} is not among the first {size} entries")
    return merkle.inclusion(StoredTree(conn), seq - 1, size)


def consistency(conn: Connection, old: int, new: int) -> tuple[bytes, ...]:
    """Return the proof that the first `new` entries begin with the first `old` ones.

    Raises:
        UsageError: the ledger has fewer entries than `new`, or `old` is the larger.
    """
    _require_size(conn, new)
    if not 0 <= old <= new:
        raise UsageError(f"the first {new} entries cannot begin with {old} entries")
    return merkle.consistency(StoredTree(conn), old, new)


def rebuild_tree(conn: Connection) -> None:
    """Make the stored tree anew from the hashes in the journal, in the transaction of `conn`."""
    conn.execute(tree_node.delete())
    waiting: list[dict[str, object]] = []

    def completed(level: int, position: int, digest: bytes) -> None:
        waiting.append({"level": level, "position": position, "hash": digest})

    tree = Frontier(completed=completed)
    for leaf in leaves(conn):
        tree.add(leaf)
        if len(waiting) >= _CHUNK:
            conn.execute(_INSERT, waiting)
            waiting.clear()
    if waiting:
        conn.execute(_INSERT, waiting)


def leaves(conn: Connection) -> Iterator[bytes]:
    """Yield the hashes of all entries, in order."""
    after = 0
    while True:
        chunk = short_reads.rows(conn, _LEAVES, {"first": after, "last": after + _CHUNK})
        yield from (bytes(row.hash) for row in chunk)
        if len(chunk) < _CHUNK:
            return
        after += _CHUNK


def leaf(text: str) -> bytes:
    """Return the hash of an entry, 64 hexadecimal digits, as 32 bytes.

    Raises:
        JournalError: the text is not hexadecimal.
    """
    try:
        return bytes.fromhex(text)
    except ValueError:
        raise JournalError(f"the journal holds {text!r} where the hash of an entry should be") from None


def _require_size(conn: Connection, size: int) -> None:
    found = conn.execute(_ENTRIES).scalar_one()
    if not 0 <= size <= found:
        raise UsageError(f"the ledger has {found} entries: there is no tree of {size}")

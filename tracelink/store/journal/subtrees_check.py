"""Comparing the stored tree with the one that grows while the journal is read, level by level."""

from collections.abc import Iterator

from sqlalchemy import Connection, func, select

from tracelink.ledger.proof.merkle import STORED_STEP
from tracelink.store.database.tables_journal import tree_node

_AT_A_TIME = 1000
_MOST = 20
"""So many places are named; a journal written anew differs in all that follow."""


class StoredNodes:
    """Told of each subtree as it is completed; remembers where the stored one is another."""

    def __init__(self, conn: Connection) -> None:
        """Args: conn: a connection that sees one consistent state."""
        self._conn = conn
        self._levels: dict[int, Iterator[tuple[int, bytes]]] = {}
        self._next: dict[int, tuple[int, bytes] | None] = {}
        self._wrong: list[str] = []
        self._count = 0

    def completed(self, level: int, position: int, digest: bytes) -> None:
        """Compare one subtree; positions of a level come in order."""
        if level not in self._levels:
            self._levels[level] = self._rows(level)
            self._next[level] = next(self._levels[level], None)
        stored = self._next[level]
        while stored is not None and stored[0] < position:
            self._tell(level, stored[0], f"has a hash at position {stored[0]} that belongs nowhere")
            stored = next(self._levels[level], None)
        if stored is None or stored[0] > position:
            self._tell(level, position, f"lacks the hash {digest.hex()[:16]}...")
        else:
            if stored[1] != digest:
                self._tell(
                    level, position, f"is {stored[1].hex()[:16]}..., the entries give {digest.hex()[:16]}..."
                )
            stored = next(self._levels[level], None)
        self._next[level] = stored

    def sentences(self, size: int | None) -> list[str]:
        """Return what is wrong with the stored tree.

        Args:
            size: number of entries, beyond which nothing may be stored; None if it did not grow to its end.
        """
        if size is not None:
            self._look_beyond(size)
        more = self._count - len(self._wrong)
        return self._wrong + ([f"the stored tree: {more} more places differ"] if more else [])

    def _look_beyond(self, size: int) -> None:
        highest = self._conn.execute(select(func.max(tree_node.c.level))).scalar() or 0
        for level in sorted({*self._levels, *range(STORED_STEP, highest + 1, STORED_STEP)}):
            if level not in self._levels:
                self._next[level] = next(self._rows(level), None)
            left = self._next[level]
            if left is not None:
                self._tell(level, left[0], f"goes on after entry {size}")
        odd = select(tree_node.c.level).where(tree_node.c.level % STORED_STEP != 0).limit(1)
        if (level := self._conn.execute(odd).scalar()) is not None:
            self._tell(level, 0, "is of a level that is not stored")

    def _tell(self, level: int, position: int, what: str) -> None:
        self._count += 1
        if len(self._wrong) < _MOST:
            first, last = (position << level) + 1, (position + 1) << level
            self._wrong.append(f"the stored tree over entries {first} to {last} {what}")

    def _rows(self, level: int) -> Iterator[tuple[int, bytes]]:
        query = (
            select(tree_node.c.position, tree_node.c.hash)
            .where(tree_node.c.level == level)
            .order_by(tree_node.c.position)
        )
        for row in self._conn.execute(query, execution_options={"yield_per": _AT_A_TIME}):
            yield row.position, bytes(row.hash)

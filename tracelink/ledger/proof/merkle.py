"""The Merkle tree over the journal: roots, proofs that an entry is in it, proofs that it only ever grew.

Theory of operation
-------------------
Leaf i (counted from 0) is the hash of entry i + 1, which is an RFC 6962 leaf hash already. A subtree of
level l at position p covers the leaves p * 2^l up to (p + 1) * 2^l - 1; once all of them are there, its hash
never changes. A tree of any size is a handful of such complete subtrees, largest first, one for each bit of
its size, so everything below asks for complete subtrees only. Where they come from (a list of leaves, a
stored table) is the affair of whoever implements `Subtrees`; a proof asks for fewer than 4 * log2(size).

Source: RFC 6962 section 2.1 (hashes, proofs). `merkle_proofs.py` checks proofs.
"""

import hashlib
from collections.abc import Callable, Iterable, Sequence
from typing import Final, Protocol

from tracelink.errors import ProofFails

NODE_DOMAIN: Final = b"\x01"

EMPTY_ROOT: Final = hashlib.sha256().digest()
"""Root of a tree without leaves."""

STORED_STEP: Final = 4
"""Subtrees are kept for every fourth level: one row for 16 entries, one more for 256, and so on."""


class Subtrees(Protocol):
    """Answers what the hash of a complete subtree is."""

    def subtree(self, level: int, position: int) -> bytes:
        """Return the hash of the subtree of `level` at `position`, 32 bytes; level 0 is a leaf."""
        ...


Completed = Callable[[int, int, bytes], None]
"""Called with level, position and hash of a subtree that has all its leaves now."""


def node_hash(left: bytes, right: bytes) -> bytes:
    """Return the hash of a node above two hashes of 32 bytes."""
    return hashlib.sha256(NODE_DOMAIN + left + right).digest()


def fold(hashes: Sequence[bytes]) -> bytes:
    """Return the hash of the complete subtree above 1, 2, 4, 8, ... hashes of one level."""
    while len(hashes) > 1:
        hashes = [node_hash(left, right) for left, right in zip(hashes[::2], hashes[1::2], strict=True)]
    return hashes[0]


class Leaves:
    """The subtrees of a tree whose leaves are all at hand, for small trees."""

    def __init__(self, leaves: Iterable[bytes]) -> None:
        """Args: leaves: hashes of 32 bytes, in order."""
        self._leaves = list(leaves)

    def subtree(self, level: int, position: int) -> bytes:
        """Return the hash of a complete subtree."""
        return fold(self._leaves[position << level : (position + 1) << level])


def root(tree: Subtrees, size: int) -> bytes:
    """Return the root over the first `size` leaves; 32 bytes.

    Source:
        RFC 6962 section 2.1.
    """
    return _span(tree, 0, size) if size else EMPTY_ROOT


def inclusion(tree: Subtrees, index: int, size: int) -> tuple[bytes, ...]:
    """Return the proof that a leaf is in the tree over the first `size` leaves.

    Args:
        tree: holds at least `size` leaves.
        index: of the leaf, 0 up to size - 1.
        size: of the tree to prove it in.

    Returns:
        The hashes beside the way from the leaf up to the root, lowest first.

    Source:
        RFC 6962 section 2.1.1.
    """
    if not 0 <= index < size:
        raise ProofFails(f"a tree of {size} entries has no leaf {index}: they are counted from 0")
    path: list[bytes] = []
    first, last = 0, size
    while last - first > 1:
        middle = first + _split(last - first)
        if index < middle:
            path.append(_span(tree, middle, last))
            last = middle
        else:
            path.append(_span(tree, first, middle))
            first = middle
    return tuple(reversed(path))


def consistency(tree: Subtrees, old: int, new: int) -> tuple[bytes, ...]:
    """Return the proof that the tree of `new` leaves begins with the tree of `old` leaves.

    Args:
        tree: holds at least `new` leaves.
        old: size of the earlier tree; every tree begins with the empty one, which needs no proof.
        new: size of the later tree.

    Source:
        RFC 6962 section 2.1.2.
    """
    if not 0 <= old <= new:
        raise ProofFails(f"a tree of {new} entries cannot begin with one of {old}")
    if old == 0:
        return ()
    path: list[bytes] = []
    first, last = 0, new
    while last != old:
        middle = first + _split(last - first)
        if old <= middle:
            path.append(_span(tree, middle, last))
            last = middle
        else:
            path.append(_span(tree, first, middle))
            first = middle
    if first:
        # Whoever checks knows the old root, but not the hash of this part of it.
        path.append(_span(tree, first, last))
    return tuple(reversed(path))


class Frontier:
    """The complete subtrees that a tree of some size is made of: all that is needed to let it grow."""

    def __init__(
        self, size: int = 0, peaks: Iterable[bytes] = (), completed: Completed | None = None
    ) -> None:
        """Go on from a tree of `size` leaves.

        Args:
            size: number of leaves so far.
            peaks: hashes of its complete subtrees, largest first.
            completed: told of each complete subtree of a level that is stored, lowest level first.
        """
        self.size = size
        self._peaks = list(peaks)
        self._completed = completed
        assert len(self._peaks) == size.bit_count(), "one peak for each bit of the size"

    @classmethod
    def of(cls, tree: Subtrees, size: int, completed: Completed | None = None) -> "Frontier":
        """Return the frontier of a tree that is at hand."""
        return cls(size, [tree.subtree(level, place) for level, place in peaks(size)], completed)

    def add(self, leaf: bytes) -> None:
        """Let the tree grow by one leaf, given as its hash of 32 bytes."""
        self.size = size = self.size + 1
        # One carry for each trailing zero bit, as when counting in binary.
        level = 0
        while not size & 1:
            leaf = node_hash(self._peaks.pop(), leaf)
            size >>= 1
            level += 1
            if level % STORED_STEP == 0 and self._completed is not None:
                self._completed(level, size - 1, leaf)
        self._peaks.append(leaf)

    def root(self) -> bytes:
        """Return the root of the tree as it is now, 32 bytes."""
        if not self._peaks:
            return EMPTY_ROOT
        found = self._peaks[-1]
        for peak in reversed(self._peaks[:-1]):
            found = node_hash(peak, found)
        return found


def peaks(size: int) -> list[tuple[int, int]]:
    """Return level and position of each complete subtree of a tree of `size` leaves, largest first."""
    found = []
    start = 0
    for level in reversed(range(size.bit_length())):
        if size >> level & 1:
            found.append((level, start >> level))
            start += 1 << level
    return found


def _split(leaves: int) -> int:
    """Return the largest power of two smaller than a number of leaves (2 or more)."""
    return 1 << (leaves - 1).bit_length() - 1


def _span(tree: Subtrees, first: int, last: int) -> bytes:
    """Return the hash over the leaves from `first` up to before `last`.

    `first` is a multiple of the smallest power of two that holds them, as every part of an RFC 6962 tree is.
    """
    leaves = last - first
    if leaves & (leaves - 1) == 0:
        level = leaves.bit_length() - 1
        return tree.subtree(level, first >> level)
    middle = first + _split(leaves)
    return node_hash(_span(tree, first, middle), _span(tree, middle, last))

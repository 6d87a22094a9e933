"""What was kept outside the ledger: heads and checkpoints, compared with the journal as it is read.

A chain or a tree that somebody computed anew agrees with itself. Only what was handed out before can show it,
and the more of it there is, the closer it says where the two histories part.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class KeptHead:
    """One thing that was kept: the first `size` entries had this root, or ended with this hash."""

    name: str
    """What it is called in a sentence, such as its file."""
    size: int
    """Number of entries."""
    root: bytes | None = None
    """Root of the Merkle tree over them, 32 bytes."""
    head: str | None = None
    """Hash of the last of them, hexadecimal."""

    def agrees(self, root: bytes, head: str) -> bool:
        """Tell whether the first `size` entries are those that it was made of."""
        return self.root in (None, root) and self.head in (None, head)


class Comparing:
    """Compares kept things with a journal while its entries are counted up."""

    def __init__(self, kept: Iterable[KeptHead]) -> None:
        """Args: kept: in any order."""
        self._waiting = sorted(kept, key=lambda one: -one.size)
        self.agreeing: list[KeptHead] = []
        self.differing: list[KeptHead] = []

    def reached(self, size: int, root: Callable[[], bytes], head: str) -> None:
        """Compare what was kept of this size; to be called for 0 and every size after it.

        Args:
            size: number of entries.
            root: gives the root over them; asked only if something was kept of this size.
            head: hash of the last of them.
        """
        while self._waiting and self._waiting[-1].size <= size:
            one = self._waiting.pop()
            (self.agreeing if one.agrees(root(), head) else self.differing).append(one)

    def sentences(self, entries: int) -> Iterator[str]:
        """Yield how the journal departs from what was kept.

        Args:
            entries: number of entries in the journal.
        """
        for one in self.differing:
            yield f"{one.name}: {self._parting(one)}"
        for one in reversed(self._waiting):
            if one.size > entries:
                yield (
                    f"{one.name}: it was made of {one.size} entries, but the journal has no entry {one.size}, only "
                    f"{entries}: its tail was cut off, or it is another ledger"
                )
            else:
                yield (
                    f"{one.name}: the first {one.size} entries cannot be compared with it, because entries are missing"
                )

    def _parting(self, one: KeptHead) -> str:
        wrong = (
            f"the first {one.size} entries are not those that it was made of: the journal was written anew, or it is another "
            "ledger"
        )
        later = [other for other in self.agreeing if other.size >= one.size]
        if later:
            return f"{wrong}. It contradicts {later[0].name}, which agrees with {later[0].size} entries"
        before = max((other for other in self.agreeing), key=lambda other: other.size, default=None)
        if before is None:
            return f"{wrong}. The change is somewhere in entries 1 to {one.size}"
        return (
            f"{wrong}. {before.name} agrees with the first {before.size} entries, so the first entry that is another one lies "
            f"between {before.size + 1} and {one.size}"
        )

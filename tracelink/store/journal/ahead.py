"""Reading some steps ahead of whoever looks at what was read."""

from collections.abc import Iterable, Iterator
from typing import Final, TypeVar

T = TypeVar("T")

AHEAD: Final = 100
"""Entries are brought back from their stored form, inspected and projected so many at a time: each of these goes faster with many
in a row, while what it needs is at hand to the processor."""


def read_ahead(items: Iterable[T], count: int = AHEAD) -> Iterator[T]:
    """Yield items that are made `count` at a time.

    What making one of them raises is raised after those before it were yielded.
    """
    source = iter(items)
    while True:
        made: list[T] = []
        try:
            for item in source:
                made.append(item)
                if len(made) == count:
                    break
        except Exception:
            yield from made
            raise
        yield from made
        if len(made) < count:
            return

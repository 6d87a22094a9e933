"""Numbers that follow each other, told as one."""

from collections.abc import Iterable, Iterator


def number_runs(numbers: Iterable[int]) -> Iterator[tuple[int, int]]:
    """Yield the first and last of all numbers that follow each other without a gap, in their order.

    Args:
        numbers: in any order, each once.
    """
    first = last = None
    for number in sorted(numbers):
        if last is not None and number == last + 1:
            last = number
            continue
        if first is not None and last is not None:
            yield first, last
        first = last = number
    if first is not None and last is not None:
        yield first, last

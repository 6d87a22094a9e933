"""Where a series of good and bad pieces changed, and how likely such a change is by chance.

Two rates are fitted. The chance is exact: of all the orders in which the same bad
and good pieces could have come, it is the share that shows a rise as strong as this one somewhere. They are
not listed one by one (40 pieces have billions of orders) but counted as paths on a grid of pieces seen and bad
ones among them, which takes as many steps as pieces times bad ones.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import comb, log

from tracelink.errors import UsageError


@dataclass(frozen=True, slots=True)
class Rise:
    """The most likely point at which bad pieces became more frequent."""

    before: int
    """Number of pieces before it; the change lies between piece `before` and the next."""
    log_ratio: float
    """Log likelihood ratio of two rates against one; 0 if no split shows a rise."""
    p: float
    """Chance of a rise at least as strong in a random order of the same pieces."""


def rise(bad: Sequence[bool]) -> Rise:
    """Find the rise in a series of judged pieces.

    Args:
        bad: for each piece in order, whether it was bad; at least two pieces.

    Raises:
        UsageError: fewer than two pieces.
    """
    if len(bad) < 2:
        raise UsageError(f"a change needs at least two judged pieces, found {len(bad)}")
    total, count = len(bad), sum(bad)
    best, before, seen = 0.0, 0, 0
    for split in range(1, total):
        seen += bad[split - 1]
        found = _log_ratio(total, count, split, seen)
        if found > best + _SAME:
            best, before = found, split
    return Rise(before, best, _share_as_strong(total, count, best))


_SAME = 1e-9
"""Log likelihood ratios closer than this are the same number, computed in another order."""


def _log_ratio(total: int, bad: int, split: int, seen: int) -> float:
    """Two rates against one, for `seen` bad before the split; 0 unless the rate goes up."""
    after, rest = bad - seen, total - split
    if seen * rest >= after * split:
        return 0.0
    return _fit(seen, split) + _fit(after, rest) - _fit(bad, total)


def _fit(bad: int, pieces: int) -> float:
    return sum(part * log(part / pieces) for part in (bad, pieces - bad) if part)


def _share_as_strong(total: int, bad: int, strength: float) -> float:
    """Share of orders with a split as strong; counted by the orders that never reach one."""
    if strength <= _SAME:
        return 1.0
    weak = {0: 1}
    for split in range(1, total + 1):
        grown: dict[int, int] = {}
        for seen, ways in weak.items():
            for now in (seen, seen + 1):
                possible = now <= bad and bad - now <= total - split
                if possible and (split == total or _log_ratio(total, bad, split, now) < strength - _SAME):
                    grown[now] = grown.get(now, 0) + ways
        weak = grown
    orders = comb(total, bad)
    return (orders - weak.get(bad, 0)) / orders

"""Which consignees are asked whether a notice came and was acted on: a draw that anybody can repeat."""

import hashlib
from collections.abc import Sequence

from tracelink.errors import UsageError


def drawn(consignees: Sequence[str], percent: int, seed: str) -> tuple[str, ...]:
    """Draw which consignees are checked: the same for everybody who draws again.

    Each name is hashed behind the seed and the lowest hashes are taken, at least one for any share above 0; so
    nobody can steer the draw by the order of a list.

    Args:
        consignees: the names.
        percent: share of them, 0 to 100; rounded up to whole consignees.
        seed: text that nobody picked, such as the journal head at the moment of the decision.

    Raises:
        UsageError: the share is not 0 to 100.
    """
    if not 0 <= percent <= 100:
        raise UsageError(f"share of {percent} %: expected 0 to 100")
    count = -(-len(consignees) * percent // 100)
    order = sorted(consignees, key=lambda name: hashlib.sha256(f"{seed}\n{name}".encode()).digest())
    return tuple(sorted(order[:count]))

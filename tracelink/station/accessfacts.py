"""What signing on, and lifting a hold, ask the ledger."""

from collections.abc import Sequence
from typing import Protocol


class AccessWorld(Protocol):
    """Questions about badges and holds; a part of `facts.World`."""

    def holds_naming(self, subject: str) -> Sequence[str]:
        """The open holds that name this thing, or strokes of it, oldest first."""
        ...

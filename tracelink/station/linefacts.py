"""What only the packing line asks the ledger."""

from typing import Protocol


class LineWorld(Protocol):
    """Questions of the packing line; a part of `facts.World`."""

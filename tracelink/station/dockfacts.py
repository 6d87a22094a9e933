"""What only the warehouse and dock asks the ledger."""

from typing import Protocol


class DockWorld(Protocol):
    """Questions of the warehouse and dock; a part of `facts.World`."""

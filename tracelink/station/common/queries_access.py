"""What signing on, and lifting a hold, ask the ledger."""

from collections.abc import Sequence
from typing import Protocol

from tracelink.ledger.pins import PinFact


class AccessQueries(Protocol):
    """Questions about badges and holds; a part of `facts.StationQueries`."""

    def holds_naming(self, subject: str) -> Sequence[str]:
        """The open holds that name this thing, or strokes of it, oldest first."""
        ...

    def pin(self, badge: str) -> PinFact | None:
        """The PIN of a badge as it stands; None if its owner has none."""
        ...

    def pins_in_use(self) -> bool:
        """Return whether anybody has a PIN."""
        ...

    def pin_key(self) -> bytes | None:
        """The secret key of this ledger's PINs; None if it is not on this machine."""
        ...

    def recorded_now(self) -> str:
        """The time (UTC) at which what is judged now will be recorded."""
        ...

    def last_recorded(self) -> str | None:
        """When the newest entry was recorded, UTC; None in an empty ledger."""
        ...

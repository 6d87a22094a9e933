"""What counts and balances ask the ledger."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class StockLine:
    """Discs of one lot at a place, by the records."""

    lot: str
    piece: int
    """Which disc of its product the lot is."""
    quantity: int


@dataclass(frozen=True, slots=True)
class OpenInvestigation:
    """Something that does not add up and is being looked into."""

    number: int
    """The entry that opened it."""
    subject: str
    difference: int | None
    """As it was then, with sign; None when it was not known."""
    reason: str


@dataclass(frozen=True, slots=True)
class CartonCount:
    """What somebody counted in a carton, for one lot that is in it."""

    seq: int
    """The entry of the count."""
    lot: str
    piece: int
    missing: int
    """Discs that the system showed and nobody found; negative if there were more."""
    together: bool
    """True if the lot was counted with other lots of its disc, so that `missing` is of them all."""
    person: str | None
    """Who counted, if the count differed."""
    investigation: int | None
    """The investigation that this count opened, or that was open then, if it is open still."""


class BalanceQueries(Protocol):
    """Questions of counts and balances; a part of `facts.StationQueries`."""

    def standing_at(self, place: str) -> Sequence[StockLine]:
        """The discs at a place by lot, spooled matches included; lots that had discs there once are listed too."""
        ...

    def investigation_about(self, subject: str) -> int | None:
        """The number of an open investigation about exactly this lot, batch or label."""
        ...

    def open_investigation(self, lot: str) -> OpenInvestigation | None:
        """An open investigation of a lot, of the labels it was pressed with, or of sleeves its discs are in."""
        ...

    def carton_counts(self, carton: str) -> Sequence[CartonCount]:
        """Every count of a carton by hand, the oldest first: by units, by lots, and when it was opened for a check."""
        ...

    def cartons_miscounted(self, parent: str) -> Sequence[str]:
        """The cartons on a pallet, or alone in a shipment, of which some count differed from the system."""
        ...

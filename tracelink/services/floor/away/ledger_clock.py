"""The recording clock of a ledger that is away: it goes on from where it was seen last, whatever this machine's clock is set to."""

from datetime import timedelta

from tracelink.clock import running_seconds, utc_now
from tracelink.ledger.times import instant


class LedgerClock:
    """Tells the time at which the ledger would record."""

    def __init__(self) -> None:
        self._seen: tuple[str, float] | None = None

    def seen(self, recorded: str) -> None:
        """Take notice of a recording time of the ledger, UTC, just now; empty if there is none."""
        if recorded:
            self._seen = recorded, running_seconds()

    def now(self) -> str:
        """Return the recording time, UTC in whole seconds.

        A program that has not reached its ledger since it was started has only the clock of this machine.
        """
        if self._seen is None:
            return utc_now()
        recorded, at = self._seen
        return (instant(recorded) + timedelta(seconds=int(running_seconds() - at))).strftime(
            "%Y-%m-%dT%H:%M:%SZ"
        )

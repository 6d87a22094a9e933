"""What an open ledger remembers of its stations between transactions."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.ledger.proof.chain import Head
from tracelink.station import station_states
from tracelink.station.common.station_facts import LastScan
from tracelink.store.statements import short_reads
from tracelink.store.statements.kept_rows import KeptRows
from tracelink.store.stations.answers_plant import Known
from tracelink.store.stations.written import DESK


@dataclass(slots=True)
class OpenState:
    """A station as its transactions find and leave it."""

    area: str
    last_number: int
    state: station_states.StationState


@dataclass(slots=True)
class Left:
    """What a transaction found out or wrote, for the one after it if nothing was written between."""

    keeping: KeptRows
    """Of its connection."""
    changes: int
    """How many rows were changed through that connection when it ended."""
    states: dict[str, OpenState]
    head: Head | None
    turns: int | None
    read_last: dict[str, LastScan]
    since_entry: dict[tuple[str, ...], Any]
    """Answers found since the last entry of the journal."""


@dataclass(slots=True)
class Memory:
    """What an open ledger remembers between transactions, because it cannot have changed."""

    known: Known = field(default_factory=dict)
    states: dict[str, tuple[str, station_states.StationState]] = field(default_factory=dict)
    """Station -> the stored text of its state, and the state read from exactly that text."""
    pin_key: Callable[[], bytes | None] = lambda: None
    """Reads the secret key of the ledger's PINs, which lies outside the ledger; None if it is not there."""
    left: Left | None = None
    """What the last transaction left; None before the first."""

    def opened(self, conn: Connection, code: str) -> OpenState:
        """Return a station as it was left.

        Args:
            conn: a connection.
            code: the station.

        Raises:
            UsageError: it is unknown.
        """
        row = short_reads.first(conn, DESK, {"code": code})
        if row is None:
            raise UsageError(f"station {code} is not in the system")
        remembered = self.states.get(code)
        if remembered is not None and remembered[0] == row.desk:
            return OpenState(row.area, row.last_number, remembered[1])
        return OpenState(row.area, row.last_number, station_states.read_state(row.area, row.desk))

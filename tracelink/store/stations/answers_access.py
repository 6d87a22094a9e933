"""Answers about badges, holds and what a station read last; a part of `SqlStationQueries`."""

from collections.abc import Callable, Sequence
from typing import Any

from sqlalchemy import text

from tracelink.clock import utc_now
from tracelink.ledger.pins import PinFact, Verifier
from tracelink.station.common import station_facts
from tracelink.store.compact.stored_rows import said
from tracelink.store.database.columns import given_text
from tracelink.store.stations import holds
from tracelink.store.stations.asking import Asking

_HOLDS = text(
    "SELECT h.code FROM hold h WHERE h.lifted_seq IS NULL AND (h.cause = :subject OR EXISTS "
    "(SELECT 1 FROM hold_item i WHERE i.hold = h.code AND i.subject = :subject)) ORDER BY h.seq"
)

_PIN = text(
    "SELECT salt, cost, block, lanes, digest, key_id, failures, failed_at FROM person_pin WHERE person = :badge"
)
_NEWEST = text("SELECT stored FROM journal ORDER BY seq DESC LIMIT 1")
_ANY_PIN = text("SELECT 1 FROM person_pin LIMIT 1")
_LAST_SCAN = text("SELECT raw, at, refused FROM last_scan WHERE station = :station")


class AccessAnswers(Asking):
    """Answers about badges and holds, and what a station read last, inside one transaction."""

    _pin_key: Callable[[], bytes | None]
    _keep: Callable[[str, str, Callable[[], Any]], Any]
    read_last: dict[str, station_facts.LastScan]
    """What stations read last in this transaction; written when it ends."""

    recording: str | None = None
    """Recording time of what is judged, UTC; None for now."""

    def open_hold(self, code: str) -> station_facts.HoldNotice | None:
        """A hold that is not lifted, by its own code."""
        return holds.by_code(self._conn, code)

    def hold_on(self, *subjects: str) -> station_facts.HoldNotice | None:
        """An open hold that names one of these things as a whole."""
        found: station_facts.HoldNotice | None = self._until_entry(
            ("hold on", *subjects), lambda: holds.on_things(self._conn, subjects)
        )
        return found

    def hold_on_spindle(self, code: str) -> station_facts.HoldNotice | None:
        """An open hold on a spindle, its lot, or strokes stacked on it."""
        found: station_facts.HoldNotice | None = self._until_entry(
            ("hold on spindle", code), lambda: self._find_hold_on_spindle(code)
        )
        return found

    def _find_hold_on_spindle(self, code: str) -> station_facts.HoldNotice | None:
        made: holds.Stack | None = self._keep("stack", code, lambda: holds.stack(self._conn, code))
        return (
            holds.on_things(self._conn, [code]) if made is None else holds.on_spindle(self._conn, code, made)
        )

    def hold_on_carton(self, sscc: str) -> station_facts.HoldNotice | None:
        """An open hold on a carton, its pallet, or anything known to be in it."""
        return holds.on_carton(self._conn, sscc)

    def hold_on_pallet(self, sscc: str) -> station_facts.HoldNotice | None:
        """An open hold on a pallet or anything known to be on it."""
        return holds.on_pallet(self._conn, sscc)

    def last_scan(self, station: str) -> station_facts.LastScan | None:
        """What a station read before this scan; None if that is not known."""
        if station in self.read_last:
            return self.read_last[station]
        row = self._first(_LAST_SCAN, station=station)
        return None if row is None else station_facts.LastScan(given_text(row.raw), row.at, bool(row.refused))

    def holds_naming(self, subject: str) -> Sequence[str]:
        """The open holds that name this thing, or strokes of it, oldest first."""
        return [str(code) for code in self._scalars(_HOLDS, subject=subject)]

    def pin(self, badge: str) -> PinFact | None:
        """The PIN of a badge as it stands; None if its owner has none."""
        row = self._first(_PIN, badge=badge)
        if row is None:
            return None
        kept = Verifier(row.salt, row.cost, row.block, row.lanes, row.digest, row.key_id)
        return PinFact(kept, row.failures, row.failed_at)

    def pins_in_use(self) -> bool:
        """Return whether anybody has a PIN."""
        return self._first(_ANY_PIN) is not None

    def pin_key(self) -> bytes | None:
        """The secret key of this ledger's PINs; None if it is not on this machine."""
        return self._pin_key()

    def recorded_now(self) -> str:
        """The time (UTC) at which what is judged now will be recorded."""
        return self.recording or utc_now()

    def last_recorded(self) -> str | None:
        """When the newest entry was recorded, UTC; None in an empty ledger."""
        row = self._first(_NEWEST)
        return None if row is None else str(said(row.stored)["recorded_at"])

"""Answers about badges and holds; a part of `SqlStationQueries`."""

from collections.abc import Callable, Sequence

from sqlalchemy import Connection, text

from tracelink.ledger.pins import PinFact, Verifier

_HOLDS = text(
    "SELECT h.code FROM hold h WHERE h.lifted_seq IS NULL AND (h.cause = :subject OR EXISTS "
    "(SELECT 1 FROM hold_item i WHERE i.hold = h.code AND i.subject = :subject)) ORDER BY h.seq"
)

_PIN = text(
    "SELECT salt, cost, block, lanes, digest, key_id, failures, failed_at FROM person_pin WHERE person = :badge"
)
_ANY_PIN = text("SELECT 1 FROM person_pin LIMIT 1")


class AccessAnswers:
    """Answers about badges and holds, inside one transaction."""

    _conn: Connection
    _pin_key: Callable[[], bytes | None]

    def holds_naming(self, subject: str) -> Sequence[str]:
        """The open holds that name this thing, or strokes of it, oldest first."""
        return [str(code) for code in self._conn.execute(_HOLDS, {"subject": subject}).scalars()]

    def pin(self, badge: str) -> PinFact | None:
        """The PIN of a badge as it stands; None if its owner has none."""
        row = self._conn.execute(_PIN, {"badge": badge}).first()
        if row is None:
            return None
        kept = Verifier(row.salt, row.cost, row.block, row.lanes, row.digest, row.key_id)
        return PinFact(kept, row.failures, row.failed_at)

    def pins_in_use(self) -> bool:
        """Whether anybody has a PIN."""
        return self._conn.execute(_ANY_PIN).first() is not None

    def pin_key(self) -> bytes | None:
        """The secret key of this ledger's PINs; None if it is not on this machine."""
        return self._pin_key()

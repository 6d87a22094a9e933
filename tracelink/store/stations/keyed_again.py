"""What a keyed PIN may have been: no record keeps its digits, so each way in which it can have come out is tried.

Which of them it was is told by the entries that are recorded; they are taken for that alone. Everything that follows
from a right or a wrong PIN is judged like anything else.
"""

from collections.abc import Iterator
from dataclasses import replace

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.symbology import CODE_128
from tracelink.ledger.packs import RawScan
from tracelink.ledger.pins import KEY_BYTES, PIN_MARK, SALT_BYTES, PinFact, Verifier, make_verifier
from tracelink.store.stations.answers import SqlStationQueries

_KEY = bytes(KEY_BYTES)
_RIGHT, _WRONG, _NO_PIN = "#270815", "#270816", "#"
_CHEAP = 2
"""scrypt's N for a PIN that is not a secret."""


class KeyedQueries(SqlStationQueries):
    """The ledger as stations see it, but with one known PIN for every badge that has one."""

    key_there = True
    """False to answer as a machine on which the key of the PINs does not lie."""

    rests_by_stations = False
    """True to answer as if everything had been recorded when it happened: so rest was judged before."""

    def stack_recorded(self, spindle: str) -> str:
        """When a stack was recorded."""
        if not self.rests_by_stations:
            return super().stack_recorded(spindle)
        found = self.spindle(spindle)
        assert found is not None
        return found.at

    def recorded_now(self) -> str:
        """The time at which what is judged now was recorded."""
        return (self.rests_by_stations and self.at) or super().recorded_now()

    def pin(self, badge: str) -> PinFact | None:
        """The PIN of a badge, which is the known one; how often it was wrong is as recorded."""
        found = super().pin(badge)
        if found is None or not self.key_there:
            return found
        return replace(found, verifier=self._known_pin(badge))

    def pin_key(self) -> bytes | None:
        """The key of the known PIN."""
        return _KEY if self.key_there else None

    def _known_pin(self, badge: str) -> Verifier:
        made: Verifier = self._keep(
            "known pin",
            badge,
            lambda: make_verifier(_KEY, badge, _RIGHT.removeprefix("#"), bytes(SALT_BYTES), _CHEAP),
        )
        return made


def meanings(scan: RawScan, queries: KeyedQueries) -> Iterator[tuple[bool, str]]:
    """Yield what a scan may have been: whether the key of the PINs was there, and the raw line; nothing if it is plain.

    Args:
        scan: as it is recorded.
        queries: the ledger as it was.
    """
    is_badge = scan.raw.startswith(CODE_128 + CodeKind.PERSON.value)
    if not (is_badge or scan.raw == PIN_MARK) or not queries.pins_in_use():
        return
    raws = (scan.raw,) if is_badge else (scan.raw, _RIGHT, _WRONG, _NO_PIN)
    for key_there in (True, False):
        for raw in raws:
            yield key_there, raw

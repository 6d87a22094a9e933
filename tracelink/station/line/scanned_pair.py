"""A disc and its sleeve as a line scanned them."""

from dataclasses import dataclass

from tracelink.ledger.packs import RawScan
from tracelink.station.common.outcome import Spooled


@dataclass(frozen=True, slots=True)
class ScannedPair:
    """A disc and its sleeve that a line matched with its last two scans, as they wait in the spool."""

    disc: RawScan
    taken: Spooled
    """What the disc came to."""
    sleeve: RawScan
    match: Spooled
    """What the sleeve came to."""

"""How a scan waits in the spool."""

import json

from tracelink.ledger.packs import RawScan, spooled_hash
from tracelink.station.common.outcome import Spooled


def spool_row(code: str, scan: RawScan, spooled: Spooled) -> dict[str, object]:
    """Return how a scan waits in the spool."""
    row: dict[str, object] = {
        "station": code,
        "number": scan.number,
        "at": scan.at,
        "raw": scan.raw,
        "turn": scan.turn,
        "after": scan.after,
        "fact": json.dumps(spooled.fact, separators=(",", ":")),
        "spindle": spooled.spindle,
        "lot": spooled.lot,
        "carton": spooled.carton,
        "sleeve_number": spooled.sleeve_number,
    }
    return {**row, "digest": spooled_hash(row)}

"""A packer at a live line whose ledger fails now and then: does after each error what the station says, and counts what was shown."""

import time

from support_plant import raw

from tracelink.errors import BookingUnknown, StorageFailed
from tracelink.ledger.finding_codes import FindingCode

LINES = ("disc 1.1", "sleeve 1")
PATIENCE_S = 120


class Packer:
    """Scans disc and sleeve in turn."""

    def __init__(self, here):
        self._here = here
        self.booked = 0
        self.refused = 0
        self.doubtful = 0

    def scan(self):
        """Make the next scan, and return once it is known to be booked or not."""
        until = time.monotonic() + PATIENCE_S
        while time.monotonic() < until:
            if self.tries():
                return
            time.sleep(0.05)
        raise AssertionError("the station did not come back")

    def tries(self):
        """Make the next scan once, and say whether the station took it."""
        try:
            verdict = self._here.scan(raw(LINES[self.booked % 2]))
        except BookingUnknown:
            self.doubtful += 1
        except StorageFailed:
            self.refused += 1
        else:
            self._take(verdict)
            return True
        return False

    def _take(self, verdict):
        if verdict.finding is FindingCode.NOT_BOOKED:
            # What it says is of the scan before; this one has to be made again, or the next.
            self.booked += verdict.sentence.startswith("The scan before was booked.")
            return
        assert verdict.finding is None, verdict
        self.booked += 1

"""What the lab draws."""

from __future__ import annotations

from runout._areas import Area
from runout._arguments import require_a, require_text
from tracelink.services.desks import lab_samples
from tracelink.services.desks.lab_samples import LotSamples, SamplingAsked


class Lab(Area):
    """Samples of lots; `ledger.lab`."""

    def samples(self, lot: str, asked: SamplingAsked | None = None) -> LotSamples:
        """Say which discs of a lot to draw and why, and what of it is done. Nothing is written.

        Args:
            lot: the lot, as code or raw scan.
            asked: the plan; None for the first and last discs of each stamper only.

        Raises:
            UnknownCode, IdentifierError: the code is unknown or invalid.
            UsageError: it is no lot, or there is no such plan.
        """
        require_text("lot", lot)
        how = SamplingAsked() if asked is None else asked
        require_a("asked", how, SamplingAsked)
        with self._ledger.reading() as conn:
            return lab_samples.lot_samples(conn, lot, how)

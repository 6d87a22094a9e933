"""Trace exercises on something that was shipped."""

from __future__ import annotations

from runout._areas import Area
from runout._arguments import require_a, require_badge, require_one_of, require_seed
from tracelink.facts.held_drill import DRAWN_FROM, Drill
from tracelink.services.badge_proof import Badge
from tracelink.services.desks import drills


class Drills(Area):
    """Trace exercises; `ledger.drills`."""

    def hold(self, what: str = "carton", *, seed: int | None = None, judge_again: bool = False) -> Drill:
        """Draw something, and time its traces, its containment and the balances. Nothing is written.

        Args:
            what: `carton` (a shipped one), `stamper`, `reel`, `part-lot`, `bath` (a step that something went through) or
                `blend` (material that a step made).
            seed: for the draw, so that it can be drawn again; None to take one.
            judge_again: also judge all raw scans of the ledger again, timed.

        Raises:
            UsageError: there is nothing to draw.
        """
        require_one_of("what", what, DRAWN_FROM)
        require_seed(seed)
        with self._ledger.reading() as conn:
            return drills.hold(conn, what, seed, judge_again=judge_again)

    def record(self, drill: Drill, by: Badge) -> None:
        """Record in the journal that a drill was held.

        Args:
            drill: as `hold` gave it.
            by: the authorised person.

        Raises:
            RefusedByRule: the person may not.
        """
        require_a("drill", drill, Drill)
        require_badge(by)
        drills.record(self._ledger, drill, by)

    def recorded(self) -> drills.RecordedDrills:
        """Return the drills that were recorded, oldest first."""
        with self._ledger.reading() as conn:
            return drills.recorded(conn)

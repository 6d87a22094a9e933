"""What was set up, added to and changed by plant files."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from runout._areas import Access
from runout._arguments import require_badge, require_file

if TYPE_CHECKING:
    from tracelink.services.badge_proof import Badge
    from tracelink.services.upkeep.plant_files import PlannedBy, PlantPlan


class PlantFiles:
    """Plant files of an open ledger; its methods are those of `OpenLedger`."""

    _access: Access

    def plan(
        self,
        plant_file: str | Path,
        by: Badge | None = None,
        *,
        second: Badge | None = None,
        reason: str | None = None,
        at: str | None = None,
    ) -> int:
        """Add and change what a plant file says; returns the number of entries.

        Args:
            plant_file: path of a plant file. All of it is taken, or nothing of it.
            by: who hands it in; None as long as nobody has a badge. Changes need the role quality.
            second: another person of quality, who agrees to what concerns badges and roles.
            reason: why, for every change that does not say it itself.
            at: since when what is added is so, RFC 3339 with offset; None for now. Changes take none.

        Raises:
            UsageError: names everything that is wrong, in the file or against what is in the ledger.
            RefusedByRule: one of the two may not, or a PIN is wrong.
        """
        from tracelink.services.upkeep import plant_files  # noqa: PLC0415

        return len(
            plant_files.add(
                self._access.ledger, require_file("plant_file", plant_file), _planned(by, second, reason, at)
            ).lines
        )

    def try_plan(
        self,
        plant_file: str | Path,
        by: Badge | None = None,
        *,
        second: Badge | None = None,
        reason: str | None = None,
        at: str | None = None,
    ) -> PlantPlan:
        """Say what a plant file would add and change; nothing is recorded but a wrong PIN.

        Args:
            plant_file: as for `plan`.
            by: as for `plan`.
            second: as for `plan`.
            reason: as for `plan`.
            at: as for `plan`.

        Raises:
            UsageError, RefusedByRule: as `plan`.
        """
        from tracelink.services.upkeep import plant_files  # noqa: PLC0415

        return plant_files.try_out(
            self._access.ledger, require_file("plant_file", plant_file), _planned(by, second, reason, at)
        )


def _planned(by: Badge | None, second: Badge | None, reason: str | None, at: str | None) -> PlannedBy:
    from tracelink.services.upkeep.plant_files import PlannedBy  # noqa: PLC0415

    for badge in (by, second):
        if badge is not None:
            require_badge(badge)
    return PlannedBy(by, second, reason, at)

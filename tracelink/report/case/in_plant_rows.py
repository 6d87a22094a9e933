"""What the question of a case finds in the plant now, and what stops it, as rows."""

from dataclasses import dataclass

from tracelink.genealogy.containment.in_plant import InPlant, StoppedTogether
from tracelink.report.format.disc_columns import LEAST, MOST, THERE
from tracelink.report.format.table import Cell, Column, Kind

STOPPED_COLUMNS = [
    Column("stopped_by", "stopped by", Kind.TEXT),
    Column("things", "items", Kind.COUNT),
    THERE,
    LEAST,
    MOST,
]
FREE_COLUMNS = [
    Column("code", "free to ship"),
    Column("kind", "kind"),
    Column("status", "status"),
    Column("lot", "lot"),
    THERE,
    Column("most", "affected at most", Kind.COUNT),
]
FREE = "nothing: free to ship"
"""The row of what no hold and no rule of the floor stops."""


@dataclass(frozen=True, slots=True)
class InPlantNow:
    """What the question of a case finds in the plant now, and what stops it."""

    head: tuple[int, str]
    """The records that were asked, up to this entry, and its hash."""
    rows: tuple[InPlant, ...]
    stopped: tuple[StoppedTogether, ...]
    """The same by what stops them, each taken together; what is free to ship is first."""

    @property
    def free_most(self) -> int:
        """Affected discs that can be packed or shipped now, at most."""
        return self.stopped[0].bound.most


def stopped_rows(found: InPlantNow) -> list[dict[str, Cell]]:
    """Return a row for what is free, always, and one for each thing that stops suspect discs in the plant."""
    return [
        {
            "stopped_by": group.stopped_by or FREE,
            "things": group.items,
            "pieces": group.bound.pieces,
            "least": group.bound.least,
            "most": group.bound.most,
        }
        for group in found.stopped
    ]


def free_row(row: InPlant) -> dict[str, Cell]:
    """Return what nothing stops, keys of `FREE_COLUMNS`."""
    return {
        "code": row.code,
        "kind": row.kind,
        "status": row.status,
        "lot": row.lot,
        "pieces": row.pieces,
        "most": row.most,
    }

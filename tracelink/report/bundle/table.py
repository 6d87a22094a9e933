"""A table of a bundle: the same rows in the report, as CSV and as a sheet of the workbook."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracelink.report.format.grids import Grid, GridCell, grid
from tracelink.report.format.render import Column, render


@dataclass(frozen=True, slots=True)
class BundleTable:
    """One table."""

    key: str
    """Name of its CSV file and of its sheet, small letters and hyphens."""
    caption: str
    """What it shows."""
    grid: Grid
    otherwise: str = "No entry in the records."
    """What is said when it has no rows."""
    in_report: bool = True
    """Whether the report prints it; long raw lists are for programs only."""

    def csv(self) -> bytes:
        """Return the rows for a spreadsheet; no cell is a formula to it."""
        columns = self.columns
        rows = [dict(zip((each.key for each in columns), row, strict=True)) for row in self.grid.rows]
        return render(rows, columns, "csv").encode()

    @property
    def columns(self) -> list[Column]:
        """The columns with keys for programs: the title in small letters, spaces as underscores, each once."""
        seen: dict[str, int] = {}
        made = []
        for column in self.grid.columns:
            key = column.title.replace(" ", "_").lower()
            seen[key] = seen.get(key, 0) + 1
            made.append(
                Column(key if seen[key] == 1 else f"{key}_{seen[key]}", column.title, number=column.number)
            )
        return made


def table(  # noqa: PLR0913  one argument for each field
    key: str,
    caption: str,
    columns: Sequence[tuple[str, str]],
    rows: Iterable[Sequence[GridCell]],
    otherwise: str = "No entry in the records.",
    *,
    in_report: bool = True,
) -> BundleTable:
    """Make a table; `columns` as `grids.grid` takes them."""
    return BundleTable(key, caption, grid(columns, rows), otherwise, in_report)

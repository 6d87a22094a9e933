"""A table before it has a form: typed columns, rows of cells, and the lines that they add up to.

Every table of the program is one of these, whether it goes to a terminal, a page, a PDF, a workbook, CSV or JSON.
The kind of a column says how its cells are shown to a person (see `shown`); programs get the cells as they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from tracelink.genealogy.model.strokes import StrokeSet

Cell = str | int | float | bool | Sequence[str] | None
"""What a row may hold; None is something that is not known or does not apply."""


class Kind(Enum):
    """What the cells of a column are."""

    CODE = "code"
    """A code, name or word. It is never broken over two lines: a broken code is read wrong."""
    TEXT = "text"
    """Words that may go on in the next line."""
    NUMBER = "number"
    """A whole number that names something, such as an entry or a stroke; shown as it can be typed back."""
    ENTRY = "entry"
    """The number of an entry of the journal; a page in a browser leads there."""
    COUNT = "count"
    """How many; shown in groups of three."""
    DIFFERENCE = "difference"
    """A count that is shown with its sign."""
    SHARE = "share"
    """A chance or share, 0 to 1; shown in per cent."""
    MEASURE = "measure"
    """A number with decimals, shown as it is given."""
    TIME = "time"
    """RFC 3339 with offset; shown to the minute."""
    YES_NO = "yes or no"
    """A fact that holds or does not."""


class Signed(int):
    """A difference that stands in a column of counts: shown with its sign."""


class Loose(int):
    """A bound that may be wider than the records force: shown with an asterisk."""


_NUMERIC = frozenset({Kind.NUMBER, Kind.ENTRY, Kind.COUNT, Kind.DIFFERENCE, Kind.SHARE, Kind.MEASURE})


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table."""

    key: str
    """The key in the rows, in JSON and in the first line of CSV."""
    title: str
    """Heading of the column."""
    kind: Kind = Kind.CODE
    """Kind of its cells."""
    unit: str = ""
    """The unit of its numbers, such as `ms`; empty if the title says it."""

    @property
    def heading(self) -> str:
        """The title with the unit, for people."""
        return f"{self.title}, {self.unit}" if self.unit else self.title

    @property
    def number(self) -> bool:
        """True if its cells stand on the right."""
        return self.kind in _NUMERIC

    @property
    def wraps(self) -> bool:
        """True if its cells may go on in the next line."""
        return self.kind is Kind.TEXT

    @property
    def gives_way(self) -> bool:
        """True if its cells may go on in the next line on paper, where a time may break behind its date."""
        return self.kind in {Kind.TEXT, Kind.TIME}


@dataclass(frozen=True, slots=True)
class Table:
    """One table."""

    key: str
    """Name of its CSV file and of its sheet: small letters, hyphens or spaces; empty if it has neither."""
    caption: str
    """Heading of the table."""
    columns: tuple[Column, ...]
    """Its columns."""
    rows: tuple[tuple[Cell, ...], ...]
    """Rows, each of as many cells as there are columns."""
    foot: tuple[tuple[Cell, ...], ...] = ()
    """Lines under a rule, such as the total and the difference; an empty text stays white."""
    otherwise: str = "No entry in the records."
    """What is said in its place when it has no rows."""

    def select(self, *keys: str) -> Table:
        """Return the table with these columns only, in this order."""
        known = [column.key for column in self.columns]
        places = [known.index(key) for key in keys]
        return replace(
            self,
            columns=tuple(self.columns[place] for place in places),
            rows=_cut(self.rows, places),
            foot=_cut(self.foot, places),
        )

    def without(self, *keys: str) -> Table:
        """Return the table without these columns."""
        return self.select(*(column.key for column in self.columns if column.key not in keys))

    def first(self, count: int) -> Table:
        """Return the table with its first rows only and without the lines that all of them add up to."""
        return replace(self, rows=self.rows[:count], foot=())

    def records(self) -> list[dict[str, Cell]]:
        """Return one mapping of keys to cells per row, as `render` takes them."""
        keys = [column.key for column in self.columns]
        return [dict(zip(keys, row, strict=True)) for row in self.rows]


def _cut(rows: tuple[tuple[Cell, ...], ...], places: Sequence[int]) -> tuple[tuple[Cell, ...], ...]:
    return tuple(tuple(row[place] for place in places) for row in rows)


def table(  # noqa: PLR0913  one argument for each field
    key: str,
    caption: str,
    columns: Sequence[Column],
    rows: Iterable[Sequence[Cell] | Mapping[str, Cell]],
    otherwise: str = "No entry in the records.",
    *,
    foot: Iterable[Sequence[Cell] | Mapping[str, Cell]] = (),
) -> Table:
    """Make a table.

    Args:
        key: name of its file and sheet.
        caption: what it shows.
        columns: its columns.
        rows: cells in the order of the columns, or by their keys.
        otherwise: what is said when it has no rows.
        foot: the lines under the rule, like rows; what they have no key for stays white.
    """
    made = tuple(_in_order(row, columns) for row in rows)
    sums = tuple(_in_order(row, columns, lacking="") for row in foot)
    return Table(key, caption, tuple(columns), made, sums, otherwise)


def _in_order(
    row: Sequence[Cell] | Mapping[str, Cell], columns: Sequence[Column], lacking: Cell = None
) -> tuple[Cell, ...]:
    if isinstance(row, Mapping):
        return tuple(row.get(column.key, lacking) for column in columns)
    return tuple(row)


def keyed(columns: Iterable[tuple[str, Kind]]) -> tuple[Column, ...]:
    """Give columns keys for programs: the title in small letters, spaces as underscores, each once."""
    seen: dict[str, int] = {}
    made = []
    for title, kind in columns:
        key = title.replace(" ", "_").lower()
        seen[key] = seen.get(key, 0) + 1
        made.append(Column(key if seen[key] == 1 else f"{key}_{seen[key]}", title, kind))
    return tuple(made)


def number_of(cells: Iterable[Cell]) -> int:
    """Return the sum of a column's numbers."""
    return sum(cell for cell in cells if isinstance(cell, int))


def spans(strokes: StrokeSet) -> str:
    """Return strokes for a page: `1–400, 402`, with the dash of ranges."""
    return str(strokes).replace("-", "–")

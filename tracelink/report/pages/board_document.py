"""The board of a day as a document: what `board_text` says, for a page on a wall."""

from __future__ import annotations

from tracelink.facts.day_board import Board
from tracelink.report.format.document import Document, Section
from tracelink.report.format.table import Cell, Column, Kind, Table

_NOW = (
    Column("station", "station"),
    Column("name", "name", Kind.TEXT),
    Column("word", "now"),
    Column("doing", "does", Kind.TEXT),
    Column("waits_for", "waits for", Kind.TEXT),
    Column("person", "signed on"),
)
_COUNTS = (Column("what", "what", Kind.TEXT), Column("quantity", "how many", Kind.COUNT))
_STOPS = (
    Column("finding", "reason"),
    Column("times", "times", Kind.COUNT),
    Column("at", "last", Kind.TIME),
    Column("station", "station"),
    Column("sentence", "what was said", Kind.TEXT),
)
_HOLDS = (
    Column("hold", "hold"),
    Column("cause", "because of"),
    Column("things", "things held", Kind.COUNT),
    Column("reason", "reason", Kind.TEXT),
    Column("person", "by"),
)
_INVESTIGATIONS = (
    Column("number", "number", Kind.NUMBER),
    Column("subject", "of"),
    Column("difference", "difference", Kind.DIFFERENCE),
    Column("reason", "reason", Kind.TEXT),
)
_WAITING = (
    Column("lot", "lot"),
    Column("title", "title", Kind.TEXT),
    Column("piece", "disc", Kind.NUMBER),
    Column("status", "status"),
    Column("pressed", "pressed", Kind.COUNT),
    Column("judged", "samples judged", Kind.COUNT),
    Column("samples", "of", Kind.COUNT),
    Column("bad", "bad", Kind.COUNT),
)


def board_document(board: Board, imprint: str) -> Document:
    """Return a board as tables.

    Args:
        board: what to show.
        imprint: the records and the time it was read from.
    """
    kind = "all stations" if board.area == "all" else f"stations: {board.area}"
    parts = (
        ("Now", _NOW, board.stations, "No station is set up."),
        (f"Counts of {board.day}", _COUNTS, board.counts, "Nothing was counted."),
        (f"Stops of {board.day} by reason", _STOPS, board.stops, "No scan was stopped."),
        ("Holds", _HOLDS, board.holds, "No hold is open."),
        ("Investigations", _INVESTIGATIONS, board.investigations, "No investigation is open."),
        ("Lots waiting for a result", _WAITING, board.waiting, "No lot waits."),
    )
    sections = tuple(
        Section(title, (Table("", title, columns, _rows(rows, columns), otherwise=otherwise),))
        for title, columns, rows, otherwise in parts
    )
    return Document("Board", f"Board of {board.day}, {kind}", imprint, imprint, sections)


def _rows(facts: tuple[object, ...], columns: tuple[Column, ...]) -> tuple[tuple[Cell, ...], ...]:
    return tuple(tuple(getattr(fact, column.key) for column in columns) for fact in facts)

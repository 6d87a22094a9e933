"""The board on a wall: the page, and the stream that tells it that something changed."""

from __future__ import annotations

from collections.abc import AsyncIterator

from starlette.requests import Request
from starlette.responses import HTMLResponse, Response, StreamingResponse

from runout import AtStation, Word, open_ledger
from tracelink.clock import local_now
from tracelink.errors import UsageError
from tracelink.ledger.work_areas import AREAS
from tracelink.report.format.plain import imprint
from tracelink.report.pages.board_document import board_document
from tracelink.web.board_watch import BoardWatch, look_at
from tracelink.web.frame import framed, page_of
from tracelink.web.page_words import meaning_of
from tracelink.web.wall_lines import lines_of_row, lines_of_station, rows_shown

_MOST_STATIONS, _MOST_ROWS = 4, 3
_LINES_NOW, _LINES_BESIDE = 16, 15
"""Of a wall screen in letters that are read from four metres, without headings and what is said of other stations."""


class Boards:
    """What stations do now and what happened on a day."""

    def __init__(self, place: str) -> None:
        """Read one ledger.

        Args:
            place: its path or URL.
        """
        self._place = place
        self._watch = BoardWatch(look_at(place))

    def page(self, request: Request) -> Response:
        """Show the board of an area or of all, of today or of a day."""
        area = _area(request)
        with open_ledger(self._place, read_only=True) as ledger:
            board = ledger.stations.board(area, day=request.query_params.get("day") or None)
            document = board_document(board, imprint(ledger.head, local_now(), seen="Read"))
        return HTMLResponse(
            framed(document, "board.html.j2", areas=AREAS, area_shown=area, script="/board.js", kind="wall")
        )

    def wall(self, request: Request) -> Response:
        """Show what of the board of today is read from four metres; it says how much it leaves out."""
        area = _area(request)
        with open_ledger(self._place, read_only=True) as ledger:
            board = ledger.stations.board(area)
            records = imprint(ledger.head, local_now(), seen="Read")
        at_work = sorted(
            (each for each in board.stations if each.person or each.word == Word.STOP.value),
            key=lambda each: (each.word != Word.STOP.value, not each.is_busy),
        )
        [count] = rows_shown([[_lines_of(each) for each in at_work]], _LINES_NOW, _MOST_STATIONS)
        shown = at_work[:count]
        holds = [(f"{each.hold}: {each.reason}", each.things) for each in board.holds]
        stops = [(meaning_of(each.finding), each.times) for each in board.stops]
        counts = [(each.what, each.quantity) for each in board.counts if each.quantity]
        lists = (holds, stops, counts)
        fitting = rows_shown(
            [[lines_of_row(text) for text, _number in rows] for rows in lists], _LINES_BESIDE, _MOST_ROWS
        )
        tables = [(rows[:most], len(rows) - most) for rows, most in zip(lists, fitting, strict=True)]
        return HTMLResponse(
            page_of(
                "wall.html.j2",
                title=f"Board of {board.day}, {'all stations' if area is None else area}",
                imprint=records,
                stations=shown,
                hidden=len(at_work) - len(shown),
                quiet=len(board.stations) - len(at_work),
                holds=tables[0],
                stops=tables[1],
                counts=tables[2],
            )
        )

    async def changes(self, request: Request) -> Response:
        """Send an event whenever a board would look otherwise than before."""
        area = request.query_params.get("area")
        return StreamingResponse(
            self._changes(area if area in AREAS else None), media_type="text/event-stream"
        )

    async def _changes(self, area: str | None) -> AsyncIterator[str]:
        before = ""
        async for now in self._watch.seen(area):
            # Said also while nothing changes: so the page knows that it is connected, and the server who has left.
            yield "event: same\ndata:\n\n" if now == before else f"data: {now}\n\n"
            before = now


def _lines_of(station: AtStation) -> int:
    doing = f"{station.doing}, {station.person}" if station.person else station.doing
    return lines_of_station(doing, station.waits_for if station.word == Word.STOP.value else "")


def _area(request: Request) -> str | None:
    area = request.query_params.get("area") or None
    if area is not None and area not in AREAS:
        raise UsageError(f"the area is {area!r}: expected one of {', '.join(AREAS)}")
    return area

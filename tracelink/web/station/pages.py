"""The addresses of station pages: the page, and what it asks the server."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator, Awaitable, Callable
from contextlib import asynccontextmanager, suppress
from functools import cache, wraps
from http import HTTPStatus
from importlib.resources import files
from typing import Any, TypeVar

from jinja2 import Environment, PackageLoader, StrictUndefined
from starlette.concurrency import run_in_threadpool
from starlette.requests import HTTPConnection, Request
from starlette.responses import HTMLResponse, JSONResponse, Response, StreamingResponse
from starlette.routing import BaseRoute, Route, WebSocketRoute

from runout import open_ledger, picture_line, typed_line
from tracelink.errors import (
    LedgerError,
    OpenElsewhere,
    PageGone,
    RequestNotTaken,
)
from tracelink.ledger.work_areas import AREAS
from tracelink.report.format.plain import visible
from tracelink.web.admission import may_open_station
from tracelink.web.station import page_fields
from tracelink.web.station.named_station import station_named
from tracelink.web.station.page_answer import Answer
from tracelink.web.station.page_requests import Fields, fields_of, picture_of
from tracelink.web.station.scan_channel import ScanChannel
from tracelink.web.station.seats import Seat, Seats
from tracelink.web.statuses import status_of

TellFault = Callable[[Exception], str]
_Act = Callable[[Request], Awaitable[Response]]
Found = TypeVar("Found")

_LOOK_S = 2.0
"""Between two looks for pages that are not heard any more."""
_STATUS = ((PageGone, HTTPStatus.GONE), (OpenElsewhere, HTTPStatus.CONFLICT))
"""Beside those of all pages."""
_SCRIPTS = ("channel.js", "draw.js", "keys.js", "sounds.js", "station.js")
_FILES = {**dict.fromkeys(_SCRIPTS, "text/javascript"), "station.css": "text/css"}


class StationPages:
    """The pages of stations and what they ask."""

    def __init__(self, place: str, tell_fault: TellFault) -> None:
        """Serve the stations of one ledger.

        Args:
            place: its path or URL.
            tell_fault: keeps what nobody foresaw, and returns the sentence for the page.
        """
        self._place = place
        self._tell_fault = tell_fault
        self._seats = Seats(place)

    @property
    def documents(self) -> dict[str, Callable[[Request], Response]]:
        """Address -> page, for whoever tells their errors."""
        return {"/station": self.list, "/station/{code}": self.page}

    @property
    def routes(self) -> list[BaseRoute]:
        """What a page asks, and the files that it is made of."""
        acts: dict[str, tuple[_Act, str]] = {
            "open": (self._open, "POST"),
            "scan": (self._scan, "POST"),
            "picture": (self._picture, "POST"),
            "take": (self._take, "POST"),
            "leave": (self._leave, "POST"),
            "stands": (self._stands, "GET"),
            "heard": (self._heard, "GET"),
        }
        told = [
            Route(f"/station/{{code}}/{name}", self._told(act), methods=[method])
            for name, (act, method) in acts.items()
        ]
        channel = ScanChannel(self._scanned_by_channel, self._beside_by_channel, self._told_of)
        line = WebSocketRoute("/station/{code}/channel", channel.keep)
        return [*told, line, *(Route(f"/{name}", _file(name, kind)) for name, kind in _FILES.items())]

    @asynccontextmanager
    async def running(self) -> AsyncIterator[None]:
        """Close stations whose pages are gone while the block runs, and all of them at its end."""
        looking = asyncio.create_task(self._look())
        try:
            yield
        finally:
            looking.cancel()
            with suppress(asyncio.CancelledError):
                await looking
            await run_in_threadpool(self._seats.close)

    async def _look(self) -> None:
        while True:
            await asyncio.sleep(_LOOK_S)
            await run_in_threadpool(self._seats.close_silent)

    def list(self, _request: Request) -> Response:
        """Show the stations of the plant, each a link to its page."""
        with open_ledger(self._place, read_only=True) as ledger:
            areas = {area: ledger.stations.of_area(area) for area in AREAS}
        return HTMLResponse(_page("stations.html.j2", areas=areas))

    def page(self, request: Request) -> Response:
        """Show the page of a station; it opens the station by itself."""
        code = _code(request)
        with open_ledger(self._place, read_only=True) as ledger:
            area, name = station_named(ledger, code)
        may_open_station(request, code)
        return HTMLResponse(_page("station.html.j2", code=code, name=name, area=area))

    async def _open(self, request: Request) -> Response:
        sent, code = await fields_of(request), _code(request)
        return JSONResponse(await _admitted(request, self._opened, code, sent))

    def _opened(self, code: str, sent: Fields) -> dict[str, Any]:
        seat = self._seats.of(code)
        token = seat.open(sent.text("was"))
        with seat.looking(token) as live:
            stands = {"token": token, **page_fields.standing(live)}
            if sent.values.get("number") is not None:
                # A scan whose answer was lost: the page is told what became of it.
                raw = _line(sent) if sent.text("raw") else None
                stands["before"] = live.was_booked(sent.number("number"), raw)
        return stands

    async def _scan(self, request: Request) -> Response:
        sent, code = await fields_of(request), _code(request)
        return await _admitted(request, self._scanned, code, sent)

    def _scanned(self, code: str, sent: Fields) -> Response:
        raw = _line(sent)
        return self._answered(code, sent.text("token"), sent.number("number"), raw)

    def _scanned_by_channel(self, connection: HTTPConnection, sent: Fields) -> dict[str, Any]:
        code = _code(connection)
        seat = self._seats.of(code)
        may_open_station(connection, code, seat.reading)
        return page_fields.answered(seat.scan(sent.text("token"), sent.number("number"), _line(sent)))

    def _beside_by_channel(self, connection: HTTPConnection, sent: Fields) -> dict[str, Any]:
        return page_fields.beside_fields(self._seats.of(_code(connection)).beside(sent.text("token")))

    def _answered(self, code: str, token: str, number: int, raw: str) -> Response:
        seat = self._seats.of(code)
        answer = seat.scan(token, number, raw)
        # The verdict is on its way before anybody asks what else is to be shown.
        return StreamingResponse(self._parts(seat, token, answer), media_type="application/jsonl")

    async def _parts(self, seat: Seat, token: str, answer: Answer) -> AsyncIterator[str]:
        yield f"{json.dumps(page_fields.answered(answer))}\n"
        with suppress(LedgerError):
            yield await run_in_threadpool(self._beside, seat, token)

    def _beside(self, seat: Seat, token: str) -> str:
        return f"{json.dumps(page_fields.beside_fields(seat.beside(token)))}\n"

    async def _picture(self, request: Request) -> Response:
        content, code = await picture_of(request), _code(request)
        asked = request.query_params
        try:
            number = int(asked.get("number", ""))
        except ValueError:
            raise RequestNotTaken("the number of the scan is missing: expected a whole number", 400) from None
        return await _admitted(request, self._pictured, code, asked.get("token", ""), number, content)

    def _pictured(self, code: str, token: str, number: int, content: bytes) -> Response:
        raw = picture_line(f"photo-{number}.jpg", content)
        return self._answered(code, token, number, raw)

    async def _take(self, request: Request) -> Response:
        sent, code = await fields_of(request), _code(request)
        return JSONResponse(await _admitted(request, self._taken, code, sent))

    def _taken(self, code: str, sent: Fields) -> dict[str, Any]:
        seat = self._seats.of(code)
        token, answer = seat.take_over(_line(sent))
        with seat.looking_from_outside() as live:
            beside = page_fields.beside_fields(live.beside)
        return {"token": token, **page_fields.answered(answer), "beside": beside}

    async def _leave(self, request: Request) -> Response:
        sent, code = await fields_of(request), _code(request)
        await _admitted(request, lambda: self._seats.of(code).leave(sent.text("token")))
        return JSONResponse({})

    async def _stands(self, request: Request) -> Response:
        token = request.query_params.get("token", "")
        return JSONResponse(await _admitted(request, self._standing, _code(request), token))

    def _standing(self, code: str, token: str) -> dict[str, Any]:
        with self._seats.of(code).looking(token) as live:
            return page_fields.standing(live)

    async def _heard(self, request: Request) -> Response:
        seat = await _admitted(request, self._seats.of, _code(request))
        return JSONResponse({"number": seat.heard(request.query_params.get("token", ""))})

    def _told(self, act: _Act) -> Callable[[Request], Awaitable[Response]]:
        """Return what a page asks as an endpoint that tells every error as a sentence."""

        @wraps(act)
        async def guarded(request: Request) -> Response:
            try:
                return await act(request)
            except Exception as problem:  # noqa: BLE001  nothing may get past here
                sentence, status = self._told_of(problem)
                return JSONResponse({"sentence": sentence}, status)

        return guarded

    def _told_of(self, problem: Exception) -> tuple[str, int]:
        """Return the sentence for the page and the status of an error."""
        if isinstance(problem, RequestNotTaken):
            return _sentence(str(problem)), problem.status
        if isinstance(problem, LedgerError):
            known = (status for kind, status in _STATUS if isinstance(problem, kind))
            return _sentence(str(problem)), next(known, status_of(problem))
        return _sentence(self._tell_fault(problem)), HTTPStatus.INTERNAL_SERVER_ERROR


async def _admitted(request: Request, work: Callable[..., Found], *given: Any) -> Found:
    """Return what some work comes to, in another thread, if this browser may be the station."""

    def admitted() -> Found:
        may_open_station(request, _code(request))
        return work(*given)

    return await run_in_threadpool(admitted)


def _code(connection: HTTPConnection) -> str:
    return str(connection.path_params["code"])


def _line(sent: Fields) -> str:
    return typed_line(sent.text("raw"), separator=sent.text("separator") or None)


def _sentence(sentence: str) -> str:
    shown = visible(f"{sentence[:1].upper()}{sentence[1:]}")
    return shown if shown.endswith(".") else f"{shown}."


def _file(name: str, kind: str) -> Callable[[Request], Response]:
    return lambda _request: Response(
        (files("tracelink.web.station") / "static" / name).read_bytes(), media_type=kind
    )


def _page(template: str, **view: Any) -> str:
    return _environment().get_template(template).render(**view)


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("tracelink.web.station"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=lambda value: visible(value) if type(value) is str else value,
        trim_blocks=True,
        lstrip_blocks=True,
    )

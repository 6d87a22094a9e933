"""What a page sends, read with limits: the fields of a small JSON object, or a picture."""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

from starlette.requests import ClientDisconnect, Request

from tracelink.errors import RequestNotTaken

MOST_JSON = 1_000_000
"""Bytes of what a page may send; a scan of 100,000 characters fits, and is cut like at a terminal."""
MOST_PICTURE = 20_000_000
"""Bytes of a picture; the camera of a tablet makes 2 to 8 million."""


@dataclass(frozen=True, slots=True)
class Fields:
    """The fields that a page sent."""

    values: dict[str, Any]

    def text(self, name: str) -> str:
        """Return a text; empty text if it is not there."""
        value = self.values.get(name, "")
        if not isinstance(value, str):
            raise RequestNotTaken(f"{name} is {value!r}: expected text", 400)
        return value

    def number(self, name: str) -> int:
        """Return a whole number."""
        value = self.values.get(name)
        if type(value) is not int:
            raise RequestNotTaken(f"{name} is {value!r}: expected a whole number", 400)
        return value


async def fields_of(request: Request) -> Fields:
    """Return the fields of a JSON object.

    Raises:
        RequestNotTaken: it is something else, or too long.
    """
    _require_kind(request, ("application/json",))
    body = await _body(request, MOST_JSON)
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError:
        raise RequestNotTaken("what was sent is not UTF-8: nothing of it was taken", 400) from None
    return fields_in(text)


def fields_in(text: str) -> Fields:
    """Return the fields of a JSON object that was sent as text.

    Raises:
        RequestNotTaken: it is something else.
    """
    try:
        values = json.loads(text)
    except (ValueError, RecursionError):
        raise RequestNotTaken("what was sent is not JSON: nothing of it was taken", 400) from None
    if not isinstance(values, dict):
        raise RequestNotTaken("what was sent is not a JSON object: nothing of it was taken", 400)
    return Fields(values)


async def picture_of(request: Request) -> bytes:
    """Return a picture that was sent.

    Raises:
        RequestNotTaken: it is something else, or too large.
    """
    _require_kind(request, ("image/jpeg", "image/png"))
    return await _body(request, MOST_PICTURE)


def _require_kind(request: Request, kinds: tuple[str, ...]) -> None:
    found = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if found not in kinds:
        raise RequestNotTaken(f"what was sent is {found[:40]!r}: expected {' or '.join(kinds)}", 415)


async def _body(request: Request, most: int) -> bytes:
    body = bytearray()
    try:
        async for piece in request.stream():
            body += piece
            if len(body) > most:
                raise RequestNotTaken(
                    f"what was sent has more than {most:,} bytes: nothing of it was taken", 413
                )
    except ClientDisconnect:
        raise RequestNotTaken(
            "the page was closed while it sent something: nothing of it was taken", 400
        ) from None
    return bytes(body)

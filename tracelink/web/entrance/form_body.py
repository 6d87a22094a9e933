"""What a form sends, read strictly: fields of a plain form in UTF-8, and no more than a person types."""

from __future__ import annotations

from http import HTTPStatus
from urllib.parse import parse_qsl

from starlette.exceptions import HTTPException
from starlette.requests import Request

MOST_BYTES = 100_000
"""A question with a thousand judged discs fits; no form of ours is longer."""
_MOST_FIELDS = 200
_PLAIN_FORM = "application/x-www-form-urlencoded"


async def fields_of(request: Request) -> dict[str, str]:
    """Return the fields of a form by name; a field that is there twice has its values with commas between.

    Raises:
        HTTPException: it is no plain form, too long, or not UTF-8; the sentence says which.
    """
    kind = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if kind != _PLAIN_FORM:
        raise HTTPException(
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
            f"this page takes a form: expected the content type {_PLAIN_FORM}, found {kind or 'none'}",
        )
    try:
        pairs = parse_qsl(
            (await _body(request)).decode("ascii"),
            keep_blank_values=True,
            errors="strict",
            max_num_fields=_MOST_FIELDS,
        )
    except UnicodeDecodeError:
        raise HTTPException(
            HTTPStatus.BAD_REQUEST, "what was sent is not text in UTF-8: send the form again"
        ) from None
    except ValueError:
        raise HTTPException(
            HTTPStatus.BAD_REQUEST, f"more than {_MOST_FIELDS} fields were sent: no form here has that many"
        ) from None
    found: dict[str, str] = {}
    for name, value in pairs:
        found[name] = f"{found[name]}, {value}" if name in found else value
    return found


async def _body(request: Request) -> bytes:
    body = bytearray()
    async for part in request.stream():
        body += part
        if len(body) > MOST_BYTES:
            raise HTTPException(
                HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
                f"what was sent is too long: expected {MOST_BYTES} bytes at most",
            )
    return bytes(body)

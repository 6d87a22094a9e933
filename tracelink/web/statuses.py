"""Which status of HTTP an error has."""

from __future__ import annotations

from http import HTTPStatus

from tracelink.errors import (
    IdentifierError,
    LedgerBusy,
    LedgerError,
    RefusedByRule,
    StorageFailed,
    UnknownCode,
    UsageError,
)

_STATUS = (
    (UnknownCode, HTTPStatus.NOT_FOUND),
    ((LedgerBusy, StorageFailed), HTTPStatus.SERVICE_UNAVAILABLE),
    ((UsageError, IdentifierError), HTTPStatus.BAD_REQUEST),
    (RefusedByRule, HTTPStatus.FORBIDDEN),
)


def status_of(problem: LedgerError) -> HTTPStatus:
    """Return the status of an answer that tells this error."""
    known = (status for kinds, status in _STATUS if isinstance(problem, kinds))
    return next(known, HTTPStatus.INTERNAL_SERVER_ERROR)

"""The server: an address on this machine, and what it says when it cannot have it."""

from __future__ import annotations

import ipaddress
import socket
from collections.abc import Callable

import uvicorn

from tracelink.errors import UsageError
from tracelink.web.app import TellFault, make_app

_SECONDS_TO_END = 2
"""After which streams that are still open are cut when the server ends."""


def serve(place: str, host: str, port: int, tell_fault: TellFault, ready: Callable[[str], None]) -> None:
    """Serve the pages of a ledger until a signal ends it.

    Args:
        place: path or URL of the ledger.
        host: a loopback address.
        port: 0 for any that is free.
        tell_fault: as for `make_app`.
        ready: told the address of the first page as soon as it can be opened.

    Raises:
        UsageError: the address is not of this machine alone, or is taken.
    """
    address = _loopback(host)
    family = socket.AF_INET6 if address.version == 6 else socket.AF_INET
    try:
        listening = socket.create_server((str(address), port), family=family)
    except OSError as problem:
        raise UsageError(
            f"port {port} of {host} cannot be had: {problem.strerror}; give another --port"
        ) from None
    name = f"[{address}]" if address.version == 6 else str(address)
    config = uvicorn.Config(
        make_app(place, tell_fault),
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=_SECONDS_TO_END,
    )
    with listening:
        ready(f"http://{name}:{listening.getsockname()[1]}/")
        uvicorn.Server(config).run(sockets=[listening])


def _loopback(host: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address:
    try:
        address = ipaddress.ip_address("127.0.0.1" if host == "localhost" else host)
    except ValueError:
        raise UsageError(f"--host is {host!r}: expected an address such as 127.0.0.1 or ::1") from None
    if not address.is_loopback:
        raise UsageError(
            f"--host is {host}: expected an address of this machine alone, 127.0.0.1 or ::1, because nobody signs in "
            "to these pages and they show names"
        )
    return address

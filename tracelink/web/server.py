"""The server: an address on this machine, or one for others where nobody on the way can read along."""

from __future__ import annotations

import gc
import ipaddress
import socket
import ssl
import sys
from collections.abc import Callable
from dataclasses import dataclass
from urllib.parse import urlsplit

import uvicorn
from starlette.types import ASGIApp
from uvicorn.middleware.proxy_headers import ProxyHeadersMiddleware

from tracelink.errors import UsageError
from tracelink.web.app import TellFault, make_app
from tracelink.web.entrance.entrance import LOOPBACK, Reached
from tracelink.web.entrance.gate import OnlyFrom
from tracelink.web.station.page_requests import MOST_JSON

_SECONDS_TO_END = 2
"""After which streams that are still open are cut when the server ends."""
_SWITCH_S = 0.0005
_COLLECT_AFTER = 1_000
"""Objects made between two looks of the garbage collector, each of which then takes less than a millisecond."""
_OTHERS = (
    "pages show names and book scans, so for other machines they need --tls-cert and --tls-key, or --behind the https "
    "address of a proxy with --proxy its address"
)


@dataclass(frozen=True, slots=True)
class Listening:
    """Where the server listens, and how browsers reach it."""

    host: str = "127.0.0.1"
    """An address of this machine."""
    port: int = 8080
    """0 for any that is free."""
    tls_cert: str | None = None
    """File of the certificate with its chain, PEM."""
    tls_key: str | None = None
    """File of its key, PEM."""
    names: tuple[str, ...] = ()
    """Names of this machine that browsers use, beside its address."""
    behind: str | None = None
    """The https address of a proxy that does TLS for it."""
    proxy: str | None = None
    """The address from which that proxy asks; None for this machine."""


def serve(
    place: str,
    listening: Listening,
    tell_fault: TellFault,
    ready: Callable[[str], None],
    *,
    only_reads: bool = False,
) -> None:
    """Serve the pages of a ledger until a signal ends it.

    Args:
        place: path or URL of the ledger.
        listening: where.
        tell_fault: as for `make_app`.
        ready: told the address of the first page as soon as it can be opened.
        only_reads: true if nothing may be written.

    Raises:
        UsageError: others would reach it without TLS, or by signing in where nothing may be written; a file cannot be used, or the address is taken.
    """
    address = _address("--host", listening.host)
    reached = reached_by(listening)
    if only_reads and reached.is_for_others:
        raise UsageError(
            "other machines read only once somebody signed in, which is an entry: leave --read-only out, or serve this machine alone"
        )
    family = socket.AF_INET6 if address.version == 6 else socket.AF_INET
    try:
        waiting = socket.create_server((str(address), listening.port), family=family)
    except OSError as problem:
        raise UsageError(
            f"port {listening.port} of {listening.host} cannot be had: {problem.strerror}; give another --port"
        ) from None
    name = f"[{address}]" if address.version == 6 else str(address)
    app: ASGIApp = make_app(place, tell_fault, reached, only_reads=only_reads)
    if listening.behind is not None:
        # Who asks is told by a proxy that was named, and by nobody else.
        proxy = listening.proxy or str(address)
        app = OnlyFrom(ProxyHeadersMiddleware(app, proxy), proxy)  # type: ignore[arg-type]
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=_SECONDS_TO_END,
        ssl_certfile=listening.tls_cert,
        ssl_keyfile=listening.tls_key,
        proxy_headers=False,
        ws="websockets-sansio",
        ws_max_size=MOST_JSON,
        ws_per_message_deflate=False,
    )
    with waiting:
        scheme = "http" if listening.tls_cert is None else "https"
        ready(listening.behind or f"{scheme}://{name}:{waiting.getsockname()[1]}/")
        # A scan must not wait 5 ms, which is usual, until the thread that looks up another station lets it go on.
        sys.setswitchinterval(_SWITCH_S)
        # Nor for the garbage collector to look through all that was imported, or through fifty thousand objects at once.
        gc.collect()
        gc.freeze()
        gc.set_threshold(_COLLECT_AFTER)
        uvicorn.Server(config).run(sockets=[waiting])


def reached_by(listening: Listening) -> Reached:
    """Return by which address browsers reach the pages.

    Raises:
        UsageError: others would reach them without TLS, or options do not go together.
    """
    address = _address("--host", listening.host)
    _require_files(listening)
    own = f"[{address}]" if address.version == 6 else str(address)
    if listening.behind is not None:
        return _behind(listening, listening.behind, own)
    if listening.proxy is not None:
        raise UsageError("--proxy belongs to --behind: give the https address of the proxy too")
    if address.is_loopback:
        names = (*LOOPBACK, *listening.names)
        return Reached(names, is_secure=listening.tls_cert is not None, is_for_others=bool(listening.names))
    if listening.tls_cert is None:
        raise UsageError(f"--host is {listening.host}: {_OTHERS}")
    if address.is_unspecified and not listening.names:
        raise UsageError(
            f"--host is {listening.host}: give the names by which browsers reach it with --name, one or more"
        )
    return Reached((own, *listening.names), is_secure=True, is_for_others=True)


def _behind(listening: Listening, behind: str, own: str) -> Reached:
    found = urlsplit(behind)
    if found.scheme != "https" or not found.hostname or found.path not in ("", "/") or found.query:
        raise UsageError(f"--behind is {behind!r}: expected an address such as https://runout.example.com")
    if not _address("--host", listening.host).is_loopback and listening.proxy is None:
        raise UsageError(f"--host is {listening.host}: {_OTHERS}")
    if listening.proxy is not None:
        _address("--proxy", listening.proxy)
    return Reached(
        (found.hostname, own, *listening.names),
        origin=f"https://{found.netloc}",
        is_secure=True,
        is_for_others=True,
    )


def _require_files(listening: Listening) -> None:
    if (listening.tls_cert is None) != (listening.tls_key is None):
        raise UsageError("--tls-cert and --tls-key go together: found only one")
    if listening.tls_cert is None:
        return
    try:
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.load_cert_chain(listening.tls_cert, listening.tls_key)
    except (OSError, ssl.SSLError) as problem:
        raise UsageError(
            f"the certificate {listening.tls_cert} with the key {listening.tls_key} cannot be used: "
            f"{problem.strerror or 'they are not PEM, or do not belong together'}"
        ) from None


def _address(option: str, text: str) -> ipaddress.IPv4Address | ipaddress.IPv6Address:
    try:
        return ipaddress.ip_address("127.0.0.1" if text == "localhost" else text)
    except ValueError:
        raise UsageError(f"{option} is {text!r}: expected an address such as 127.0.0.1 or ::1") from None

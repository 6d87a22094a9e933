"""What every answer carries so that a browser runs nothing but our own files and shows the page nowhere else."""

from __future__ import annotations

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    # With no-referrer a browser would not say either that a form comes from a page of ours.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    # A page shows the records as they were when it was asked for.
    "Cache-Control": "no-store",
}


_ONLY_TLS = {"Strict-Transport-Security": "max-age=31536000"}


class SecureHeaders:
    """Adds `HEADERS` to every answer."""

    def __init__(self, app: ASGIApp, *, is_secure: bool = False) -> None:
        """Wrap an application.

        Args:
            app: the application.
            is_secure: true if browsers reach it by TLS, and are to use nothing else from then on.
        """
        self._app = app
        self._headers = HEADERS | (_ONLY_TLS if is_secure else {})

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.update({name: text for name, text in self._headers.items() if name not in headers})
            await send(message)

        await self._app(scope, receive, sent)

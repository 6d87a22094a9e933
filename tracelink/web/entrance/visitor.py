"""Who is signed in at the browser whose page is being made, and whether anything can be done by it at all."""

from __future__ import annotations

from contextvars import ContextVar
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tracelink.web.entrance.web_sessions import WebSession

VISITOR: ContextVar[WebSession | None] = ContextVar("VISITOR", default=None)
"""Set for each request; the frame around every page shows it, and no page has to hand it on."""
ONLY_READS: ContextVar[bool] = ContextVar("ONLY_READS", default=False)
"""The same for a server that writes nothing: pages then offer no act."""

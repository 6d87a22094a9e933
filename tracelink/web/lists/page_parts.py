"""What pages about quality have in common: a ledger to read, and a document of sections."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from starlette.responses import HTMLResponse, Response

from runout import OpenLedger
from tracelink.clock import local_now
from tracelink.report.format.document import Block, Document, Section
from tracelink.report.format.plain import imprint
from tracelink.web.frame import framed

Links = Sequence[tuple[str, str]]
"""Address and words."""


def shown(
    ledger: OpenLedger,
    title: str,
    sections: Iterable[Section],
    links: Links = (),
    *,
    template: str = "links.html.j2",
    **view: Any,
) -> Response:
    """Return a page of sections, with links to what can be done above them."""
    records = imprint(ledger.head, local_now(), seen="Read")
    document = Document("Page", title, records, records, tuple(sections))
    return HTMLResponse(framed(document, template, links=links, **view))


def section(title: str, *blocks: Block) -> Section:
    """Return a section."""
    return Section(title, blocks)

"""Pages that are documents: one file, no network, black on white, the journal head on every sheet.

Templates escape everything; what is scanned goes through `visible` as well, so that neither markup nor control
characters act. Only the pictures drawn here, which escape their own text, are taken as they are.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from tracelink.facts.scope_records import HoldLine
from tracelink.genealogy.model.records import Records
from tracelink.ledger.count_words import grouped, signed
from tracelink.report.format.document import (
    Bullets,
    Document,
    FactList,
    FramedNote,
    Lines,
    Picture,
    TextBlock,
    Ticks,
)
from tracelink.report.format.plain import imprint, percent, visible
from tracelink.report.format.table import Table
from tracelink.report.format.table_page import page_table
from tracelink.report.pages.lot_view import lot_view

_PLAIN = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 .,:+-")


def lot_page(records: Records, lot: str, *, at: str, holds: Sequence[HoldLine] = ()) -> str:
    """The genealogy of one lot: what it was pressed with, how it was judged, where its discs went and are.

    Args:
        records: the records.
        lot: the lot's code.
        at: when the page is made, RFC 3339 with offset.
        holds: the holds on anything that the page shows.

    Returns:
        A whole HTML document.

    Raises:
        UnknownCode: no record describes a lot of that code.
    """
    return _page("lot.html.j2", records.head(), at, lot_view(records, lot, at=at, holds=holds))


def document_page(document: Document) -> str:
    """A document of sections as a page.

    Args:
        document: what it says.

    Returns:
        A whole HTML document that needs nothing else.
    """
    return (
        _environment()
        .get_template("document.html.j2")
        .render(document=document, imprint=document.imprint, footer=_css_string(document.footer))
    )


def _page(template: str, head: tuple[int, str], at: str, view: Mapping[str, Any]) -> str:
    return (
        _environment()
        .get_template(template)
        .render(
            # As text, so that it is not grouped: it can be typed back as shown.
            head_seq=str(head[0]),
            imprint=imprint(head, at, whole=True),
            footer=_css_string(imprint(head, at)),
            **view,
        )
    )


_BLOCKS: Mapping[str, type] = {
    kind.__name__: kind for kind in (FactList, TextBlock, FramedNote, Bullets, Table, Picture, Ticks, Lines)
}
"""What a template calls the kinds of blocks."""


def _is_block(block: object, name: str) -> bool:
    # A name that is none of these raises, rather than leave the block out of the page in silence.
    return isinstance(block, _BLOCKS[name])


@cache
def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("tracelink.report"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_shown,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters |= {"percent": percent, "signed": signed, "drawn": _drawn, "table": page_table}
    environment.tests["block"] = _is_block
    return environment


def _shown(value: object) -> object:
    """What an expression of a template prints: counts in groups, text with everything in it visible."""
    if value is None:
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return grouped(value)
    return visible(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def _drawn(svg: str) -> Markup:
    """A picture of this room as markup."""
    return Markup(svg)  # noqa: S704 - svg.py has escaped every text in it


def _css_string(text: str) -> Markup:
    """Text inside the quotes of a CSS string; anything but plain characters becomes its number."""
    escaped = "".join(one if one in _PLAIN else f"\\{ord(one):x} " for one in visible(text))
    return Markup(escaped)  # noqa: S704 - only plain characters and backslashes are left

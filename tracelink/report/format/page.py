"""Pages that are documents: one file, no network, black on white, the journal head on every sheet.

Templates escape everything; what is scanned goes through `visible` as well, so that neither markup nor control
characters act. Only the pictures drawn here, which escape their own text, are taken as they are.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from tracelink.ledger.count_words import grouped, signed
from tracelink.report.format.document import (
    BigFigures,
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

_PLAIN = frozenset("ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 .,:+-")


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
        .render(
            document=document,
            imprint=document.imprint,
            whole_imprint=document.footer,
            footer=_css_string(document.footer),
        )
    )


def document_body(document: Document) -> str:
    """The sections of a document, for a page that has a frame of its own.

    Args:
        document: what it says.

    Returns:
        Markup in which every text is escaped.
    """
    return _environment().get_template("sections.html.j2").render(document=document)


def printed_page(template: str, head: tuple[int, str], at: str, view: Mapping[str, Any]) -> str:
    """A template of this package as a page, with the journal head on every sheet.

    Args:
        template: its file name.
        head: last journal sequence and its hash.
        at: when the page is made, RFC 3339 with offset.
        view: what the template asks for.

    Returns:
        A whole HTML document that needs nothing else.
    """
    return (
        _environment()
        .get_template(template)
        .render(
            # As text, so that it is not grouped: it can be typed back as shown.
            head_seq=str(head[0]),
            imprint=imprint(head, at),
            whole_imprint=imprint(head, at, whole=True),
            footer=_css_string(imprint(head, at, whole=True)),
            **view,
        )
    )


def page_style() -> str:
    """Return the style of pages, without what is printed at the foot of a sheet."""
    return _environment().get_template("style.css.j2").render(footer="")


_BLOCKS: Mapping[str, type] = {
    kind.__name__: kind
    for kind in (FactList, BigFigures, TextBlock, FramedNote, Bullets, Table, Picture, Ticks, Lines)
}
"""What a template calls the kinds of blocks."""


def _is_block(block: object, name: str) -> bool:
    # An unknown name raises, rather than leave the block out of the page in silence.
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

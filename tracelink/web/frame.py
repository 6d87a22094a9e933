"""The frame that every page stands in: a search box, the rooms of the desk, the document, who decides."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape

from tracelink.identity.plantcode import CodeKind
from tracelink.report.format.document import Document
from tracelink.report.format.page import document_body, page_style
from tracelink.report.format.plain import visible
from tracelink.report.format.shown import code_parts
from tracelink.web.entrance.visitor import ONLY_READS, VISITOR
from tracelink.web.narrow_tables import stacked
from tracelink.web.page_words import on_page

_CODE = re.compile(r"<code>([0-9A-Z]{8,18})</code>")
_ENTRY = re.compile(r'<span class="entry">([0-9]{1,11})</span>')
_WORDS = re.compile(r"(<(?:p|li|dd)(?: [^>]*)?>)([^<]+)")
"""What stands in a paragraph, a list or beside a name: text alone, already escaped."""
_OF_A_CASE = CodeKind.CASE.value


def framed(document: Document, template: str = "frame.html.j2", **view: Any) -> str:
    """Return a document as a page, every code in it a link to its own page.

    Args:
        document: what the page says.
        template: of this package.
        view: what the template asks for beside the document.
    """
    body = _WORDS.sub(_with_codes, document_body(document))
    body = _CODE.sub(_linked, body)
    body = stacked(_ENTRY.sub(r'<a href="/entry/\1">\1</a>', body))
    return page_of(template, title=document.title, imprint=document.imprint, body=Markup(body), **view)  # noqa: S704 - document_body has escaped every text, and a code is letters and digits


def _with_codes(found: re.Match[str]) -> str:
    return found[1] + _codes_in(found[2])


def _codes_in(words: str) -> str:
    parts = code_parts(words)
    return "".join(f"<code>{part}</code>" if is_code else part for is_code, part in parts)


def _with_codes_linked(words: str) -> str:
    return _CODE.sub(_linked, _codes_in(words))


def _linked(found: re.Match[str]) -> str:
    room = "case" if found[1].startswith(_OF_A_CASE) else "thing"
    return f'<a href="/{room}/{found[1]}">{found[0]}</a>'


def sentence_page(sentence: str) -> str:
    """Return a page that says one sentence."""
    said = _with_codes_linked(str(escape(visible(as_told(sentence)))))
    return page_of("frame.html.j2", title="Not shown", imprint="", body=Markup(f"<p>{said}</p>"))  # noqa: S704 - escaped above


def as_told(sentence: str) -> str:
    """Return what an error says as a page says it; of nothing, nothing."""
    told = on_page(sentence[:1].upper() + sentence[1:])
    return told if not told or told.endswith(".") else f"{told}."


@cache
def document_style() -> str:
    """Return the style of documents, which pages and saved files share."""
    return page_style()


def page_of(template: str, **view: Any) -> str:
    """Return the page that a template of this package makes of what it asks for."""
    usual = {
        "looked_for": "",
        "script": "",
        "kind": "",
        "visitor": VISITOR.get(),
        "only_reads": ONLY_READS.get(),
    }
    return _environment().get_template(template).render(**{**usual, **view})


@cache
def _environment() -> Environment:
    return Environment(
        loader=PackageLoader("tracelink.web"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=lambda value: visible(value) if type(value) is str else value,
        trim_blocks=True,
        lstrip_blocks=True,
    )

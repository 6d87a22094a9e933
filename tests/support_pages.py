"""Pages of every kind, made from small records, for the tests of how they look and read."""

from collections.abc import Callable
from functools import cache
from pathlib import Path

from support_report import LOT, NOW, real_lot
from support_scope import scope_doc

from tracelink.report.format.page import document_page
from tracelink.report.pages.lot_page import lot_page
from tracelink.report.pages.rule_table import RULES
from tracelink.report.pages.rules_page import rules_document

PAGES: dict[str, Callable[[], str]] = {
    "scope": lambda: document_page(scope_doc()[1]),
    "lot": lambda: lot_page(real_lot(), LOT, at=NOW),
    "rules": lambda: document_page(rules_document(RULES, {}, head=(1, "0" * 64), at=NOW)),
}


@cache
def page_of(kind: str) -> str:
    """Return a page of a kind, made once."""
    return PAGES[kind]()


def style_of_pages() -> str:
    """Return the style that every page has in it."""
    return Path(__file__, "../../tracelink/report/templates/style.css.j2").resolve().read_text()

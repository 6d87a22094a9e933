"""Notices to consignees: text from a template that the plant edits, filled from the records and by a person."""

from collections.abc import Mapping, Sequence
from pathlib import Path

from tracelink.errors import UsageError
from tracelink.facts.notice_content import NoticeFacts
from tracelink.report.case.letter_template import filled
from tracelink.report.case.notice_items import Item, items_for

_OWN = {False: "notice.txt.j2", True: "notice-safety.txt.j2"}


def notice_text(
    facts: NoticeFacts, given: Mapping[str, str], template: Path | None = None
) -> tuple[str, list[str]]:
    """Fill a notice.

    Args:
        facts: what the records say.
        given: items by name, as a person gave them.
        template: the plant's own; None for the one of this program.

    Returns:
        The text, and the names of the items that nobody gave: each is a gap in it.

    Raises:
        UsageError: an item is unknown, or the template cannot be read or filled.
    """
    values, gaps = given_items(items_for(safety=facts.safety), given, "notice")
    text = filled("notice", _OWN[facts.safety], template, {"notice": facts, "item": values})
    return text, gaps


def given_items(
    items: Sequence[Item], given: Mapping[str, str], what: str
) -> tuple[dict[str, str], list[str]]:
    """Return each item as it was given, and the names of those that nobody gave: each is a named gap in the text.

    Args:
        items: the items of the text.
        given: by name, as a person gave them.
        what: what is written, for a refusal: `notice`.

    Raises:
        UsageError: an item is unknown.
    """
    known = [item.name for item in items]
    for name in given:
        if name not in known:
            raise UsageError(f"--item {name}: this {what} has no such item; it has {', '.join(known)}")
    gaps = [name for name in known if not given.get(name, "").strip()]
    values = {item.name: given.get(item.name, "").strip() or f"[NOT GIVEN: {item.asks}]" for item in items}
    return values, gaps

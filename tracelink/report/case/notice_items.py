"""What a notice should say, item by item, and where each comes from: the records, or a person.

A plant edits the wording in a template of its own; which items there are is the published rules' (own words, with
whether they were checked). An item that nobody gave is a named gap in the text: it is never invented.
"""

import re
from dataclasses import dataclass

_UNCHECKED = "not checked against the original text"


@dataclass(frozen=True, slots=True)
class Item:
    """One thing a notice says, which a person gives with --item NAME=TEXT."""

    name: str
    asks: str
    source: str


COMMERCIAL = (
    Item("reason", "why, in words for the consignee", "21 CFR 7.49(c), a model; checked in part"),
    Item("instruction", "what to do with the goods", "21 CFR 7.49(c), a model; checked in part"),
    Item("remedy", "what the consignee gets for them", "common practice"),
    Item("contact", "whom to answer, and how", "21 CFR 7.49(c), a model; checked in part"),
)
"""For a commercial withdrawal."""

SAFETY = (
    Item("hazard", "the hazard", f"EU 2023/988 Art. 36(2); 16 CFR 1115.27, {_UNCHECKED}"),
    Item(
        "action",
        "what consumers and sellers must do now",
        f"EU 2023/988 Art. 36(2); 16 CFR 1115.27, {_UNCHECKED}",
    ),
    Item(
        "remedy",
        "repair, replacement or refund",
        f"EU 2023/988 Art. 36(2) and 37; 16 CFR 1115.27, {_UNCHECKED}",
    ),
    Item("contact", "whom to ask, free of charge", f"EU 2023/988 Art. 36(2), {_UNCHECKED}"),
    Item("picture", "where a picture of the product is", "EU 2023/988 Art. 36(2)"),
    Item("brand", "the brand", "EU 2023/988 Art. 36(2)"),
    Item("sold_by", "where and by whom it was sold", f"EU 2023/988 Art. 36(2); 16 CFR 1115.27, {_UNCHECKED}"),
    Item("sold_dates", "when it was sold", f"EU 2023/988 Art. 36(2); 16 CFR 1115.27, {_UNCHECKED}"),
    Item("price", "the price", f"16 CFR 1115.27, {_UNCHECKED}"),
    Item("incidents", "incidents and injuries known", f"16 CFR 1115.27, {_UNCHECKED}"),
)
"""For a case that a person marked as a safety matter; 16 CFR 1115.27 and EU 2023/988 bind who sells in the US or EU."""

_MODEL = "21 CFR 7.46(a), a model; its list seen in a summary, not checked against the original text"
AUTHORITY = (
    Item("reason", "why the product is withdrawn", _MODEL),
    Item("circumstances", "when and how it was found", _MODEL),
    Item("risk", "evaluation of the risk, by a person who may", _MODEL),
    Item("strategy", "how deep the withdrawal goes, and what the public is told", _MODEL),
    Item("official", "name and telephone number of who answers for it", _MODEL),
)
"""For a summary to an authority: what the records cannot know."""

_PLAYS_DOWN = re.compile(r"\b(voluntar\w*|precaution\w*|discretion\w*|rare(?:ly)?)\b", re.IGNORECASE)


def items_for(*, safety: bool) -> tuple[Item, ...]:
    """The items that a person gives."""
    return SAFETY if safety else COMMERCIAL


def words_that_play_down(text: str) -> list[tuple[int, str]]:
    """Find words that make a risk look small, with the line each stands in, from 1.

    Source:
        EU 2023/988 Art. 36 bars words such as voluntary, precautionary, discretionary, rare (not checked against the original text).
    """
    return [
        (number, match[0])
        for number, line in enumerate(text.splitlines(), 1)
        for match in _PLAYS_DOWN.finditer(line)
    ]

"""The rules behind containment cases and drills: what they ask, whom they bind, and whether they were read.

Facts are in own words. "checked" means that the text or a faithful excerpt was read when this was written; "not
checked against the original text" that it was not; "practice" that no source stands behind it.
"""

from dataclasses import dataclass
from textwrap import fill

from tracelink.report.format.table import Cell, Column, Kind

RULE_COLUMNS = (
    Column("rule", "rule"),
    Column("asks", "asks for", Kind.TEXT),
    Column("binds", "for such a plant"),
    Column("source", "source", Kind.TEXT),
    Column("command", "here", Kind.TEXT),
)

_MODEL = "model"
_BINDS_US = "binds, sold in the US"
_BINDS_EU = "binds, sold in the EU"
_UNCHECKED = "not checked against the original text"


@dataclass(frozen=True, slots=True)
class SafetyRule:
    """One clause."""

    rule: str
    asks: str
    binds: str
    """Whether it binds a plant that presses records, or is a model for it."""
    source: str
    command: str
    """The command that keeps or shows it."""


RULES = (
    SafetyRule(
        "21 CFR 7.42(b)(3)",
        "effectiveness checks: share of the consignees asked: A all, B over 10 and under 100 %, C 10 %, D 2 %, E none",
        _MODEL,
        _UNCHECKED,
        "runout case level, check",
    ),
    SafetyRule(
        "21 CFR 7.49(a)",
        "direct accounts are told that product is under recall, to stop distributing and using it, to pass it on to "
        "their customers where needed, and what to do with it",
        _MODEL,
        "checked in a public copy of the section",
        "runout case notice",
    ),
    SafetyRule(
        "21 CFR 7.49(c)",
        "a notice is brief, identifies product and lots, codes or serials, gives reason and hazard, instructions and "
        "an easy way to answer",
        _MODEL,
        f"checked in part; the rest {_UNCHECKED}",
        "runout case notice",
    ),
    SafetyRule(
        "21 CFR 7.53(b)",
        "status report: notified with date and method, answered with quantity on hand, not answered, returned and "
        "accounted for, effectiveness checks, estimated completion",
        _MODEL,
        f"{_UNCHECKED}; the same list but for those not answering was checked in 21 CFR 107.240(b)",
        "runout case status",
    ),
    SafetyRule(
        "21 CFR 7.53(a)", "a status report every 2 to 4 weeks", _MODEL, _UNCHECKED, "runout case status"
    ),
    SafetyRule(
        "21 CFR 7.55",
        "ends when all reasonable effort was made and the removal matches the hazard",
        _MODEL,
        _UNCHECKED,
        "runout case close",
    ),
    SafetyRule(
        "15 U.S.C. 2064(b)",
        "maker, importer, distributor and retailer report a defect that could be a substantial hazard",
        _BINDS_US,
        "checked in a public copy of 16 CFR 1115.1",
        "not decided here",
    ),
    SafetyRule(
        "16 CFR 1115.14",
        "the clock begins with the first information, quality-control data too; report within 24 hours of "
        "reportable information",
        _BINDS_US,
        f"(a) to (d) checked in a public copy; the 24 hours {_UNCHECKED}",
        "runout case show: when it was opened",
    ),
    SafetyRule(
        "16 CFR 1115.27",
        "content of a mandatory notice: the word recall, date, description, action, number of units, hazard, firm and "
        "maker, retailers, dates made and sold, price, incidents, remedy",
        _BINDS_US,
        f"title checked; the items {_UNCHECKED}",
        "runout case notice, of a case marked as safety",
    ),
    SafetyRule(
        "EU 2023/988 Art. 35",
        "all consumers that can be found are told directly, the others by a clear public notice",
        _BINDS_EU,
        "checked in a recital of Implementing Regulation 2024/1435",
        "not done here: consignees are told",
    ),
    SafetyRule(
        "EU 2023/988 Art. 36(2)",
        "notice: headline, picture, name, brand, batch or serial and where to find it, when and where and by whom sold, "
        "hazard, action, remedy, contact",
        _BINDS_EU,
        f"checked in a translation; the last items {_UNCHECKED}",
        "runout case notice, of a case marked as safety",
    ),
    SafetyRule(
        "EU 2023/988 Art. 36, wording",
        "nothing that plays the risk down, such as voluntary, precautionary, discretionary, rare",
        _BINDS_EU,
        _UNCHECKED,
        "runout case notice warns of such words",
    ),
    SafetyRule(
        "EU 2023/988 Art. 37",
        "the consumer chooses between at least two of repair, replacement, refund",
        _BINDS_EU,
        _UNCHECKED,
        "runout case notice: the remedy is a person's to say",
    ),
    SafetyRule(
        "trace exercise",
        "back trace, forward trace and balance on a lot that is partly shipped; 4 hours in several food schemes, "
        "yearly",
        _MODEL,
        "practice; the hours not checked against an original text",
        "runout drill",
    ),
)
"""In the order in which a case meets them."""


def rule_rows() -> list[dict[str, Cell]]:
    """Return one row per rule, keys of `RULE_COLUMNS`."""
    return [
        {
            "rule": rule.rule,
            "asks": rule.asks,
            "binds": rule.binds,
            "source": rule.source,
            "command": rule.command,
        }
        for rule in RULES
    ]


def rules_text() -> str:
    """Return the rules as paragraphs: five narrow columns are hard to read."""
    parts = []
    for rule in RULES:
        lines = [f"asks for: {rule.asks}", f"source: {rule.source}", f"here: {rule.command}"]
        parts.append(f"{rule.rule} ({rule.binds})\n" + "\n".join(map(_wrapped, lines)) + "\n")
    return "\n".join(parts)


def _wrapped(line: str) -> str:
    return fill(line, 96, initial_indent="    ", subsequent_indent="      ")

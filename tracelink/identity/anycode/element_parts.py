"""GS1 elements said one by one: what each is, how long, where it ends, what must and must not stand beside it."""

from collections.abc import Iterator, Mapping

from tracelink.errors import IdentifierError
from tracelink.identity.anycode.code_parts import CodePart, CodeVerdict
from tracelink.identity.gs1.aitable import ElementRule, rule_of
from tracelink.identity.gs1.aivalues import UNJUDGED, length_in_words
from tracelink.identity.gs1.association import partners_in_words, unmet
from tracelink.identity.gs1.dates import read_date
from tracelink.identity.gs1.digitallink import write_link
from tracelink.identity.gs1.lostseparator import suspect_lost_separator

_DATES = {"yymmd0": True, "yymmdd": False}
"""Checks of dates, and whether a day 00 stands for some day of the month."""


def element_parts(elements: Mapping[str, str], current_year: int) -> Iterator[CodePart]:
    """Yield a part for each element, and for what may have been swallowed by one.

    Args:
        elements: value by application identifier, already judged.
        current_year: four digits: two digits of a year on a label mean the year nearest to it.
    """
    for ai, value in elements.items():
        rule = rule_of(ai, None)
        unjudged = sorted(check for part in rule.components for check in part.checks if check in UNJUDGED)
        says = [_form(rule), *_date(rule, value, current_year), *_partners(rule)]
        if unjudged:
            says.append(
                f"its list is not kept here ({', '.join(unjudged)}), so only length and characters count"
            )
        judged = CodeVerdict.NOT_JUDGED if unjudged else CodeVerdict.RIGHT
        yield CodePart(rule.name, value, judged, "; ".join(says))
        # A number that swallowed another element would be too long or no number.
        swallowed = None if rule.predefined or rule.numeric else suspect_lost_separator(value)
        if swallowed:
            yield CodePart(rule.name, value, CodeVerdict.TOLD, f"{swallowed}: only the records can tell")
    yield from _address(elements)


def together(elements: Mapping[str, str]) -> Iterator[CodePart]:
    """Yield what elements of one item lack or must not have beside each other.

    Args:
        elements: of all the symbols on the item.
    """
    faults = [CodePart("together", "", CodeVerdict.WRONG, sentence) for sentence in unmet(elements)]
    if not faults and elements:
        shown = " ".join(f"({ai})" for ai in elements)
        says = "nothing that must stand beside them is missing, and none excludes another"
        faults = [CodePart("together", shown, CodeVerdict.RIGHT, says)]
    yield from faults


def _form(rule: ElementRule) -> str:
    ends = "its length is predefined" if rule.predefined else "a separator ends it unless it is last"
    return f"{length_in_words(rule)}, {ends}"


def _date(rule: ElementRule, value: str, current_year: int) -> Iterator[str]:
    for name, day_zero in _DATES.items():
        if any(name in part.checks for part in rule.components[:1]):
            found = read_date(value[:6], current_year=current_year, day_zero=day_zero)
            yield f"means {found.date.isoformat()}" if found.day_given else f"means {found.date:%Y-%m}"


def _partners(rule: ElementRule) -> Iterator[str]:
    for group in rule.needs:
        yield f"needs {partners_in_words(group)}"
    if rule.excludes:
        yield "never with " + ", ".join(f"({ai})" for ai in rule.excludes)


def _address(elements: Mapping[str, str]) -> Iterator[CodePart]:
    try:
        address = write_link(elements)
    except IdentifierError:
        # Not every set of elements can be written as a web address; that is no fault of theirs.
        return
    yield CodePart("as GS1 web address", address, CodeVerdict.TOLD, "the same elements as a GS1 Digital Link")

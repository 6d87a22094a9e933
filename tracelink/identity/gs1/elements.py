"""GS1 element strings: read, judged, written.

A symbol is a row of elements, each an application identifier and its value. Values of predefined length end
by themselves; every other value ends at a separator or at the end of the symbol. If a separator is lost, a
variable value swallows what follows: lot LOT42 and serial SER become lot LOT4221SER, and no rule of the
grammar is broken. `parse_elements` refuses what cannot be right; `suspect_lost_separator` names what may be
wrong, to be settled by the ledger, which knows its lots and serials.

A station takes the identifiers this plant prints and refuses every other; a customer's or supplier's label is read
with all that GS1 has assigned (`used=None`).
"""

from collections.abc import Collection, Mapping, Sequence

from tracelink.errors import InvalidFormat, InvalidLength, LostSeparator
from tracelink.identity.checkdigit import is_digits
from tracelink.identity.gs1.aitable import (
    PLANT_AIS,
    SEPARATOR,
    ElementRule,
    identifier_at,
    rule_of,
    rules_for,
)
from tracelink.identity.gs1.aivalues import length_in_words, piece_of_total, require_length, require_value
from tracelink.identity.gs1.association import check_association
from tracelink.identity.gs1.lostseparator import suspect_lost_separator

__all__ = [
    "check_association",
    "human_readable",
    "parse_elements",
    "piece_of_total",
    "suspect_lost_separator",
    "write_elements",
]


def parse_elements(payload: str, *, used: Collection[str] | None = PLANT_AIS) -> dict[str, str]:
    """Read the element strings of one symbol.

    Args:
        payload: text behind the symbology identifier, with byte 29 as separator. One separator too many after
            a value, also the last, is tolerated as the standard asks; a leading or doubled one is not.
        used: the application identifiers taken; None for all that GS1 has assigned.

    Returns:
        Value by application identifier, in the order read. What must stand beside what is not judged, since other
        symbols of the item may hold it: see `check_association`.

    Raises:
        InvalidFormat: no data, an identifier not used here, a character not allowed, one identifier repeated
            with another value, a date or piece number that cannot be.
        InvalidLength: a value too short.
        InvalidCheckCharacter: a GTIN, SSCC or other key whose check digit does not fit.
        LostSeparator: a value runs on where it must have ended.

    Source:
        GS1 General Specifications, sections on element strings and FNC1 processing.
    """
    if not payload:
        raise InvalidFormat("nothing follows the symbology identifier; expected GS1 element strings")
    rules = rules_for(used)
    elements: dict[str, str] = {}
    at = 0
    while at < len(payload):
        rule = _rule_at(payload, at, rules, used)
        at += len(rule.ai)
        value = _value_at(payload, at, rule)
        if rule.numeric and not rule.predefined and not is_digits(value):
            _refuse_swallowed(rule, value, used)
        require_value(rule, value)
        if elements.setdefault(rule.ai, value) != value:
            raise InvalidFormat(
                f"({rule.ai}) stands twice with different values: {elements[rule.ai]!r} and {value!r}"
            )
        at += len(value)
        if payload[at : at + 1] == SEPARATOR:
            at += 1
    return elements


def _rule_at(
    payload: str, at: int, rules: Mapping[str, ElementRule], used: Collection[str] | None
) -> ElementRule:
    """Return the rule of the application identifier at a position of the payload."""
    # No identifier is the beginning of another, so the order of looking does not matter.
    rule = (
        rules.get(payload[at : at + 2]) or rules.get(payload[at : at + 4]) or rules.get(payload[at : at + 3])
    )
    if rule is not None:
        return rule
    if payload[at] == SEPARATOR:
        raise InvalidFormat(f"separator at position {at + 1}: expected an application identifier there")
    ai = identifier_at(payload, at)
    if ai is not None:
        return rule_of(ai, used)
    raise InvalidFormat(
        f"expected an application identifier at position {at + 1}, found {payload[at : at + 4]!r}"
    )


def _value_at(payload: str, at: int, rule: ElementRule) -> str:
    """Cut one value out of the payload; its length is right for its rule."""
    stop = payload.find(SEPARATOR, at)
    field = payload[at:] if stop < 0 else payload[at:stop]
    if len(field) < rule.shortest:
        raise InvalidLength(f"{rule.name} needs {length_in_words(rule)}, found {len(field)} in {field!r}")
    if rule.predefined:
        return field[: rule.longest]
    if len(field) > rule.longest:
        raise LostSeparator(
            f"{rule.name} runs on to {len(field)} characters in {field!r}: expected "
            f"{length_in_words(rule)} before a separator; the separator is missing or the label is misprinted"
        )
    return field


def _refuse_swallowed(rule: ElementRule, value: str, used: Collection[str] | None) -> None:
    """Raise if an invalid number may be a valid one with another element behind it."""
    swallowed = suspect_lost_separator(value, used=used)
    if swallowed:
        raise LostSeparator(f"{rule.name} must be digits: {swallowed}")


def _in_order(
    pairs: Sequence[tuple[str, str]], used: Collection[str] | None
) -> list[tuple[ElementRule, str]]:
    """Put values of predefined length first, as the standard advises; else keep the order given."""
    judged = []
    for ai, value in pairs:
        rule = rule_of(ai, used)
        require_length(rule, value)
        require_value(rule, value)
        judged.append((rule, value))
    return sorted(judged, key=lambda pair: not pair[0].predefined)


def write_elements(pairs: Sequence[tuple[str, str]], *, used: Collection[str] | None = PLANT_AIS) -> str:
    r"""Return the text of one symbol, byte 29 only where a separator is needed.

    Args:
        pairs: application identifier and value, each value as `parse_elements` would return it. Values of
            predefined length are written first (GS1 advises it: fewer separators); otherwise the order stays.
        used: the application identifiers taken; None for all that GS1 has assigned.

    Raises:
        IdentifierError: a value or identifier `parse_elements` would refuse.
    """
    text = ""
    for rule, value in _in_order(pairs, used):
        text += rule.ai + value + ("" if rule.predefined else SEPARATOR)
    return text.removesuffix(SEPARATOR)


def human_readable(pairs: Sequence[tuple[str, str]], *, used: Collection[str] | None = PLANT_AIS) -> str:
    """Return the line printed under a symbol, "(00)..." with brackets, in the order `write_elements` encodes.

    Raises:
        IdentifierError: a value or identifier `parse_elements` would refuse.
    """
    return "".join(f"({rule.ai}){value}" for rule, value in _in_order(pairs, used))

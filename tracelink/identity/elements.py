"""GS1 element strings of the seven application identifiers this plant uses: read, judged, written.

A symbol is a row of elements, each an application identifier and its value. Values of predefined length end
by themselves; every other value ends at a separator or at the end of the symbol. If a separator is lost, a
variable value swallows what follows: lot LOT42 and serial SER become lot LOT4221SER, and no rule of the
grammar is broken. `parse_elements` refuses what cannot be right; `suspect_lost_separator` names what may be
wrong, to be settled by the ledger, which knows its lots and serials.
"""

from collections.abc import Mapping, Sequence

from tracelink.errors import IdentifierError, InvalidFormat, InvalidLength, LostSeparator
from tracelink.identity.aitable import CSET_82, RULES, SEPARATOR, ElementRule, identifier_at
from tracelink.identity.checkdigit import is_digits, require_gs1_check_digit

_CSET_82_STRIP = "".join(sorted(CSET_82))


def parse_elements(payload: str) -> dict[str, str]:
    """Read the element strings of one symbol.

    Args:
        payload: text behind the symbology identifier, with byte 29 as separator. One separator too many after
            a value, also the last, is tolerated as the standard asks; a leading or doubled one is not.

    Returns:
        Value by application identifier, in the order read.

    Raises:
        InvalidFormat: no data, an identifier not used here, a character not allowed, one identifier repeated
            with another value, a piece number that cannot be.
        InvalidLength: a value too short.
        InvalidCheckCharacter: a GTIN or SSCC whose check digit does not fit.
        LostSeparator: a value runs on where it must have ended.

    Source:
        GS1 General Specifications, sections on element strings and FNC1 processing.
    """
    if not payload:
        raise InvalidFormat("nothing follows the symbology identifier; expected GS1 element strings")
    elements: dict[str, str] = {}
    at = 0
    while at < len(payload):
        rule = _rule_at(payload, at)
        at += len(rule.ai)
        value = _value_at(payload, at, rule)
        _check_value(rule, value)
        if elements.setdefault(rule.ai, value) != value:
            raise InvalidFormat(
                f"({rule.ai}) stands twice with different values: {elements[rule.ai]!r} and {value!r}"
            )
        at += len(value)
        if payload[at : at + 1] == SEPARATOR:
            at += 1
    return elements


def _rule_at(payload: str, at: int) -> ElementRule:
    """Return the rule of the application identifier at a position of the payload."""
    rule = RULES.get(payload[at : at + 2]) or RULES.get(payload[at : at + 4])
    if rule is not None:
        return rule
    if payload[at] == SEPARATOR:
        raise InvalidFormat(f"separator at position {at + 1}: expected an application identifier there")
    ai = identifier_at(payload, at)
    if ai is not None:
        return _rule_of(ai)
    raise InvalidFormat(
        f"expected an application identifier at position {at + 1}, found {payload[at : at + 4]!r}"
    )


def _rule_of(ai: str) -> ElementRule:
    """Return the rule of an application identifier, which may be one not used here."""
    rule = RULES.get(ai)
    if rule is None:
        raise InvalidFormat(
            f"application identifier {ai} is not used here: expected one of {', '.join(RULES)}"
        )
    return rule


def _value_at(payload: str, at: int, rule: ElementRule) -> str:
    """Cut one value out of the payload; its length is right for its rule."""
    stop = payload.find(SEPARATOR, at)
    field = payload[at:] if stop < 0 else payload[at:stop]
    if len(field) < rule.shortest:
        raise InvalidLength(
            f"({rule.ai}) {rule.title} needs {_length_in_words(rule)}, found {len(field)} in {field!r}"
        )
    if rule.predefined:
        return field[: rule.longest]
    if len(field) > rule.longest:
        raise LostSeparator(
            f"({rule.ai}) {rule.title} runs on to {len(field)} characters in {field!r}: expected "
            f"{_length_in_words(rule)} before a separator; the separator is missing or the label is misprinted"
        )
    return field


def _length_in_words(rule: ElementRule) -> str:
    kind = "digits" if rule.numeric else "characters"
    return f"{rule.longest} {kind}" if rule.shortest == rule.longest else f"1 to {rule.longest} {kind}"


def _check_value(rule: ElementRule, value: str) -> None:
    """Raise unless a value of the right length is one the rule allows."""
    if not rule.numeric:
        if value.strip(_CSET_82_STRIP):
            strange = next(c for c in value if c not in CSET_82)
            raise InvalidFormat(
                f"({rule.ai}) {rule.title} {value!r} holds {strange!r}, which GS1 does not allow there"
            )
        return
    if not is_digits(value):
        swallowed = suspect_lost_separator(value)
        if swallowed and not rule.predefined:
            raise LostSeparator(f"({rule.ai}) {rule.title} must be digits: {swallowed}")
        raise InvalidFormat(f"({rule.ai}) {rule.title} must be digits 0-9, found {value!r}")
    if rule.key:
        require_gs1_check_digit(value[: rule.key_length], rule.key)
    if rule.ai == "8006":
        piece_of_total(value)


def piece_of_total(value: str) -> tuple[int, int]:
    """Return piece and total of a value of (8006).

    Args:
        value: 18 digits: GTIN, two digits piece, two digits total.

    Raises:
        InvalidFormat: piece or total is 0, or the piece is beyond the total.
    """
    piece, total = int(value[14:16]), int(value[16:18])
    if not 1 <= piece <= total:
        raise InvalidFormat(f"(8006) says piece {piece} of {total}: expected a piece from 1 to the total")
    return piece, total


def check_association(elements: Mapping[str, str]) -> None:
    """Raise unless the elements may stand together on one item.

    Args:
        elements: all elements of all symbols on the item together, as the standard asks; a carton label may
            carry SSCC and content in two symbols.

    Raises:
        InvalidFormat: an identifier lacks its partner, stands beside one it excludes, or is not used here.

    Source:
        GS1 Barcode Syntax Dictionary, release 2026-01-27, attributes req and ex.
    """
    for ai in elements:
        rule = _rule_of(ai)
        for other in rule.excludes:
            if other in elements:
                raise InvalidFormat(
                    f"({ai}) {rule.title} and ({other}) {RULES[other].title} exclude each other"
                )
        for group in rule.needs:
            if elements.keys().isdisjoint(group):
                partners = " or ".join(f"({other})" for other in group)
                raise InvalidFormat(f"({ai}) {rule.title} needs {partners} on the same item, found none")


def suspect_lost_separator(value: str) -> str | None:
    """Name what a lot or serial may have swallowed, or return None.

    A suspicion only: A2105 may be lot A with serial 05 or simply lot A2105. Refuse it as `LostSeparator` only
    when the ledger does not know the value as it stands.

    Args:
        value: value of (10) or (21) as `parse_elements` returned it.

    Returns:
        A sentence naming the first place at which an application identifier of this plant is followed by a
        value of legal length, characters and check digit; None if there is no such place.
    """
    for at in range(1, len(value)):
        rule = RULES.get(value[at : at + 2]) or RULES.get(value[at : at + 4])
        if rule is not None and _reads_as(rule, value[at + len(rule.ai) :]):
            return (
                f"{value!r} may be {value[:at]!r} followed by ({rule.ai}){value[at + len(rule.ai) :]}, "
                "with the separator between them lost"
            )
    return None


def _reads_as(rule: ElementRule, rest: str) -> bool:
    """Say whether rest begins with (predefined length) or is (all other) a legal value of the rule."""
    value = rest[: rule.longest] if rule.predefined else rest
    if not rule.shortest <= len(value) <= rule.longest or (rule.numeric and not is_digits(value)):
        return False
    try:
        _check_value(rule, value)
    except IdentifierError:
        return False
    return True


def _in_order(pairs: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    """Put values of predefined length first, as the standard advises; else keep the order given."""
    for ai, value in pairs:
        rule = _rule_of(ai)
        if not rule.shortest <= len(value) <= rule.longest:
            raise InvalidLength(
                f"({ai}) {rule.title} needs {_length_in_words(rule)}, found {len(value)} in {value!r}"
            )
        _check_value(rule, value)
    return sorted(pairs, key=lambda pair: not RULES[pair[0]].predefined)


def write_elements(pairs: Sequence[tuple[str, str]]) -> str:
    r"""Return the text of one symbol, byte 29 only where a separator is needed.

    Args:
        pairs: application identifier and value, each value as `parse_elements` would return it. Values of
            predefined length are written first (GS1 advises it: fewer separators); otherwise the order stays.

    Raises:
        IdentifierError: a value or identifier `parse_elements` would refuse.
    """
    text = ""
    for ai, value in _in_order(pairs):
        text += ai + value + ("" if RULES[ai].predefined else SEPARATOR)
    return text.removesuffix(SEPARATOR)


def human_readable(pairs: Sequence[tuple[str, str]]) -> str:
    """Return the line printed under a symbol, "(00)..." with brackets, in the order `write_elements` encodes.

    Raises:
        IdentifierError: a value or identifier `parse_elements` would refuse.
    """
    return "".join(f"({ai}){value}" for ai, value in _in_order(pairs))

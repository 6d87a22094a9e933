"""Which elements must and must not stand together on one item, over all its symbols."""

from collections.abc import Collection, Iterator, Mapping, Sequence

from tracelink.errors import InvalidFormat
from tracelink.identity.gs1.aitable import ElementRule, rule_of


def check_association(*symbols: Mapping[str, str]) -> dict[str, str]:
    """Raise unless the elements may stand together on one item.

    Args:
        symbols: the elements of each symbol on the item, all of them, as the standard asks; a carton label may
            carry SSCC and content in two symbols, neither of which would hold alone.

    Returns:
        All elements together, in the order given.

    Raises:
        InvalidFormat: an identifier has two values, lacks its partner, stands beside one it excludes, or is not one
            that GS1 has assigned.

    Source:
        GS1 Barcode Syntax Dictionary, release 2026-01-27, attributes req and ex.
    """
    elements = _together(symbols)
    for sentence in unmet(elements):
        raise InvalidFormat(sentence)
    return elements


def unmet(elements: Mapping[str, str]) -> Iterator[str]:
    """Yield a sentence for each pair of elements that exclude each other, and for each partner that is missing.

    Args:
        elements: of all the symbols on the item.

    Raises:
        InvalidFormat: an identifier is not one that GS1 has assigned.
    """
    for ai in elements:
        rule = rule_of(ai, None)
        yield from _excluded(rule, elements)
        yield from _missing(rule, elements)


def _together(symbols: tuple[Mapping[str, str], ...]) -> dict[str, str]:
    elements: dict[str, str] = {}
    for symbol in symbols:
        for ai, value in symbol.items():
            if elements.setdefault(ai, value) != value:
                raise InvalidFormat(
                    f"({ai}) stands on one item with different values: {elements[ai]!r} and {value!r}"
                )
    return elements


def _standing(pattern: str, elements: Collection[str]) -> list[str]:
    """Return the identifiers present that a pattern stands for; "n" is any digit."""
    if "n" not in pattern:
        return [pattern] if pattern in elements else []
    start = pattern.rstrip("n")
    return [ai for ai in elements if ai.startswith(start) and len(ai) == len(pattern)]


def _excluded(rule: ElementRule, elements: Collection[str]) -> Iterator[str]:
    for pattern in rule.excludes:
        for other in _standing(pattern, elements):
            # An identifier does not exclude itself, though its pattern may fit it.
            if other != rule.ai:
                yield f"{rule.name} and {rule_of(other, None).name} exclude each other"


def _missing(rule: ElementRule, elements: Collection[str]) -> Iterator[str]:
    for group in rule.needs:
        if not any(all(_standing(pattern, elements) for pattern in choice) for choice in group):
            yield f"{rule.name} needs {partners_in_words(group)} on the same item, found none"


def partners_in_words(group: Sequence[Sequence[str]]) -> str:
    """Return the choices of one group of `ElementRule.needs`: `(01) or (02) with (37)`."""
    return " or ".join(" with ".join(f"({ai})" for ai in choice) for choice in group)

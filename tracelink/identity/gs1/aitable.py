"""The application identifiers: what each carries, where it ends, and what must or must not stand beside it.

The seven this plant prints are read at once, since a station needs no others; the full table, for the labels of
customers and suppliers, is read when first asked for.

Source: GS1 Barcode Syntax Dictionary, release 2026-01-27; GS1 General Specifications, table of element strings with
predefined length.
"""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from tracelink.errors import InvalidFormat
from tracelink.identity.gs1.aidata import MEASURES, ROWS
from tracelink.identity.gs1.charsets import CSET_82

__all__ = [
    "CSET_82",
    "PLANT_AIS",
    "RULES",
    "SEPARATOR",
    "Component",
    "ElementRule",
    "all_rules",
    "identifier_at",
    "rule_of",
    "rules_for",
]

SEPARATOR = "\x1d"
"""How a reader sends the FNC1 character between two element strings: byte 29, group separator."""

PLANT_AIS = ("00", "01", "02", "10", "21", "37", "8006")
"""The identifiers this plant prints and its stations read."""

_DECIMALS = range(6)


@dataclass(frozen=True, slots=True)
class Component:
    """One part of a value."""

    letter: str
    """N digits, X GS1 character set 82, Y set 39, Z base 64."""

    shortest: int
    """Fewest characters, if it is there."""

    longest: int
    """Most characters."""

    optional: bool
    """It may be left out, and with it all behind it."""

    checks: tuple[str, ...]
    """What else holds, by the dictionary's names; see `aivalues`."""


@dataclass(frozen=True, slots=True)
class ElementRule:
    """What one application identifier carries and what must or must not stand beside it."""

    ai: str
    """The application identifier, digits."""

    title: str
    """GS1 data title; empty where GS1 has given none."""

    components: tuple[Component, ...]
    """The parts of the value, in order; only the last one has no fixed length."""

    predefined: bool
    """The length is predefined, so that no separator follows; all others need one unless last."""

    shortest: int
    """Fewest characters of the value."""

    longest: int
    """Most characters of the value."""

    numeric: bool
    """Digits 0-9 only."""

    needs: tuple[tuple[tuple[str, ...], ...], ...]
    """Of each group one choice must be on the same item, all identifiers of that choice; "n" is any digit."""

    excludes: tuple[str, ...]
    """Identifiers that may not be on the same item; the dictionary names a pair once, it binds both."""

    link_attribute: bool
    """It may stand behind the question mark of a web address."""

    link_paths: tuple[tuple[str, ...], ...]
    """If it can be the key of a web address: what may follow it, in order, one tuple for each alternative.
    Empty if it cannot be a key."""

    @property
    def name(self) -> str:
        """Identifier and data title, for sentences."""
        return f"({self.ai}) {self.title}".rstrip()


def _component(text: str) -> Component:
    """Read "N13", "X..30" or "[N6]", checks behind commas."""
    form, *checks = text.split(",")
    optional = form.startswith("[")
    letter, length = (form[1], form[2:-1]) if optional else (form[0], form[1:])
    longest = int(length.removeprefix(".."))
    shortest = 1 if length.startswith("..") else longest
    return Component(letter, shortest, longest, optional, tuple(checks))


def _rules_of(cells: list[str]) -> Iterator[ElementRule]:
    """Make the rule or, of a range, the rules of one line of the table."""
    span, flags, form, needs, excludes, paths, title = cells
    components = tuple(_component(text) for text in form.split())
    first, _, last = span.partition("-")
    for number in range(int(first), int(last or first) + 1):
        yield ElementRule(
            ai=f"{number:0{len(first)}d}",
            title=title,
            components=components,
            predefined="*" in flags,
            shortest=sum(part.shortest for part in components if not part.optional),
            longest=sum(part.longest for part in components),
            numeric=all(part.letter == "N" for part in components),
            needs=tuple(
                tuple(tuple(choice.split("+")) for choice in group.split(",")) for group in needs.split()
            ),
            excludes=tuple(filter(None, excludes.split(","))),
            link_attribute="?" in flags,
            link_paths=tuple(_link_path(path) for path in paths.split("/") if path),
        )


def _link_path(text: str) -> tuple[str, ...]:
    return () if text == "alone" else tuple(text.split(","))


def _cells(line: str) -> list[str]:
    return [cell.strip() for cell in line.split("|")]


_LINES = ROWS.strip().splitlines()
RULES: Mapping[str, ElementRule] = {
    rule.ai: rule
    for line in _LINES
    if line[: line.index(" ")] in PLANT_AIS
    for rule in _rules_of(_cells(line))
}
"""The seven identifiers of this plant, by their digits."""


@cache
def all_rules() -> Mapping[str, ElementRule]:
    """Return the rules of every application identifier GS1 has assigned, by their digits."""
    rules = {rule.ai: rule for line in _LINES for rule in _rules_of(_cells(line))}
    for needs, lines in MEASURES.items():
        for line in lines.strip().splitlines():
            start, title = line.split(" ", 1)
            span = f"{start}{_DECIMALS[0]}-{start}{_DECIMALS[-1]}"
            row = [span, "*?", "N6", needs, f"{start}n", "", title]
            rules |= {rule.ai: rule for rule in _rules_of(row)}
    return rules


def rules_for(used: Collection[str] | None) -> Mapping[str, ElementRule]:
    """Return the rules of the identifiers in use; None stands for all that GS1 has assigned.

    Raises:
        InvalidFormat: one of them is not assigned.
    """
    if used is PLANT_AIS:
        return RULES
    return all_rules() if used is None else {ai: rule_of(ai, None) for ai in used}


def rule_of(ai: str, used: Collection[str] | None) -> ElementRule:
    """Return the rule of an application identifier.

    Args:
        ai: its digits.
        used: the identifiers in use; None for all.

    Raises:
        InvalidFormat: it is not one of them.
    """
    rule = RULES.get(ai) or all_rules().get(ai)
    if used is not None and ai not in used:
        raise InvalidFormat(
            f"application identifier {ai} is not used here: expected one of {', '.join(used)}"
        )
    if rule is None:
        raise InvalidFormat(f"application identifier {ai} is not one that GS1 has assigned")
    return rule


def identifier_at(payload: str, at: int) -> str | None:
    """Return the application identifier that begins at a position, used here or not; None if there is none."""
    for length in (2, 3, 4):
        if payload[at : at + length] in all_rules():
            return payload[at : at + length]
    return None

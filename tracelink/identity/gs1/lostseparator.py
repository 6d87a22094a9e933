"""What a value may have swallowed when the separator behind it was lost.

LOT42 and serial SER printed without the separator between them read as lot LOT4221SER, and no rule of the grammar is
broken. Only the ledger can tell: it knows its lots and serials, and asks here where a value may come apart.
"""

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from tracelink.identity.gs1.aitable import PLANT_AIS, rules_for
from tracelink.identity.gs1.aivalues import is_value


@dataclass(frozen=True, slots=True)
class Split:
    """One way in which a value may be two elements."""

    before: str
    """The value as it was meant, at least one character."""

    ai: str
    """The application identifier it swallowed."""

    rest: str
    """What stands behind that identifier: a value of it, and what may follow a value of predefined length."""


def possible_splits(value: str, *, used: Collection[str] | None = PLANT_AIS) -> Iterator[Split]:
    """Yield every way in which a value may have swallowed another element, from the left.

    Args:
        value: value of an identifier without predefined length, such as (10) or (21).
        used: the identifiers that may have been swallowed; None for all of GS1. Their number decides how much is
            suspected: of values with some digits in them nearly every one can be read as something by all of GS1.
    """
    rules = rules_for(used)
    for at in range(1, len(value)):
        for length in (2, 3, 4):
            rule = rules.get(value[at : at + length])
            if rule is None:
                continue
            rest = value[at + length :]
            if is_value(rule, rest[: rule.longest] if rule.predefined else rest):
                yield Split(value[:at], rule.ai, rest)


def suspect_lost_separator(value: str, *, used: Collection[str] | None = PLANT_AIS) -> str | None:
    """Name what a lot or serial may have swallowed, or return None.

    A suspicion only: A2105 may be lot A with serial 05 or simply lot A2105. Refuse it as `LostSeparator` only
    when the ledger does not know the value as it stands.

    Args:
        value: value of (10) or (21) as `parse_elements` returned it.
        used: the identifiers that may have been swallowed; None for all of GS1.

    Returns:
        A sentence naming the first place at which an application identifier in use is followed by a value of legal
        length, characters and check digit; None if there is no such place.
    """
    split = next(possible_splits(value, used=used), None)
    if split is None:
        return None
    return (
        f"{value!r} may be {split.before!r} followed by ({split.ai}){split.rest}, "
        "with the separator between them lost"
    )

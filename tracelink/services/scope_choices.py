"""What the named person has to choose from; nothing is chosen here."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

from tracelink.facts.scope_discs import Recipient
from tracelink.facts.scope_records import DecisionForm, Effect
from tracelink.genealogy.containment.scope import Scope
from tracelink.ledger.count_words import counted
from tracelink.ledger.kinds.setup import Setting
from tracelink.ledger.plant.default_settings import DEFAULT_SETTINGS, EFFECT_SHARES

DEPTHS = (
    "hold in the plant only",
    "direct consignees of this document",
    "retail level, beyond the consignees",
    "consumer or user level",
)
"""Source: depth of recall, 21 CFR 7.42(b)(1) (not checked against the original text), with the plant itself before it."""


_ALL = 100
"""Percent."""

_SOURCE = (
    "Depths and levels are those of 21 CFR 7.42(b), not checked against the original text: a model, not a rule that binds "
    "this plant. Read the original, and the law that applies where the product was sold."
)


def decision(scope: Scope, recipients: Sequence[Recipient], shares: Sequence[Setting]) -> DecisionForm:
    """Return what there is to choose from, and how far the records follow the discs.

    Args:
        scope: the containment.
        recipients: who has, or is to have, an affected disc.
        shares: the settings named in `EFFECT_SHARES`; none uses their defaults.
    """
    gone = [one for one in recipients if any(delivery.shipped for delivery in one.deliveries)]
    used = shares or [one for name in EFFECT_SHARES for one in DEFAULT_SETTINGS if one.name == name]
    return DecisionForm(tuple(_reach(scope, gone)), DEPTHS, tuple(_effects(len(gone), used)), _SOURCE)


def _reach(scope: Scope, gone: Sequence[Recipient]) -> Iterator[str]:
    words = scope.words
    left = [held for held in scope.containers if held.most and held.shipped]
    if not left:
        yield f"According to the records no container that can hold an affected {words.one} has left the plant."
        return
    codes = len({held.code for held in left})
    yield (
        f"According to the records {counted(codes, 'container')} that can hold an affected {words.one} left the plant, to "
        f"{counted(len(gone), 'consignee')}. The records end there: where a consignee passed {words.many} on to is not in them."
    )


def _effects(count: int, shares: Sequence[Setting]) -> Iterator[Effect]:
    for share in shares:
        level = share.name.split("_")[1].upper()
        words = "every recipient" if share.value == _ALL else f"{share.value} % of the recipients"
        if level == "B":
            words += ", or another share over 10 and under 100, decided case by case"
        yield Effect(level, words, f"{ceil(count * share.value / _ALL)} of {count}", share.source)
    yield Effect("E", "none", f"0 of {count}", _SOURCE)

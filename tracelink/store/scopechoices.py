"""What the named person has to choose from; nothing is chosen here."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import ceil

from tracelink.genealogy.scope import Scope
from tracelink.report.plain import counted
from tracelink.report.scope_doc_where import Decision, Effect, Recipient

DEPTHS = (
    "hold in the plant only",
    "direct consignees of this document",
    "retail level, beyond the consignees",
    "consumer or user level",
)
"""Source: depth of recall, 21 CFR 7.42(b)(1) (from memory), with the plant itself before it."""

_SHARES = (
    ("A", "every recipient", 100),
    ("B", "more than 10 % and fewer than all, decided case by case", None),
    ("C", "10 % of the recipients", 10),
    ("D", "2 % of the recipients", 2),
    ("E", "none", 0),
)
"""Level, words, percent. Source: effectiveness checks, 21 CFR 7.42(b)(3) (percentages from memory)."""

_SOURCE = (
    "Depths and levels are those of 21 CFR 7.42(b), from memory: a model, not a rule that binds this plant. Read the "
    "original, and the law that applies where the product was sold."
)


def decision(scope: Scope, recipients: Sequence[Recipient]) -> Decision:
    """Return what there is to choose from, and how far the records follow the discs.

    Args:
        scope: the containment.
        recipients: who has, or is to have, an affected disc.
    """
    gone = [one for one in recipients if any(delivery.shipped for delivery in one.deliveries)]
    return Decision(tuple(_reach(scope, gone)), DEPTHS, tuple(_effects(len(gone))), _SOURCE)


def _reach(scope: Scope, gone: Sequence[Recipient]) -> Iterator[str]:
    left = [held for held in scope.containers if held.most and held.shipped]
    if not left:
        yield "By the records no container that can hold an affected disc has left the plant."
        return
    codes = len({held.code for held in left})
    yield (
        f"By the records {counted(codes, 'container')} that can hold an affected disc left the plant, to "
        f"{counted(len(gone), 'consignee')}. The records end there: where a consignee passed discs on to is not in them."
    )


def _effects(count: int) -> Iterator[Effect]:
    for level, words, percent in _SHARES:
        if percent is None:
            most = count - 1
            least = count // 10 + 1
            asked = f"{least} to {most} of {count}" if least <= most else f"does not arise with {count}"
        else:
            asked = f"{ceil(count * percent / 100)} of {count}"
        yield Effect(level, words, asked)

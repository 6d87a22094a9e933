"""Investigations at the desk: opened about a difference, and closed."""

from __future__ import annotations

from runout import OpenLedger
from tracelink.web.acts.act_forms import (
    REASON,
    ActDone,
    Choices,
    DeskAct,
    FormField,
    FormFieldKind,
    Given,
    Signatures,
)
from tracelink.web.acts.case_form_parts import numbered

_LIST = (("/investigations", "All investigations"),)


def _open(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    found = ledger.balance(given["subject"])
    number = ledger.investigations.open(found, given["reason"], signed.by)
    return ActDone(
        f"Investigation {number} is open",
        (f"The difference of {found.subject} is looked into; until it is closed the release is barred.",),
        _LIST,
    )


def _close(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    subject = ledger.investigations.close(int(given["number"]), given["reason"], signed.by)
    return ActDone(
        f"Investigation {given['number']} is closed",
        (f"It was about {subject}; the difference stays in the balance as it is.",),
        _LIST,
    )


def _open_ones(ledger: OpenLedger, _given: Given) -> Choices:
    return numbered(ledger.investigations.listed(closed=False).to_dict())


ACTS = (
    DeskAct(
        "investigate",
        "Investigate a difference",
        "Open the investigation",
        (
            FormField(
                "subject", "Lot, sleeve batch, label lot or SSCC of a block of labels", FormFieldKind.CODE
            ),
            REASON,
        ),
        _open,
    ),
    DeskAct(
        "close-investigation",
        "Close an investigation",
        "Close it",
        (FormField("number", "Investigation", FormFieldKind.CHOICE, choices=_open_ones), REASON),
        _close,
        told="The reason says what was found. It needs the role quality.",
    ),
)
"""Acts about investigations."""

"""Holds at the desk: one thing, all that a question asks for, and the end of a hold."""

from __future__ import annotations

from urllib.parse import urlencode

from runout import DecidedBy, OpenLedger
from tracelink.web.acts import question_fields
from tracelink.web.acts.act_forms import REASON, ActDone, DeskAct, FormField, FormFieldKind, Given, Signatures
from tracelink.web.question import question_of

_LIST = (("/holds", "All holds"),)


def _hold(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    placed = ledger.lab.hold(given["thing"], given["reason"], signed.by)
    return ActDone("On hold", (placed.sentence,), _LIST)


def _hold_scope(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    decided = DecidedBy(signed.by.code, given["reason"], signed.by.pin)
    answer = ledger.hold(question_of(given), decided, document=False)
    assert answer.placed is not None, "holds were asked for"
    question = urlencode(
        {field.name: given[field.name] for field in question_fields.FIELDS if field.name in given}
    )
    onward = (
        (f"/act/case-open?{question}", "Open a case about it"),
        (f"/contain?{question}", "The question"),
        *_LIST,
    )
    return ActDone(f"Holds because of {answer.query.cause}", (answer.placed.sentence,), onward)


def _lift(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    sentence = ledger.lab.lift(given["hold"], given["reason"], signed.by, signed.agreed)
    return ActDone("Hold lifted", (sentence,), _LIST)


ACTS = (
    DeskAct(
        "hold",
        "Put a thing on hold",
        "Hold it",
        (FormField("thing", "What is held", FormFieldKind.CODE, hint="Code, SSCC or scan."), REASON),
        _hold,
        told="No station uses, packs, palletises or ships it until two people lift the hold.",
    ),
    DeskAct(
        "hold-scope",
        "Hold what a bad thing may have touched",
        "Place these holds",
        (*question_fields.FIELDS, REASON),
        _hold_scope,
        told="The question is asked again and all of its discs that are in the plant are held, in one transaction.",
    ),
    DeskAct(
        "lift-hold",
        "Lift a hold",
        "Lift it",
        (FormField("hold", "Hold, or the thing that only it names", FormFieldKind.CODE), REASON),
        _lift,
        needs_second=True,
        told="Two people of quality lift a hold; what it held can be packed and shipped again.",
    ),
)
"""Acts about holds."""

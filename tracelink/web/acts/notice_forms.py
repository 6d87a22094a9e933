"""Recording that consignees were told, with the very texts that the page of notices shows."""

from __future__ import annotations

from urllib.parse import urlencode

from runout import OpenLedger
from tracelink.clock import local_now
from tracelink.report.case.notice_items import COMMERCIAL, SAFETY, Item
from tracelink.web.acts.act_forms import (
    ActDone,
    Choices,
    DeskAct,
    FormField,
    FormFieldKind,
    Given,
    Signatures,
)
from tracelink.web.acts.case_form_parts import consignees, of_case, signer_of

_EVERYBODY = "everybody"


def _told(ledger: OpenLedger, given: Given) -> Choices:
    return ((_EVERYBODY, "every consignee of the case"), *consignees(ledger, given))


def _record(ledger: OpenLedger, signed: Signatures, given: Given, items: tuple[Item, ...]) -> ActDone:
    case, at = given["case"], local_now()
    said = {item.name: given[item.name] for item in items if item.name in given}
    names = None if given["consignee"] == _EVERYBODY else (given["consignee"],)
    written = ledger.notices.write(case, names, items=said, at=at)
    ledger.notices.record(case, signer_of(signed, given), written.letters, given["method"])
    files = f"/case/{case}/notices.zip?{urlencode({**said, 'at': at})}"
    return ActDone(
        "Notices recorded",
        (
            "The entries keep the hash of each text; keep the files, and send them: runout sends nothing.",
            *(f"{letter.consignee}, by {given['method']}." for letter in written.letters),
        ),
        ((files, "The files with these texts"), (f"/case/{case}", f"Case {case}")),
    )


def _act(name: str, items: tuple[Item, ...]) -> DeskAct:
    fields = (
        FormField("consignee", "Who was told", FormFieldKind.CHOICE, choices=_told),
        FormField("method", "How", hint="Such as letter or e-mail.", longest=60),
        *(
            FormField(item.name, f"{item.name}: {item.asks}", is_needed=False, longest=300, hint=item.source)
            for item in items
        ),
    )
    return of_case(
        name,
        "Record the notices of",
        "Record that they were told",
        fields,
        lambda ledger, signed, given: _record(ledger, signed, given, items),
        told="What nobody says here stands as a named gap in the text.",
    )


ACTS = (_act("notice", COMMERCIAL), _act("notice-safety", SAFETY))
"""Acts about notices: the items of safety notices only where a person marked the case so."""

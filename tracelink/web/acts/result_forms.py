"""A measured value at the desk: what MEASURE takes at the bench, in a form."""

from __future__ import annotations

from urllib.parse import urlencode

from runout import OpenLedger, TypedResult
from tracelink.web.acts.act_forms import (
    ActDone,
    Choices,
    DeskAct,
    FormField,
    FormFieldKind,
    Given,
    Signatures,
)


def _tests(ledger: OpenLedger, _given: Given) -> Choices:
    return tuple((test.name, f"{test.name} in {test.unit}") for test in ledger.lab.tests())


def _measure(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    # The unit stands beside the test on the page: whoever chooses the one has read the other.
    unit = next(test.unit for test in ledger.lab.tests() if test.name == given["test"])
    typed = TypedResult(
        given["sample"], given["test"], given["value"], unit, given["gauge"], given.get("side", "")
    )
    booked = ledger.lab.type_result(typed, signed.by)
    again = f"/act/measure?{urlencode({'test': given['test'], 'gauge': given['gauge']})}"
    return ActDone("Value booked", booked.sentences, ((again, "The next value with this gauge"),))


ACTS = (
    DeskAct(
        "measure",
        "Enter a measured value",
        "Book it",
        (
            FormField("sample", "Sample tag", FormFieldKind.CODE),
            FormField(
                "test",
                "Lab test",
                FormFieldKind.CHOICE,
                choices=_tests,
                hint="Those of the plant file. Values are in the unit that stands beside it.",
            ),
            FormField(
                "value", "Value", hint="With the decimal sign of the plant, without its unit.", longest=20
            ),
            FormField(
                "side",
                "Side",
                FormFieldKind.CHOICE,
                is_needed=False,
                choices=(("", "the whole disc"), ("A", "A"), ("B", "B")),
            ),
            FormField("gauge", "Gauge", FormFieldKind.CODE),
        ),
        _measure,
        told="A value outside its limit is booked and proposes a defect: a person judges the disc. A second value of the same "
        "disc and side needs a cause, and is taken at the bench with RETEST.",
    ),
)
"""Acts of the lab."""

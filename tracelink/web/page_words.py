"""What pages say in the place of an option of a command, or of the code of a finding."""

from __future__ import annotations

import re

from tracelink.ledger.finding_codes import FindingCode

FIELD_LABELS = {
    "--shape": "How the fault runs",
    "--evidence": "Judged discs not yet recorded",
    "--defect": "Only this defect",
    "--window": "Window",
    "--also": "Or these causes",
    "--only-with": "Only with each of these",
    "--from": "From",
    "--to": "To",
    "--seconds": "Seconds to think",
    "--share": "Share in percent",
    "--despite": "In spite of open points",
    "--version": "Entry that you saw last",
    "--item": "a field of the notice",
    "CODE": "Cause",
}
"""Option of a command -> label of the field that asks for the same."""
_OPTION = re.compile(r"(?<![\w-])(--[a-z]+(?:-[a-z]+)*|CODE(?=, the cause))(?![\w-])")


def on_page(sentence: str) -> str:
    """Return a sentence with the fields of a form in the place of options; one without stays as it is."""
    return _OPTION.sub(lambda found: f"“{FIELD_LABELS.get(found[1], found[1])}”", sentence)


def meaning_of(code: str) -> str:
    """Return what the code of a finding means; one that an earlier program wrote may not be known any more."""
    try:
        return FindingCode(code).meaning
    except ValueError:
        return "a code of an earlier program"

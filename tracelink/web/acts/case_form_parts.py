"""What the forms of containment cases have in common."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from tracelink.web.acts.act_forms import (
    ActDone,
    Choices,
    DeskAct,
    FormField,
    FormFieldKind,
    Given,
    Signatures,
)

if TYPE_CHECKING:
    from runout import CaseSigner, OpenLedger

_CASE = FormField("case", "Case", FormFieldKind.CODE, longest=40)
_SEEN = FormField("seen", "Entry that you saw last", FormFieldKind.KEPT, is_needed=False)


def consignees(ledger: OpenLedger, given: Given) -> Choices:
    """Return the consignees that a case names."""
    if "case" not in given:
        return ()
    from tracelink.genealogy.case.standing import status_of  # noqa: PLC0415  the server starts without it

    facts = ledger.cases.history(given["case"]).facts
    return tuple((line.consignee, line.consignee) for line in status_of(facts.recorded).lines)


def signer_of(signed: Signatures, given: Given) -> CaseSigner:
    """Return who writes, why, and which entry of the case they saw last."""
    from runout import CaseSigner  # noqa: PLC0415  the server starts without it

    seen = given.get("seen")
    return CaseSigner(signed.by, given.get("reason"), None, None if seen is None else int(seen))


def done(case: str, title: str, *sentences: str) -> ActDone:
    """Return what became of an act of a case, with the way back to it."""
    return ActDone(title, sentences or (f"{title}.",), ((f"/case/{case}", f"Case {case}"),))


def of_case(  # noqa: PLR0913  what a form of a case is made of
    name: str,
    title: str,
    button: str,
    fields: tuple[FormField, ...],
    do: Callable[[OpenLedger, Signatures, Given], ActDone],
    *,
    told: str = "",
    needs_second: bool = False,
) -> DeskAct:
    """Return an act of a case: it is refused if somebody wrote to the case since the form was opened."""
    return DeskAct(f"case-{name}", title, button, (_CASE, _SEEN, *fields), do, needs_second, told, _seen_now)


def _seen_now(ledger: OpenLedger, given: Given) -> dict[str, str]:
    if "case" not in given:
        return {}
    return {"seen": str(ledger.cases.history(given["case"]).facts.case.last_seq)}

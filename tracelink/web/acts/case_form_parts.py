"""What the forms of containment cases have in common."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import TYPE_CHECKING

from tracelink.report.format.document import Bullets, Section, TextBlock
from tracelink.report.format.table import Cell
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

_SHORT = 60
"""Characters of a reason in a list."""
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


def investigations(ledger: OpenLedger, _given: Given) -> Choices:
    """Return every investigation, the newest first."""
    return numbered(reversed(ledger.investigations.listed(closed=True).to_dict()))


def numbered(rows: Iterable[Mapping[str, Cell]]) -> Choices:
    """Return investigations by their numbers, with what each is about."""
    return tuple(
        (
            str(row["seq"]),
            f"{row['seq']}: {row['subject']}, {str(row['reason'])[:_SHORT]}{'' if row['closed_seq'] is None else ', closed'}",
        )
        for row in rows
    )


def people(ledger: OpenLedger, _given: Given) -> Choices:
    """Return everybody whose badge counts, by name."""
    owners = [one for one in ledger.people.everybody().owners if one.withdrawn is None]
    return tuple(
        (one.person, f"{one.name}, {one.person}") for one in sorted(owners, key=lambda each: each.name)
    )


def open_now(ledger: OpenLedger, given: Given) -> tuple[Section, ...]:
    """Return what is open in a case."""
    if "case" not in given:
        return ()
    from tracelink.genealogy.case.judge_replies import reply_findings  # noqa: PLC0415  the server starts without it
    from tracelink.genealogy.case.open_points import open_points  # noqa: PLC0415  as above

    now = ledger.cases.progress(given["case"]).now
    points = [*(one.sentence for one in reply_findings(now)), *open_points(now)]
    told = Bullets(tuple(points)) if points else TextBlock("No open point that the records can show.")
    return (Section("What is open", (told,)),)


def of_case(  # noqa: PLR0913  what a form of a case is made of
    name: str,
    title: str,
    button: str,
    fields: tuple[FormField, ...],
    do: Callable[[OpenLedger, Signatures, Given], ActDone],
    *,
    told: str = "",
    needs_second: bool = False,
    known_now: Callable[[OpenLedger, Given], tuple[Section, ...]] | None = None,
) -> DeskAct:
    """Return an act of a case: it is refused if somebody wrote to the case since the form was opened."""
    fields = (_CASE, _SEEN, *fields)
    return DeskAct(f"case-{name}", title, button, fields, do, needs_second, told, _seen_now, known_now)


def _seen_now(ledger: OpenLedger, given: Given) -> dict[str, str]:
    if "case" not in given:
        return {}
    return {"seen": str(ledger.cases.history(given["case"]).facts.case.last_seq)}

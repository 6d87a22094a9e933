"""Containment cases at the desk, from the first question to the end."""

from __future__ import annotations

from runout import OpenLedger
from tracelink.ledger.count_words import counted, words_of_all
from tracelink.report.case.history_sentences import CHECK_WORDS
from tracelink.web.acts import question_fields
from tracelink.web.acts.act_forms import REASON, ActDone, DeskAct, FormField, FormFieldKind, Given, Signatures
from tracelink.web.acts.case_form_parts import (
    consignees,
    done,
    investigations,
    of_case,
    open_now,
    people,
    signer_of,
)
from tracelink.web.question import question_of

_CONSIGNEE = FormField("consignee", "Consignee", FormFieldKind.CHOICE, choices=consignees)
_LEVELS = {
    "A": "all",
    "B": "a share, case by case",
    "C": "the share of the plant's setting, 10 % unless set",
    "D": "the share of the plant's setting, 2 % unless set",
    "E": "none",
}


def _open(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    made = ledger.cases.open(question_of(given), signer_of(signed, given), safety="safety" in given)
    words = words_of_all(tier.lot for tier in made.scope.tiers)
    total, others = made.scope.total, [*made.alike, *(case for case, _question in made.related)]
    return done(
        made.code,
        f"Case {made.code} is open",
        f"From the records up to entry {made.scope.head_seq}: {total.least} to {counted(total.most, words.one)} affected, "
        f"{counted(len(made.scope.containers), 'container')} that can hold one. Nothing is held by opening a case.",
        *(
            f"Case {other.code} is open about the same, by {other.name}: {other.reason}. Say which is worked on."
            for other in others
        ),
    )


def _scope(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    from tracelink.report.case.difference import difference_text  # noqa: PLC0415  the server starts without it

    made = ledger.cases.scope(given["case"], signer_of(signed, given))
    before, now = f"scope {made.version - 1}", f"scope {made.version}"
    told = difference_text(made.found, before, now).strip().splitlines()
    return done(given["case"], f"Scope {made.version} recorded", *filter(None, map(str.strip, told)))


def _holds(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    placed = ledger.cases.place_holds(given["case"], signer_of(signed, given))
    joined = f"Holds new to the case: {', '.join(placed.joined) or 'none'}."
    return done(given["case"], "Holds of the case", placed.sentence, joined)


def _reply(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    counts = {name: int(given[name]) for name in ("returned", "destroyed") if name in given}
    found = ledger.cases.reply(
        given["case"],
        signer_of(signed, given),
        given["consignee"],
        int(given["on_hand"]),
        returned=counts.get("returned"),
        destroyed=counts.get("destroyed"),
    )
    said = f"Reply of {given['consignee']} recorded."
    return done(given["case"], "Answer recorded", said, *(one.sentence for one in found))


def _level(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    share = int(given["share"]) if "share" in given else None
    drawn = ledger.cases.draw_checks(given["case"], signer_of(signed, given), given["level"], share=share)
    return done(
        given["case"],
        "Checks drawn",
        f"Level {given['level']}: {drawn.percent} % of the consignees ({drawn.source}).",
        f"To be checked: {', '.join(drawn.consignees) or 'nobody'}.",
    )


def _check(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    ledger.cases.check(given["case"], signer_of(signed, given), given["consignee"], given["result"])
    return done(given["case"], "Check recorded", f"{given['consignee']}: {CHECK_WORDS[given['result']]}.")


def _estimate(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    ledger.cases.estimate(given["case"], signer_of(signed, given), given["day"])
    return done(given["case"], "Estimate recorded", f"Expected completion: {given['day']}.")


def _cause(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    ledger.cases.state_cause(given["case"], signer_of(signed, given), given["words"])
    return done(given["case"], "Root cause recorded")


def _action(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    owner = given["owner"].upper()
    ledger.cases.set_action(given["case"], signer_of(signed, given), given["words"], owner, given["due"])
    return done(given["case"], "Corrective action recorded", f"Due {given['due']}, by {owner}.")


def _link(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    ledger.cases.link_investigation(given["case"], signer_of(signed, given), int(given["number"]))
    return done(given["case"], f"Investigation {given['number']} linked")


def _close(ledger: OpenLedger, signed: Signatures, given: Given) -> ActDone:
    points = ledger.cases.close(
        given["case"], signer_of(signed, given), signed.agreed, despite="despite" in given
    )
    left = f"{counted(len(points), 'open point')} are kept with it." if points else "No point was open."
    return done(given["case"], f"Case {given['case']} is closed", left, "Holds stay as they are.", *points)


ACTS = (
    DeskAct(
        "case-open",
        "Open a containment case",
        "Open the case",
        (
            *question_fields.FIELDS,
            FormField("safety", "This is a safety matter", FormFieldKind.YES, is_needed=False),
            REASON,
        ),
        _open,
        told="The question is asked and kept with its answer. Without the box the case is a commercial withdrawal; which of "
        "the two it is, is yours to say. Nothing is held by opening a case.",
    ),
    of_case("scope", "Record the next scope of", "Ask again and record", (REASON,), _scope),
    of_case("holds", "Place the holds of", "Place these holds", (REASON,), _holds),
    of_case(
        "reply",
        "Record an answer in",
        "Record the answer",
        (
            _CONSIGNEE,
            FormField("on_hand", "Discs, or parts, on hand when it was told", FormFieldKind.NUMBER),
            FormField(
                "returned", "Discs, or parts, it says it sent back", FormFieldKind.NUMBER, is_needed=False
            ),
            FormField(
                "destroyed", "Discs, or parts, it says it destroyed", FormFieldKind.NUMBER, is_needed=False
            ),
        ),
        _reply,
    ),
    of_case(
        "level",
        "Draw the effectiveness checks of",
        "Draw them",
        (
            FormField("level", "Level", FormFieldKind.CHOICE, choices=tuple(_LEVELS.items())),
            FormField(
                "share",
                "Share in percent",
                FormFieldKind.NUMBER,
                is_needed=False,
                hint="For level B only: over 10 and under 100.",
            ),
        ),
        _level,
        told="How many consignees are asked whether the notice came and was acted on.",
    ),
    of_case(
        "check",
        "Record an effectiveness check in",
        "Record the check",
        (
            _CONSIGNEE,
            FormField("result", "What was found", FormFieldKind.CHOICE, choices=tuple(CHECK_WORDS.items())),
        ),
        _check,
    ),
    of_case(
        "estimate",
        "Record the expected completion of",
        "Record it",
        (FormField("day", "Day", FormFieldKind.DAY),),
        _estimate,
    ),
    of_case(
        "root-cause",
        "State the root cause of",
        "Record it",
        (FormField("words", "Root cause", FormFieldKind.WORDS),),
        _cause,
    ),
    of_case(
        "action",
        "Set a corrective action in",
        "Record it",
        (
            FormField("words", "What is to be done", FormFieldKind.WORDS),
            FormField("owner", "Who does it", FormFieldKind.CHOICE, choices=people),
            FormField("due", "Until when", FormFieldKind.DAY),
        ),
        _action,
    ),
    of_case(
        "link",
        "Link an investigation to",
        "Link it",
        (FormField("number", "Investigation", FormFieldKind.CHOICE, choices=investigations),),
        _link,
    ),
    of_case(
        "close",
        "Close",
        "Close the case",
        (
            REASON,
            FormField(
                "despite",
                "In spite of open points, which are kept with it",
                FormFieldKind.YES,
                is_needed=False,
            ),
        ),
        _close,
        told="Two people of quality close a case. Holds stay as they are.",
        needs_second=True,
        known_now=open_now,
    ),
)
"""Acts about cases."""

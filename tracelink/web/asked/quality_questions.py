"""Exercises, the pace of the line, the summary of a case, and the rules that all of it follows."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from runout import OpenLedger
from tracelink.clock import local_now
from tracelink.errors import UsageError
from tracelink.facts.held_drill import DRAWN_FROM
from tracelink.ledger.count_words import counted, kind_words
from tracelink.report.case.notice_items import AUTHORITY
from tracelink.report.case.safety_rules import RULE_COLUMNS
from tracelink.report.case.safety_rules import rule_rows as safety_rows
from tracelink.report.case.summary_columns import SUMMARY_COLUMNS
from tracelink.report.format.document import Bullets, FramedNote, Picture, TextBlock
from tracelink.report.format.table import table
from tracelink.report.pages.drill_document import HELD_COLUMNS, STEP_COLUMNS, drill_document, step_rows
from tracelink.report.pages.hall_text import PACE_COLUMNS, pace_picture, pace_rows, pace_sentences
from tracelink.report.pages.rule_table import PARTS, RULES, Force
from tracelink.report.pages.rules_page import COLUMNS, rule_rows, rules_document
from tracelink.web.acts.act_forms import FormField, FormFieldKind, Given
from tracelink.web.asked.question_pages import PageAnswer, PageQuestion
from tracelink.web.lists.page_parts import section
from tracelink.web.question import day_or_time
from tracelink.web.whole_numbers import whole_number

_SAME = "The table below says the same in words."
_BREAK = "30"
_MOST_SEED = 10**12
_MOST_MINUTES = 999_999
"""Two years."""


def seed_of(given: Mapping[str, str]) -> int | None:
    """Return the seed that stands in a form; None for one to be taken.

    Raises:
        UsageError: it is no number.
    """
    text = given.get("seed")
    if text is None:
        return None
    found = whole_number(text, _MOST_SEED)
    if found is None:
        raise UsageError(f"the seed is {text[:20]!r}: expected a whole number up to {_MOST_SEED}")
    return found


def _drill(ledger: OpenLedger, given: Given) -> PageAnswer:
    if "what" not in given:
        rows = ledger.drills.recorded().to_dict()
        listed = table("", "Drills", HELD_COLUMNS, rows, "No drill was recorded.")
        return PageAnswer(
            "Drills: trace exercises", (section("Those that were recorded", listed),), rows, HELD_COLUMNS
        )
    found = ledger.drills.hold(given["what"], seed=seed_of(given))
    document = drill_document(found, at=local_now())
    asked = urlencode({"what": found.what, "seed": found.seed})
    return PageAnswer(
        document.title,
        document.sections,
        step_rows(found),
        STEP_COLUMNS,
        found.to_dict(),
        (
            (f"/act/record-drill?{asked}", "Record that it was held"),
            (f"/drill?{asked}", "The same draw again"),
            ("/drill", "Drills that were recorded"),
        ),
        document,
    )


def _pace(ledger: OpenLedger, given: Given) -> PageAnswer:
    text = given.get("break", _BREAK)
    minutes = whole_number(text, _MOST_MINUTES, least=1)
    if minutes is None:
        raise UsageError(f"the break is {text[:20]!r}: expected whole minutes, from 1")
    since = day_or_time(given["since"], "00:00") if "since" in given else None
    until = day_or_time(given["until"], "23:59:59") if "until" in given else None
    found = ledger.hall.pace(since, until, minutes)
    rows = pace_rows(found)
    listed = table("", "Stations", PACE_COLUMNS, rows, "Nothing was placed, joined, tested or packed then.")
    drawn = (Picture(pace_picture(found), _SAME),) if rows else ()
    sentences = pace_sentences(found)
    told = (Bullets(tuple(sentences)),) if sentences else ()
    return PageAnswer(
        "Pace of the assembly line",
        (section("Pieces an hour along the line", *told, *drawn, listed),),
        rows,
        PACE_COLUMNS,
        found.to_dict(),
        (("/faults", "Faults of built pieces"),),
    )


def _summary(ledger: OpenLedger, given: Given) -> PageAnswer:
    items = {item.name: given[item.name] for item in AUTHORITY if item.name in given}
    made = ledger.notices.summarise(given["case"], items=items)
    case, plain = made.facts.case, made.to_dict()
    gaps = (
        (FramedNote(f"{counted(len(made.gaps), 'item')} not given: {', '.join(made.gaps)}."),)
        if made.gaps
        else ()
    )
    note = TextBlock("The records are asked as they are now; nothing is recorded or sent by looking.")
    return PageAnswer(
        f"Summary of case {case} for an authority",
        (section("The text", note, *gaps),),
        plain["consignees"],
        SUMMARY_COLUMNS,
        plain,
        ((f"/case/{case}", f"Case {case}"),),
        letter=tuple(made.text.rstrip("\n").splitlines()),
    )


def _record_rules(ledger: OpenLedger, given: Given) -> PageAnswer:
    part, binding = given.get("part"), "binding" in given
    if part not in (None, *PARTS):
        raise UsageError(f"the part is {part!r}: expected one of {', '.join(PARTS)}")
    chosen = [
        rule for rule in RULES if part in (None, rule.part) and (not binding or rule.force is Force.CONTRACT)
    ]
    held = ledger.journal.counts()
    document = rules_document(chosen, held.kinds, held.head, local_now())
    return PageAnswer(
        document.title,
        document.sections,
        rule_rows(chosen, held.kinds),
        COLUMNS,
        links=(("/case-rules", "Rules that a case and a drill follow"),),
        document=document,
    )


def _case_rules(_ledger: OpenLedger, _given: Given) -> PageAnswer:
    rows = safety_rows()
    note = FramedNote(
        "What was not checked against the original text must be read there before anybody relies on it. The program gives no "
        "legal advice; an authorised person decides, under the law that applies where the product was sold."
    )
    return PageAnswer(
        "Rules that a case and a drill follow",
        (
            section(
                "Which bind such a plant, and which are models", note, table("", "Rules", RULE_COLUMNS, rows)
            ),
        ),
        rows,
        RULE_COLUMNS,
        links=(("/cases", "Cases"), ("/drill", "Drills"), ("/audit/rules", "Rules of record keeping")),
    )


DRILL = PageQuestion(
    "drill",
    "Drills: trace exercises",
    "Hold one",
    (
        FormField(
            "what",
            "What is drawn",
            FormFieldKind.CHOICE,
            choices=tuple((kind, kind_words(kind)) for kind in DRAWN_FROM),
        ),
        FormField(
            "seed",
            "Seed of the draw",
            FormFieldKind.NUMBER,
            is_needed=False,
            hint="The same seed and records draw the same; empty takes one, which the page names.",
        ),
    ),
    _drill,
    told="Something is drawn; back trace, forward trace, containment and balance are timed. Nothing is written until somebody records "
    "it.",
    links=(("/case-rules", "Rules that it follows"),),
)
PACE = PageQuestion(
    "pace",
    "Pace of the assembly line",
    "Show",
    (
        FormField("since", "From", FormFieldKind.DAY, is_needed=False),
        FormField("until", "To", FormFieldKind.DAY, is_needed=False),
        FormField(
            "break",
            "Minutes of a break",
            FormFieldKind.NUMBER,
            is_needed=False,
            hint=f"A longer time between two entries of a station is a break; {_BREAK} unless said.",
        ),
    ),
    _pace,
)
SUMMARY = PageQuestion(
    "summary",
    "Summary of a case for an authority",
    "Write it",
    (
        FormField("case", "Case", FormFieldKind.KEPT),
        *(
            FormField(
                item.name, f"{item.name}: {item.asks}", FormFieldKind.WORDS, is_needed=False, hint=item.source
            )
            for item in AUTHORITY
        ),
    ),
    _summary,
    needs="case",
)
RECORD_RULES = PageQuestion(
    "rules",
    "What the ledger keeps for which clause",
    "Show",
    (
        FormField(
            "part",
            "Part",
            FormFieldKind.CHOICE,
            is_needed=False,
            choices=tuple((key, said) for key, said in PARTS.items()),
        ),
        FormField(
            "binding", "Only clauses that bind by certificate or contract", FormFieldKind.YES, is_needed=False
        ),
    ),
    _record_rules,
)
CASE_RULES = PageQuestion("case-rules", "Rules that a case and a drill follow", "Show", (), _case_rules)

"""The status report of a containment case as a document, for page and PDF."""

from __future__ import annotations

from collections.abc import Iterator

from tracelink.genealogy.case.case_facts import CaseFacts
from tracelink.genealogy.case.judge_replies import reply_findings
from tracelink.genealogy.case.open_points import open_points
from tracelink.genealogy.case.standing import CaseStatus
from tracelink.genealogy.containment.in_plant import free_to_ship
from tracelink.ledger.count_words import PieceWords, counted, grouped
from tracelink.ledger.time_words import moment
from tracelink.report.case.in_plant_rows import STOPPED_COLUMNS, InPlantNow, stopped_rows
from tracelink.report.case.recovery_section import recovery_sections
from tracelink.report.case.rows import MARKS
from tracelink.report.case.status import (
    COUNTED_COLUMNS,
    effect_sentence,
    measure_facts,
    status_rows,
    told_columns,
    total_row,
)
from tracelink.report.format.disc_columns import in_words, least_note
from tracelink.report.format.document import (
    BigFigures,
    Block,
    Bullets,
    Document,
    FactList,
    FramedNote,
    Lines,
    Section,
    TextBlock,
)
from tracelink.report.format.plain import command_of, imprint
from tracelink.report.format.table import table

_MODEL = (
    "The list is that of 21 CFR 7.53(b), a rule for foods, drugs and devices: a model for a plant that presses "
    "records, not checked against the original text. This page decides nothing."
)


def status_document(
    facts: CaseFacts,
    status: CaseStatus,
    found: InPlantNow,
    *,
    at: str,
    clock: str | None,
) -> Document:
    """Return the status report.

    Args:
        facts: the case.
        status: how far it is.
        found: what is in the plant now.
        at: when it is made, RFC 3339 with offset.
        clock: a sentence on a clock that the law may have started; None if there is none to show.
    """
    first: list[Block] = [FactList(tuple(_facts(facts, status)))]
    if clock:
        first.append(FramedNote(clock, loud=True))
    return Document(
        kind="Status of a containment case",
        title=f"Case {facts.case.code}: {facts.case.cause}",
        imprint=imprint(found.head, at),
        footer=imprint(found.head, at, whole=True),
        sections=(
            *_closed(facts),
            Section("What is open", tuple(_open(status))),
            Section("The case", (*first, FramedNote(_MODEL))),
            Section("Consignees", _consignees(status)),
            *recovery_sections(facts, found.head, at),
            Section(
                f"Suspect {status.words.many} in the plant: what stops them", _in_plant(found, status.words)
            ),
            Section(
                "For the authorised people who decide",
                (
                    TextBlock("What is done next, and when the next report is due, is theirs to say."),
                    Lines(("Name and function", "Date and time", "Signature", "Second person")),
                ),
            ),
        ),
    )


def _closed(facts: CaseFacts) -> Iterator[Section]:
    closing = facts.closing
    if closing is None:
        return
    when = f"{moment(closing.at)} by {' and '.join(closing.names)}, entry {facts.case.closed_seq}: {closing.reason}"
    kept = closing.open_points
    told: tuple[Block, ...] = (
        (TextBlock("They kept with it what was open:"), Bullets(kept))
        if kept
        else (TextBlock("No point was open when they closed it."),)
    )
    holds = TextBlock("Its holds stay until two people lift them.")
    in_force = any(hold.lifted_seq is None for hold in facts.holds)
    yield Section("Closed", (TextBlock(when), *told, *((holds,) if in_force else ())))


def _open(status: CaseStatus) -> Iterator[Block]:
    """Findings on answers, then what is not done or not known: what the reader must act on comes first."""
    lines, words = status.lines, status.words
    yield BigFigures(
        (
            (f"{sum(line.notice is not None for line in lines)} of {len(lines)}", "consignees told"),
            (f"{sum(line.reply is not None for line in lines)} of {len(lines)}", "answered"),
            (grouped(sum(line.returned for line in lines)), f"{words.many} came back"),
            (
                grouped(sum(max(0, line.unaccounted) for line in lines)),
                f"{words.many} in {words.holders} that may hold one, not accounted for",
            ),
        )
    )
    yield from (FramedNote(one.sentence, loud=True) for one in reply_findings(status))
    points = open_points(status)
    yield Bullets(tuple(points)) if points else TextBlock("No open point that the records can show.")


def _facts(facts: CaseFacts, status: CaseStatus) -> list[tuple[str, str]]:
    case, lines = facts.case, status.lines
    closed = "open" if case.closed_seq is None else f"closed by entry {case.closed_seq}"
    return [
        ("Marked by its opener as", MARKS[case.safety]),
        ("Opened", f"{moment(facts.opened_at)} by {case.name}, entry {case.seq}; {closed}"),
        ("Reason", case.reason),
        ("Question", command_of(facts.words)),
        ("Scopes recorded", str(len(facts.scope_entries))),
        ("Consignees notified", f"{sum(line.notice is not None for line in lines)} of {len(lines)}"),
        ("Answered", str(sum(line.reply is not None for line in lines))),
        ("Told and not answered", ", ".join(line.consignee for line in status.silent) or "none"),
        ("Effectiveness checks", effect_sentence(status).removeprefix("Effectiveness checks: ")),
        ("Estimated completion", status.estimate or "none given by a person"),
        *measure_facts(facts),
        ("Holds", ", ".join(hold.code for hold in facts.holds) or "none belongs to the case"),
    ]


def _consignees(status: CaseStatus) -> tuple[Block, ...]:
    rows = status_rows(status)
    if not rows:
        return (
            TextBlock(
                "According to the scopes of the case, nothing that may be affected has left the plant."
            ),
        )
    words = status.words
    counts = table("", f"Quantities in {words.many}", COUNTED_COLUMNS, rows, foot=[total_row(status.lines)])
    return (
        table("", "Told and answered", told_columns(status.lines), rows),
        TextBlock(least_note(words)),
        in_words(counts, words),
    )


def _in_plant(found: InPlantNow, words: PieceWords) -> tuple[Block, ...]:
    free = free_to_ship(found.rows)
    caption = f"Asked of the records up to entry {found.head[0]}"
    query = in_words(table("", caption, STOPPED_COLUMNS, stopped_rows(found)), words)
    if not free:
        return (query,)
    listed = tuple(
        f"{row.kind} {row.code}, {words.whole} {row.lot}: at most {grouped(row.most)} of {counted(row.pieces, words.one)}"
        for row in free
    )
    return (query, FramedNote("These can be packed or shipped now:", loud=True), Bullets(listed))

"""The entries of a case as sentences: what was done, when and by whom."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from tracelink.genealogy.case.kept_question import ScopedBody, query_of
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.ledger.count_words import PieceWords, counted, grouped
from tracelink.ledger.entry import Entry
from tracelink.ledger.kinds import case as kinds
from tracelink.ledger.kinds import case_measures as measures
from tracelink.ledger.kinds.case import CHECK_RESULTS
from tracelink.ledger.kinds.registry import read_body
from tracelink.ledger.time_words import moment
from tracelink.report.case.rows import MARKS
from tracelink.report.format.table import Cell, Column, Kind

STORY_COLUMNS = (
    Column("entry", "entry", Kind.ENTRY),
    Column("at", "when", Kind.TIME),
    Column("who", "by whom", Kind.TEXT),
    Column("told", "what was done", Kind.TEXT),
)
CHECK_WORDS = dict(
    zip(
        CHECK_RESULTS,
        (
            "got the notice and did as it says",
            "never got it",
            "got it and did not do as it says",
            "nobody could be asked",
        ),
        strict=True,
    )
)
"""What each result of an effectiveness check says."""
_DIGITS = 12
"""Of a hash: as many as tell two notices of a case apart."""


def story_rows(
    entries: Iterable[Entry], names: Mapping[str, str], words: PieceWords
) -> list[dict[str, Cell]]:
    """Return one row per entry of a case, keys of `STORY_COLUMNS`.

    Args:
        entries: of the case, in order.
        names: name by badge.
        words: what is counted: discs, parts or pieces.
    """
    return [
        {
            "entry": entry.seq,
            "at": entry.stamp.event_time,
            "who": _who(entry.stamp.person, names),
            "told": f"{_TOLD[type(body)](body, names, words)}{_reason(entry)}",
        }
        for entry in entries
        for body in [read_body(entry)]
    ]


def _who(badge: str | None, names: Mapping[str, str]) -> str:
    if badge is None:
        return "nobody signed on"
    return f"{names[badge]}, {badge}" if badge in names else badge


def _reason(entry: Entry) -> str:
    return f" Reason: {entry.reason}." if entry.reason else ""


Names = Mapping[str, str]


def _question(query: ContainmentQuery) -> str:
    """Say what was asked, as people say it."""
    said = [f"what {query.cause} touched", f"shape {query.shape.value}"]
    if query.defect:
        said.append(f"only {query.defect}")
    if query.also:
        said.append(f"or {', '.join(query.also)}")
    said += [f"only with {' or '.join(clause)}" for clause in query.only_with]
    if query.evidence:
        said.append(f"with {counted(len(query.evidence), 'judged disc')} not recorded yet")
    if query.window is not None:
        said.append(f"window {query.window[0]} to {query.window[1]}")
    said += [f"{word} {moment(at)}" for word, at in (("from", query.since), ("to", query.until)) if at]
    return ", ".join(said)


def _scoped(body: ScopedBody, words: PieceWords) -> str:
    total = body.scope.total
    return (
        f"asked {_question(query_of(body))}, the records up to entry {body.scope.head_seq} say {grouped(total.least)} to "
        f"{counted(total.most, words.one)} affected, {counted(len(body.scope.containers), 'container')} that can hold one."
    )


def _opened(body: Any, _names: Names, words: PieceWords) -> str:
    return f"Opened, marked as {MARKS[body.safety]}: {_scoped(body, words)}"


def _again(body: Any, _names: Names, words: PieceWords) -> str:
    return f"Scope {body.version}: {_scoped(body, words)}"


def _held(body: kinds.CaseHeld, _names: Names, _words: PieceWords) -> str:
    if not body.holds:
        return "No hold was needed."
    return f"Held for it: {', '.join(body.holds)}."


def _notified(body: kinds.CaseNotified, _names: Names, _words: PieceWords) -> str:
    return (
        f"{body.consignee} was told by {body.method}, as scope {body.version} says. The text has the hash "
        f"{body.sha256[:_DIGITS]}..."
    )


def _replied(body: kinds.CaseReplied, _names: Names, words: PieceWords) -> str:
    said = [f"{counted(body.on_hand, words.one)} on hand when told"]
    for count, done in ((body.returned, "sent back"), (body.destroyed, "destroyed")):
        said.append(f"how many were {done} it did not say" if count is None else f"{grouped(count)} {done}")
    return f"{body.consignee} answered: {', '.join(said)}."


def _chosen(body: kinds.CaseChecksChosen, _names: Names, _words: PieceWords) -> str:
    drawn = ", ".join(body.chosen) or "nobody"
    return (
        f"Level {body.level} of effectiveness checks: {body.percent} % of {counted(body.among, 'consignee')}. Drawn: {drawn}. "
        f"The share: {body.source}."
    )


def _checked(body: kinds.CaseChecked, _names: Names, _words: PieceWords) -> str:
    return f"{body.consignee} was checked: {CHECK_WORDS[body.result]}."


def _estimated(body: kinds.CaseEstimated, _names: Names, _words: PieceWords) -> str:
    return f"It is expected to be done by {body.date}."


def _closed(body: kinds.CaseClosed, names: Names, _words: PieceWords) -> str:
    points = " ".join(body.open_points)
    left = f" Open then: {points}" if points else " No point was open that the records show."
    return f"Closed; {_who(body.second_person, names)} agreed.{left}"


def _cause(body: measures.CaseCauseStated, _names: Names, _words: PieceWords) -> str:
    return f"Root cause: {body.words}"


def _action(body: measures.CaseActionSet, names: Names, _words: PieceWords) -> str:
    return f"{_who(body.owner, names)} is to do this by {body.due}: {body.words}"


def _linked(body: measures.CaseInvestigationLinked, _names: Names, _words: PieceWords) -> str:
    return f"Investigation {body.investigation} belongs to it."


_TOLD: Mapping[type, Callable[[Any, Names, PieceWords], str]] = {
    kinds.CaseOpened: _opened,
    kinds.CaseOpenedInWords: _opened,
    kinds.CaseScoped: _again,
    kinds.CaseScopedInWords: _again,
    kinds.CaseHeld: _held,
    kinds.CaseNotified: _notified,
    kinds.CaseReplied: _replied,
    kinds.CaseChecksChosen: _chosen,
    kinds.CaseChecked: _checked,
    kinds.CaseEstimated: _estimated,
    kinds.CaseClosed: _closed,
    measures.CaseCauseStated: _cause,
    measures.CaseActionSet: _action,
    measures.CaseInvestigationLinked: _linked,
}

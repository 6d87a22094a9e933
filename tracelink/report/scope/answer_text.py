"""The answer of a containment first, on one screen: how many, shipped to whom, what is free to leave, what to do next."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Sequence

from tracelink.facts.scope_figures import ScopeAnswer, SentTogether
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.query_words import question_words, to_words
from tracelink.ledger.count_words import PieceWords, counted, grouped
from tracelink.report.format.plain import visible
from tracelink.report.scope.document import ScopeDocument

_NAME = 16
"""Characters of the names on the left."""

_FIGURE = 7
"""Characters of the figures on the left: ten million discs are `10 000 000`, which stands out."""

_SHIPPED_TO, _LOADED_FOR = 3, 1
"""Consignees that the first screen names; the table below has them all."""

_SUBJECT, _CONSIGNEE, _COUNTRY, _QUESTION = 150, 44, 20, 60
"""Characters of a heading and of a name; only titles and names are cut, and both stand below in full."""

_WHAT_NEXT = "Next: "


def answer_lines(document: ScopeDocument, query: ContainmentQuery | None = None) -> list[str]:
    """Return the lines of the first screen, at most 24 on a screen of 80 characters.

    Args:
        document: the facts.
        query: what was asked, for the command that comes next; None if none is to be named.
    """
    answer = document.answer
    lines = [f"{_cut(answer.subject, _SUBJECT - len(answer.fault))}: {visible(answer.fault)}", ""]
    words = document.words
    lines += [
        _figure(answer.certain, "affected for certain", words),
        _figure(answer.possible, "possibly affected", words),
    ]
    if answer.cleared:
        lines.append(_figure(answer.cleared, "cleared for this shape of the fault, with the reason", words))
    lines += [
        "",
        *_sent(
            "Shipped", "the records show nothing that can be affected", answer.shipped, _SHIPPED_TO, words
        ),
        *_sent("Being loaded", "nothing that can be affected", answer.loading, _LOADED_FOR, words),
        _named("Free to leave", free_words(answer, words)),
        _named("On hold", ", ".join(answer.holds) or "nothing by an open hold"),
        *_cases(document, query),
        _named("Records", _records(document)),
    ]
    command = "" if query is None else next_command(document, query)
    return [*lines, "", f"{_WHAT_NEXT}{command}"] if command else lines


def least_to_most(least: int, most: int, *, tight: bool = True) -> str:
    """Return two bounds for a reader: `117 to 604`, or one number where they meet; an asterisk marks loose ones."""
    both = grouped(most) if least == most else f"{grouped(least)} to {grouped(most)}"
    return both if tight else f"{both}*"


def free_words(answer: ScopeAnswer, words: PieceWords) -> str:
    """Return how much suspect stock nothing recorded stops."""
    if answer.free:
        return (
            f"{counted(answer.free, 'item')} with up to {counted(answer.free_discs, f'affected {words.one}')}: "
            "under no hold, stopped by no rule"
        )
    if answer.stopped:
        return f"nothing found; {counted(answer.stopped, 'suspect item')} here stopped by hold or rule"
    return "nothing found in the plant"


def next_command(document: ScopeDocument, query: ContainmentQuery) -> str:
    """Return the command that follows from the answer, for a person who decides so; empty if none does."""
    answer = document.answer
    if not answer.affected:
        return ""
    asked = " ".join(shlex.quote(visible(word)) for word in to_words(query))
    by = "--by BADGE --reason TEXT"
    if answer.free:
        return f"runout contain {asked} --hold {by}"
    if not answer.cases:
        return f"runout case open {asked} {by}"
    case = answer.cases[0]
    if case in _asking_else(document, query):
        return f"runout case status {case}"
    return f"runout case notice {case} --all --by BADGE" if answer.untold else f"runout case status {case}"


def _asking_else(document: ScopeDocument, query: ContainmentQuery) -> dict[str, str]:
    """The open cases about one of the causes that ask something else, and what each asks."""
    asked = question_words(query)
    return {
        case.code: case.question
        for case in document.cases
        if case.closed_entry is None and case.question != asked
    }


def _cases(document: ScopeDocument, query: ContainmentQuery | None) -> Iterator[str]:
    codes = document.answer.cases
    others = {} if query is None else _asking_else(document, query)
    same = ", ".join(code for code in codes if code not in others)
    said = [same] if same else []
    for code in codes:
        if code in others:
            said += [f"{code} asks another question:", f"  {_cut(others[code], _QUESTION)}"]
    for place, words in enumerate(said or ["none is open about this cause"]):
        yield _named("" if place else "Case", words)


def _figure(number: int, said: str, words: PieceWords) -> str:
    return f"{grouped(number):>{_FIGURE}} {words.one if number == 1 else words.many} {said}"


def _named(name: str, words: str) -> str:
    return f"{name:<{_NAME}}{words}"


def _cut(text: str, length: int) -> str:
    said = visible(text)
    return said if len(said) <= length else f"{said[: max(length, 20) - 4]} ..."


def _sent(name: str, nothing: str, sent: SentTogether, named: int, words: PieceWords) -> Iterator[str]:
    if not sent.consignees:
        yield _named(name, nothing)
        return
    discs = f"{least_to_most(sent.least, sent.most, tight=sent.tight)} affected {words.one if sent.most == 1 else words.many}"
    yield _named(name, f"{discs}, for {counted(len(sent.consignees), 'consignee')}:")
    yield from (_named("", f"  {line}") for line in _consignees(sent, named))


def _consignees(sent: SentTogether, named: int) -> Sequence[str]:
    lines = [
        f"{_cut(one.consignee, _CONSIGNEE)}{f' ({_cut(one.country, _COUNTRY)})' if one.country else ''}: "
        f"{least_to_most(one.least, one.most, tight=one.tight)}"
        for one in sent.consignees[:named]
    ]
    more = len(sent.consignees) - named
    return [*lines, f"and {grouped(more)} more, in the table below"] if more > 0 else lines


def _records(document: ScopeDocument) -> str:
    found = document.quality
    return (
        f"up to entry {document.imprint.head_seq}; gaps: {len(found.gaps)}; "
        f"contradictions: {len(found.contradictions)}"
    )

"""A containment for the terminal: what is known, how sure, where it is now, and what the records do not say."""

from collections.abc import Sequence

from tracelink.facts.scope_figures import ScopeAnswer
from tracelink.genealogy.containment.held import TOTAL
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.scope import Scope
from tracelink.ledger.count_words import OF_DISCS, PieceWords, counted, grouped, kind_words
from tracelink.report.format.disc_columns import worded
from tracelink.report.format.render import render
from tracelink.report.format.table import Cell, Column
from tracelink.report.scope.answer_text import answer_lines, free_words
from tracelink.report.scope.cause_text import cause_text
from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.screen_tables import (
    CONSIGNEE_COLUMNS,
    FREE_COLUMNS,
    GROUP_COLUMNS,
    LOOSE_COLUMNS,
    PLACE_COLUMNS,
    TIER_COLUMNS,
    affected,
    consignee_rows,
    free_rows,
    group_rows,
    loose_rows,
    place_rows,
    tier_rows,
)

_DECIDES = (
    "This is a report from the records, not a decision: an authorised person decides what is held, recalled, "
    "released or told to whom, under the law that applies where the product was sold."
)


def cautions(words: PieceWords = OF_DISCS) -> tuple[str, str]:
    """Say what a scope is not."""
    wrong = "Wrong audio or a wrong disc" if words is OF_DISCS else f"A wrong or faulty {words.one}"
    # A part can be dangerous as easily as faulty: nothing is said of what is usual.
    usual = " is normally a commercial withdrawal;" if words is OF_DISCS else ":"
    return _DECIDES, f"{wrong}{usual} whether anything here is a safety matter is not judged by this program."


_LOOSE_NOTE = "An asterisk marks limits that may be wider than the records force."


def scope_text(scope: Scope, document: ScopeDocument, query: ContainmentQuery | None = None) -> str:
    """Return the whole report as text for a screen, the answer first.

    Args:
        scope: the containment.
        document: its facts.
        query: what was asked, for the command that comes next.
    """
    shape = scope.shape.value + (f" {scope.window[0]}-{scope.window[1]}" if scope.window else "")
    parts = answer_lines(document, query)
    parts += ["", f"Shape of the fault asked about: {shape}.", *scope.reasons]
    words = document.words
    parts += _table("What is suspected, and why", tier_rows(scope), worded(TIER_COLUMNS, words))
    parts += _places(scope)
    parts += _table(
        "Pallets, shipments, orders and countries, each taken together",
        group_rows(scope),
        worded(GROUP_COLUMNS, words),
    )
    parts += _loose(scope) + _recipients(document) + _free(document) + cause_text(scope)
    parts += _listed("Contradictions", scope.contradictions) + _listed("Gaps", scope.gaps)
    if scope.co_affected:
        parts += ["", f"{words.wholes.capitalize()} concerned: " + ", ".join(scope.co_affected)]
    if any("*" in part for part in parts):
        parts += ["", _LOOSE_NOTE]
    return "\n".join([*parts, "", closing(scope, document.answer), *cautions(words)]) + "\n"


def scope_tables(scope: Scope, records: str) -> str:
    """Return what a scope says by itself: what is suspected, where it is, and what the records do not say.

    Args:
        scope: the containment.
        records: the sentence on what was looked at.
    """
    parts = [
        f"{scope.cause}, {kind_words(scope.kind)}. Shape of the fault asked about: {scope.shape.value}.",
        *scope.reasons,
    ]
    words = scope.words
    parts += _table("What is suspected, and why", tier_rows(scope), worded(TIER_COLUMNS, words))
    parts += _places(scope)
    parts += _table(
        "Pallets, shipments, orders, countries and consignees, each taken together",
        group_rows(scope, with_consignees=True),
        worded(GROUP_COLUMNS, words),
    )
    parts += _loose(scope)
    parts += _listed("Contradictions", scope.contradictions) + _listed("Gaps", scope.gaps)
    if any("*" in part for part in parts):
        parts += ["", _LOOSE_NOTE]
    return "\n".join([*parts, "", records, *cautions(words)]) + "\n"


def _table(title: str, rows: list[dict[str, Cell]], columns: Sequence[Column]) -> list[str]:
    return ["", title, render(rows, columns, "table").rstrip("\n")]


def _places(scope: Scope) -> list[str]:
    """The places, and apart from them what is affected in all: the columns do not add up to it."""
    words = scope.words
    heading = f"Where the {words.many} of these {words.wholes} are"
    parts = _table(heading, place_rows(scope), worded(PLACE_COLUMNS, words))
    total = next((place for place in scope.places if place.place == TOTAL), None)
    if total is None:
        return parts
    return [
        *parts,
        f"Affected in all: {affected(total)}. A {words.one} that may be in two places is in both lines.",
    ]


def _loose(scope: Scope) -> list[str]:
    """What stands on no pallet, row by row; what does is counted, because a screen is short."""
    loose = loose_rows(scope)
    heading = f"Containers on no pallet that can hold an affected {scope.words.one}"
    parts = _table(heading, loose, worded(LOOSE_COLUMNS, scope.words))
    inside = sum(1 for held in scope.containers if held.most) - len(loose)
    return (
        [*parts, f"{grouped(inside)} more are on the pallets above; --format csv lists each."]
        if inside
        else parts
    )


def _recipients(document: ScopeDocument) -> list[str]:
    rows = consignee_rows(document)
    if not rows:
        return ["", f"No consignee is recorded who can have an affected {document.words.one}."]
    return _table(
        "Who has them, or is to have them; onward sales are not in the records",
        rows,
        worded(CONSIGNEE_COLUMNS, document.words),
    )


def _free(document: ScopeDocument) -> list[str]:
    rows = free_rows(document)
    heading = f"Suspect stock in the plant: {free_words(document.answer, document.words)}"
    return _table(heading, rows, worded(FREE_COLUMNS, document.words)) if rows else ["", f"{heading}."]


def closing(scope: Scope, answer: ScopeAnswer) -> str:
    """Return the sentence that says what was looked at, and no more than that."""
    found = (
        f"{counted(answer.certain, scope.words.one)} affected for certain, {grouped(answer.possible)} possibly"
        if answer.affected
        else "no link found"
    )
    seq, digest = scope.head
    return f"Records up to entry {seq} ({digest[:16]}...): {found}; gaps: {len(scope.gaps)}."


def _listed(title: str, sentences: Sequence[str]) -> list[str]:
    return ["", title, *(f"  - {sentence}" for sentence in sentences)] if sentences else []

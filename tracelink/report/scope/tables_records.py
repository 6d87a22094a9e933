"""The tables of a scope document on the records: balances, other lots, holds, late entries, corrections, gaps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracelink.facts.scope_records import LotSums
from tracelink.ledger.count_words import counted, few, grouped, words_of_all
from tracelink.ledger.time_words import moment
from tracelink.report.format.table import Cell, Column, Kind, Table, keyed, table
from tracelink.report.scope.document import ScopeDocument

_BALANCE = keyed(
    (
        ("lot", Kind.CODE),
        ("stage", Kind.CODE),
        ("came in", Kind.COUNT),
        ("out or on hand", Kind.COUNT),
        ("difference", Kind.DIFFERENCE),
    )
)


MOST_EVEN = 4
"""Lots that add up and are told one by one on paper."""


def balances(lots: Sequence[LotSums]) -> Table:
    """Return each lot, stage by stage: what came in, what went out or is there, and the difference."""
    rows: list[tuple[Cell, ...]] = []
    for lot in lots:
        rows += [(lot.lot, line.name, line.came, line.went, line.difference) for line in lot.lines]
        rows.append((lot.lot, "all stages", "", "", lot.difference))
    return table("balance", *_balance_words(lots, rows))


def balances_in_short(lots: Sequence[LotSums]) -> Table:
    """Return the same on paper: stage by stage only where a stage differs, and many lots that add up in one row."""
    rows: list[tuple[Cell, ...]] = []
    even = [lot for lot in lots if not any(line.difference for line in lot.lines)]
    for lot in lots if len(even) <= MOST_EVEN else (lot for lot in lots if lot not in even):
        if lot not in even:
            rows += [(lot.lot, line.name, line.came, line.went, line.difference) for line in lot.lines]
        rows.append((lot.lot, f"all {len(lot.lines)} stages", "", "", lot.difference))
    if len(even) > MOST_EVEN:
        name = f"{few([lot.lot for lot in even], MOST_EVEN)}: {counted(len(even), words_of_all(lot.lot for lot in even).whole)}"
        rows.append((name, "all stages of each", "", "", 0))
    return table("", *_balance_words(lots, rows))


def _balance_words(
    lots: Sequence[LotSums], rows: list[tuple[Cell, ...]]
) -> tuple[str, tuple[Column, ...], list[tuple[Cell, ...]], str]:
    whole = words_of_all(lot.lot for lot in lots).whole
    return f"Balance of each {whole}", _BALANCE, rows, f"No {whole} is in question."


_RELATED = (
    Column("relation", "shared", Kind.TEXT),
    Column("through", "through", Kind.TEXT),
    Column("lot", "lot"),
    Column("title", "title", Kind.TEXT),
    Column("pressed", "discs pressed", Kind.COUNT),
    Column("in_scope", "in the tiers above", Kind.YES_NO),
)


def related(document: ScopeDocument) -> Table:
    """Return other lots, by what they share."""
    words = document.words
    rows = [
        (one.relation, one.through, one.lot, one.title, one.pressed, one.in_scope) for one in document.related
    ]
    nothing = f"No other {words.whole} with a shared set-up, material, carton or kit is in the records."
    return table("other lots", f"{words.wholes.capitalize()} by what they share", _RELATED, rows, nothing)


_HOLDS = (
    Column("hold", "hold"),
    Column("about", "about"),
    Column("reason", "reason", Kind.TEXT),
    Column("things", "items in question that it names", Kind.COUNT),
    Column("placed", "placed", Kind.TIME),
    Column("by", "by", Kind.TEXT),
    Column("entry", "entry", Kind.ENTRY),
    Column("lifted", "lifted by entry", Kind.NUMBER),
)


def holds(document: ScopeDocument) -> Table:
    """Return the holds, by whom and when."""
    rows = [
        (
            one.code,
            one.cause,
            one.reason,
            one.things,
            one.placed_at,
            one.placed_by,
            one.entry,
            one.lifted_entry,
        )
        for one in document.holds
    ]
    nothing = "No hold names anything in question."
    return table("holds", "Holds on anything in question", _HOLDS, rows, nothing)


_LATE = (
    Column("entry", "entry", Kind.ENTRY),
    Column("kind", "what"),
    Column("happened", "happened", Kind.TIME),
    Column("recorded", "recorded", Kind.TIME),
    Column("late", "late by", Kind.COUNT, "min"),
    Column("by", "by", Kind.TEXT),
)


def late(document: ScopeDocument) -> Table:
    """Return the late entries."""
    rows = [
        (one.entry, one.kind, one.happened, one.recorded, one.late_s // 60, one.by)
        for one in document.quality.late
    ]
    return table("late entries", "Late entries", _LATE, rows)


_CORRECTIONS = (
    Column("entry", "entry", Kind.ENTRY),
    Column("corrects", "corrects entry", Kind.NUMBER),
    Column("kind", "what"),
    Column("reason", "reason", Kind.TEXT),
    Column("by", "by", Kind.TEXT),
)


def corrections(document: ScopeDocument) -> Table:
    """Return corrections with their reasons."""
    rows = [(one.entry, one.corrects, one.kind, one.reason, one.by) for one in document.quality.corrections]
    return table("corrections", "Corrections", _CORRECTIONS, rows)


_GAPS = (Column("kind", "kind"), Column("entry", "entry", Kind.ENTRY), Column("what", "what", Kind.TEXT))


def gaps(document: ScopeDocument) -> Table:
    """Return what limits the records, each in one row."""
    return table("gaps", "How far the records can be relied on", _GAPS, _limits(document))


def _limits(document: ScopeDocument) -> Iterator[tuple[Cell, ...]]:
    found = document.quality
    yield from (("gap", None, text) for text in found.gaps)
    yield from (("contradiction", None, text) for text in found.contradictions)
    yield from (("inferred", None, text) for text in found.inferred)
    for late_one in found.late:
        times = f"happened {moment(late_one.happened)}, recorded {moment(late_one.recorded)}"
        yield (
            "late entry",
            late_one.entry,
            f"{late_one.kind}: {times}, by {late_one.by or 'nobody signed on'}",
        )
    for one in found.corrections:
        yield "correction", one.entry, f"{one.kind} corrects entry {one.corrects}: {one.reason} ({one.by})"
    yield "entries looked at", None, grouped(found.entries)
    yield "recorded before they happened", None, grouped(found.early)
    yield "no-reads", None, grouped(found.no_reads)
    yield "keyed by two people", None, grouped(found.keyed)

"""The points of a scope document on the discs, the records and the decision."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from tracelink.facts.scope_records import LotSums
from tracelink.ledger.count_words import OF_DISCS, PieceWords, counted, grouped, piece_words, signed
from tracelink.ledger.loaded_later import loaded_later
from tracelink.report.format.disc_columns import chance_note, in_words, least_note
from tracelink.report.format.document import (
    Block,
    Bullets,
    FactList,
    FramedNote,
    Lines,
    Picture,
    TextBlock,
    Ticks,
)
from tracelink.report.format.loading_text import loading_sentence
from tracelink.report.format.shown import shown
from tracelink.report.format.table import Table
from tracelink.report.pictures.places_svg import counts_note
from tracelink.report.scope import tables_annex, tables_folded, tables_people, tables_places, tables_records
from tracelink.report.scope.answer_text import least_to_most
from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.pictures import ScopePictures
from tracelink.report.scope.tables_folded import on_sheet
from tracelink.report.scope.text import cautions

_WITHDRAWN = "Wrong or faulty audio, label or appearance"
_WITHDRAWN_PART = "What works badly or looks wrong"

_MOST_ROWS = 25
"""Late entries and corrections on paper; the workbook and the JSON have every one."""

_MOST_PALLETS = 12
"""Pallets on paper; a station touches hundreds."""

_MOST_LOOSE = 15
"""Containers on no pallet on paper."""

_MOST_FREE = 12
"""Rows of stock not on hold on paper: one command holds all of it."""

_MOST_IDENTIFIERS = 45
"""Rows of what to look for on paper; what the same text marks is one row."""

_MOST_LOTS = 30
"""Other lots on paper: a compound lot or a label issue may be in hundreds."""


def _bounds_note(words: PieceWords) -> str:
    return (
        f"Least and most fit every recorded count and movement. Together they can be narrower than their sum: a {words.one} is in "
        f"one place only. {least_note(words)} An asterisk marks bounds that may be wider than the records force. {chance_note(words)}"
    )


def places(document: ScopeDocument, pictures: ScopePictures) -> Iterator[Block]:
    """5. Where the discs are, added up."""
    sums = document.totals
    found = tables_places.places(document)
    if pictures.places and found.rows:
        # The picture has every line and number of the table; the workbook has the table.
        yield Picture(pictures.places, _told(in_words(found, document.words)))
    else:
        yield found
    if document.places and not pictures.places:
        yield TextBlock(
            f"Affected in all: {grouped(sums.least)} to {grouped(sums.most)}. {counts_note(document.words)}"
        )
    if document.totals.difference:
        yield FramedNote(
            f"The places do not add up to the {document.words.many} in question: difference {signed(document.totals.difference)}.",
            loud=True,
        )
    if pictures.forward:
        yield Picture(
            pictures.forward,
            f"Boxes from the cause to the shipments; those marked cleared can hold no affected {document.words.one}.",
        )
        if document.tiers:
            yield TextBlock(
                f"Marked cleared: no {document.words.one} there can be affected, according to the records."
            )
    yield TextBlock(_annex_sentence(document))


def _annex_sentence(document: ScopeDocument) -> str:
    """Say what the annex holds, and what it leaves to the workbook."""
    said = (
        f"The annex lists what can hold an affected {document.words.one} now: pallets with those of their cartons that can, what stands "
        "on no pallet, and shipments."
    )
    counts = (
        (len(tables_annex.pallets(document).rows), _MOST_PALLETS, "pallets"),
        (len(tables_annex.off_pallets(document).rows), _MOST_LOOSE, "containers on no pallet"),
        (len(tables_annex.beyond_pallets(document).rows), _MOST_ROWS, "shipments, orders and countries"),
    )
    cut = [
        f"{grouped(on_sheet(found, most))} of {grouped(found)} {what}"
        for found, most, what in counts
        if found > most
    ]
    return (
        f"{said} On paper it has {' and '.join(cut)}; the workbook and the JSON list every one."
        if cut
        else said
    )


def _told(found: Table) -> str:
    """A table of places in one sentence each, for readers who cannot see the picture."""
    lines = (
        ", ".join(
            f"{column.title} {said}"
            for column, cell in zip(found.columns, row, strict=True)
            if (said := shown(cell, column))
        )
        for row in (*found.rows, *found.foot)
    )
    return "; ".join(lines) + "."


def identifiers(document: ScopeDocument) -> Iterator[Block]:
    """6. How a stranger knows them."""
    yield from _listed(tables_folded.identifiers_folded(document), _MOST_IDENTIFIERS)


def recipients(document: ScopeDocument) -> Iterator[Block]:
    """7. Who has them."""
    yield tables_people.consignees(document).without("chance", "tight")
    if document.recipients:
        yield TextBlock(least_note(document.words))
        lacking = sum(one.contact is None for one in document.recipients)
        more = (
            f" No contact of {counted(lacking, 'consignee')} is in the records; take it from the order files."
            if lacking
            else ""
        )
        yield FramedNote(
            f"Where a consignee passed {document.words.many} on to is unknown: no record says. Ask each one.{more}"
        )
    if document.cases:
        yield tables_people.cases(document)
        yield tables_people.case_news(document)


def balances(document: ScopeDocument) -> Iterator[Block]:
    """8. Whether the lots add up."""
    yield tables_records.balances_in_short(document.balances)
    said = tuple(_balance_sentences(document.balances))
    if said:
        yield Bullets(said)
    if document.balances:
        yield TextBlock(
            "Every term is a recorded count. A positive difference is not found; a negative one is more than came in, which "
            "is the stronger alarm."
        )


def _balance_sentences(lots: Sequence[LotSums]) -> Iterator[str]:
    """What is said of each lot; of many, only of those that do not add up."""
    alike = [lot for lot in lots if not any(line.difference for line in lot.lines)]
    short = len(alike) > tables_records.MOST_EVEN
    yield from (" ".join(lot.sentences) for lot in lots if not (short and lot in alike))
    if short:
        yield f"{counted(len(alike), piece_words(alike[0].lot).whole)}: every line is ±0; the workbook and the JSON say what was counted by hand."


def related(document: ScopeDocument) -> Iterator[Block]:
    """9. Other lots that share something."""
    yield TextBlock(
        f"If the cause lies above this one, in a set-up or a material, these {document.words.wholes} are touched as well."
    )
    yield from _listed(tables_records.related(document), _MOST_LOTS)


def holds(document: ScopeDocument) -> Iterator[Block]:
    """10. What is held, and what is still free to ship."""
    yield tables_records.holds(document)
    free = document.free
    up_to = f"in the records up to entry {document.imprint.head_seq}"
    if free:
        yield FramedNote(
            f"Suspect stock in the plant, under no hold and stopped by no rule, {up_to}: {counted(len(free), 'row')}, "
            f"{grouped(document.free_together.least)} to {grouped(document.free_together.most)} affected {document.words.many}.",
            loud=True,
        )
        yield from _listed(tables_places.free(document), _MOST_FREE)
    else:
        yield FramedNote(f"Suspect stock in the plant, under no hold and stopped by no rule, {up_to}: none.")
    yield tables_places.stopped(document.stopped)


def quality(document: ScopeDocument) -> Iterator[Block]:
    """11. How far the records can be relied on."""
    found = document.quality
    if found.gaps:
        yield TextBlock("What the records do not say:")
        yield Bullets(found.gaps)
    else:
        yield TextBlock(
            f"No gap was noticed in the records up to entry {document.imprint.head_seq}. What nobody recorded cannot be noticed here."
        )
    if found.inferred:
        yield Bullets(found.inferred)
    yield FactList(
        (
            ("Entries looked at", grouped(found.entries)),
            (
                f"Recorded more than {found.late_after_minutes} minutes late",
                grouped(len(found.late)),
            ),
            (
                "Recorded before they happened",
                f"{grouped(found.early)}{': the clock of the ledger and those of the stations disagree' if found.early else ''}",
            ),
            ("Corrections", grouped(len(found.corrections))),
            ("No-reads where the cartons were packed", grouped(found.no_reads)),
            ("Codes keyed by two people there", grouped(found.keyed)),
        )
    )
    loaded = loaded_later(found.entries, [(one.happened, one.recorded) for one in found.late])
    if loaded is not None:
        yield TextBlock(f"{loading_sentence(loaded)} The workbook and the JSON list every one.")
    else:
        yield from _if_any(tables_records.late(document))
    yield from _if_any(tables_records.corrections(document))


def _if_any(whole: Table) -> Iterable[Block]:
    return _listed(whole) if whole.rows else ()


def _listed(whole: Table, most: int = _MOST_ROWS) -> Iterable[Block]:
    shown = on_sheet(len(whole.rows), most)
    more = len(whole.rows) - shown
    yield whole.first(shown) if more else whole
    if more:
        yield TextBlock(f"{grouped(more)} more rows; the workbook and the JSON list every one.")


def decision(document: ScopeDocument) -> Iterator[Block]:
    """12. What the named person has to decide."""
    yield from (TextBlock(text) for text in cautions(document.words))
    yield TextBlock(
        f"{_WITHDRAWN if document.words is OF_DISCS else _WITHDRAWN_PART} is a matter of commercial withdrawal. A danger to people, such as from a "
        "material, is a matter of safety recall. They follow different rules, and this page chooses neither. Depth, wording "
        "and duties to report are for the authorised person, by local law."
    )
    chosen = document.decision
    yield Bullets(chosen.reach)
    yield Ticks("Kind", ("commercial withdrawal", "safety recall", "neither; ask again with other evidence"))
    yield Ticks("Depth", chosen.depths)
    yield Ticks(
        "Effectiveness checks",
        tuple(f"{one.level}: {one.words} ({one.recipients})" for one in chosen.effects),
    )
    yield TextBlock(chosen.source)
    yield TextBlock("To narrow this scope, a second person signs as well.")
    yield Lines(
        ("Name and function", "Date and time", "Signature", "Second person, name and function", "Signature")
    )


def annex(document: ScopeDocument) -> Iterator[Block]:
    """Every container, pallet and shipment."""
    words = document.words
    more, discs = document.untouched
    if more:
        yield TextBlock(
            f"{grouped(more)} more containers hold {grouped(discs)} {words.many} of these {words.wholes}; according to the records, none of the {words.numbers} in question can "
            "be among them."
        )
    yield from _listed(tables_annex.pallets(document), _MOST_PALLETS)
    yield from _listed(tables_annex.off_pallets(document).without("tight", "order", "numbers"), _MOST_LOOSE)
    yield from _listed(tables_annex.beyond_pallets(document).without("tight"))
    sums = document.containers_together
    if document.containers:
        yield TextBlock(
            f"All {grouped(len(document.containers))} containers together: {grouped(sums.pieces)} {words.many}, of which "
            f"{least_to_most(sums.least, sums.most, tight=sums.tight)} are affected."
        )
    yield TextBlock(_bounds_note(document.words))

"""The points of a scope document on the discs, the records and the decision."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tracelink.ledger.loading import loaded_later
from tracelink.report.format.document import (
    Block,
    Bullets,
    FactList,
    FramedNote,
    Lines,
    Picture,
    TableBlock,
    TextBlock,
    Ticks,
)
from tracelink.report.format.grids import Grid
from tracelink.report.format.loading_text import loading_sentence
from tracelink.report.format.plain import grouped, signed
from tracelink.report.scope import tables_discs as tables
from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.pictures import ScopePictures
from tracelink.report.scope.text import CAUTIONS

_MOST_ROWS = 25
"""Late entries and corrections on paper; the workbook and the JSON have every one."""

_MOST_LOTS = 60
"""Other lots on paper: a compound lot or a label issue may be in hundreds."""

_BOUNDS_NOTE = (
    "Least and most fit every recorded count and movement. Together they can be narrower than their sum: a disc is in one "
    "place only. An asterisk marks bounds that may be wider than the records force. The chance of any holds if discs were "
    "taken from their stack in random order and every possible one is affected; it says where to look first and is no "
    "ground for a release."
)


def places(document: ScopeDocument, pictures: ScopePictures) -> Iterator[Block]:
    """5. Where the discs are, added up."""
    if pictures.places:
        yield Picture(pictures.places)
    yield TableBlock("Places, added up", tables.places(document), "No disc in question is recorded anywhere.")
    if document.totals.difference:
        yield FramedNote(
            f"The places do not add up to the discs in question: difference {signed(document.totals.difference)}.",
            loud=True,
        )
    if pictures.forward:
        yield Picture(pictures.forward)
    yield TextBlock("Every container, pallet and shipment stands in the annex.")


def identifiers(document: ScopeDocument) -> Iterator[Block]:
    """6. How a stranger knows them."""
    yield TableBlock("What someone outside this plant can look for", tables.identifiers(document))


def recipients(document: ScopeDocument) -> Iterator[Block]:
    """7. Who has them."""
    yield TableBlock(
        "Consignees",
        tables.recipients(document),
        "No consignee is recorded who can have an affected disc.",
    )
    if document.recipients:
        yield FramedNote(
            "Where a consignee passed discs on to is unknown: no record says. Ask each one. Contacts are not in the records "
            "either; take them from the order files."
        )
    if document.cases:
        yield TableBlock("Containment cases about this cause", tables.cases(document))
        yield TableBlock(
            "What they recorded of consignees",
            tables.case_news(document),
            "No notice, reply or check is recorded.",
        )


def balances(document: ScopeDocument) -> Iterator[Block]:
    """8. Whether the lots add up."""
    yield TableBlock("Balance of each lot", tables.balances(document.balances), "No lot is in question.")
    said = tuple(" ".join(lot.sentences) for lot in document.balances)
    if said:
        yield Bullets(said)
    if document.balances:
        yield TextBlock(
            "Every term is a recorded count. A positive difference is not found; a negative one is more than came in, which "
            "is the stronger alarm."
        )


def related(document: ScopeDocument) -> Iterator[Block]:
    """9. Other lots that share something."""
    yield TextBlock(
        "If the cause lies above this one, in a set-up or a material, these lots are touched as well."
    )
    grid = tables.related(document)
    yield TableBlock(
        "Lots by what they share",
        Grid(grid.columns, grid.rows[:_MOST_LOTS]),
        "No other lot with a shared set-up, material, carton or kit is in the records.",
    )
    if len(grid.rows) > _MOST_LOTS:
        yield TextBlock(
            f"{grouped(len(grid.rows) - _MOST_LOTS)} more; the workbook and the JSON list every one."
        )


def holds(document: ScopeDocument) -> Iterator[Block]:
    """10. What is held, and what is still free to ship."""
    yield TableBlock(
        "Holds on anything in question", tables.holds(document), "No hold names anything in question."
    )
    free = document.free
    head = grouped(document.imprint.head_seq)
    yield FramedNote(
        f"Query: suspect, in the plant, under no hold and barred by no rule, in the records up to entry {head}. "
        f"Rows: {len(free)}. Discs: {grouped(sum(row.least for row in free))} at least, {grouped(sum(row.most for row in free))} at most.",
        loud=bool(free),
    )
    if free:
        yield TableBlock("Suspect and free to ship", tables.free(free))
    yield TableBlock(
        "The rest in the plant, by what stops it",
        tables.stopped(document.in_plant),
        "By the records nothing suspect stands in the plant that a hold or a rule stops.",
    )


def quality(document: ScopeDocument) -> Iterator[Block]:
    """11. How far the records can be relied on."""
    found = document.quality
    if found.gaps:
        yield TextBlock("What the records do not say:")
        yield Bullets(found.gaps)
    else:
        yield TextBlock(
            f"No gap was noticed in the records up to entry {grouped(document.imprint.head_seq)}. What nobody recorded cannot be noticed here."
        )
    if found.inferred:
        yield Bullets(found.inferred)
    yield FactList(
        (
            ("Entries looked at", grouped(found.entries)),
            (
                f"Recorded more than {found.late_after_s // 60} minutes late",
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
        yield from _listed("Late entries", tables.late(document))
    yield from _listed("Corrections", tables.corrections(document))


def _listed(caption: str, grid: Grid) -> Iterable[Block]:
    if not grid.rows:
        return
    shown = Grid(grid.columns, grid.rows[:_MOST_ROWS])
    yield TableBlock(caption, shown)
    if len(grid.rows) > _MOST_ROWS:
        yield TextBlock(f"{len(grid.rows) - _MOST_ROWS} more; the workbook and the JSON list every one.")


def decision(document: ScopeDocument) -> Iterator[Block]:
    """12. What the named person has to decide."""
    yield from (TextBlock(text) for text in CAUTIONS)
    yield TextBlock(
        "Wrong or faulty audio, label or appearance is a matter of commercial withdrawal. A danger to people, such as from a "
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
    more, discs = document.untouched
    if more:
        yield TextBlock(
            f"{grouped(more)} more containers hold {grouped(discs)} discs of these lots; by the records, none of the strokes in question can "
            "be among them."
        )
    yield TableBlock(
        "Pallets, shipments, orders and countries",
        tables.groups(document),
        "No pallet, shipment or order is recorded that can have an affected disc.",
    )
    yield TableBlock(
        "Containers", tables.containers(document), "No container is recorded that can hold an affected disc."
    )
    yield TextBlock(_BOUNDS_NOTE)

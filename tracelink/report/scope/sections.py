"""A scope document in sections: the twelve points in words, tables and pictures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tracelink.genealogy.containment.several import SEVERAL
from tracelink.genealogy.model.shapes import Shape
from tracelink.ledger.count_words import PieceWords, counted, few, grouped, kind_words
from tracelink.ledger.time_words import moment
from tracelink.report.format.disc_columns import in_words
from tracelink.report.format.document import (
    BigFigures,
    Block,
    Bullets,
    Document,
    FactList,
    FramedNote,
    Section,
)
from tracelink.report.format.plain import imprint
from tracelink.report.format.table import Table
from tracelink.report.scope import points_cause as cause
from tracelink.report.scope import points_discs as where
from tracelink.report.scope.answer_text import least_to_most
from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.pictures import ScopePictures

SHAPES = {
    Shape.FROM_ONSET: "From onset: {many} are good up to some {number} and bad from there on (damage that stays).",
    Shape.WHOLE_LIFE: "Whole life: every {one} of it is bad, or none is (made wrong).",
    Shape.WINDOW: "Window: something happened between two known points; what it did there is not known.",
    Shape.INTERMITTENT: "Intermittent: it comes and goes, and no {one} says anything about another.",
}


def shape_sentence(shape: Shape, words: PieceWords) -> str:
    """Say what a shape of a fault means."""
    return SHAPES[shape].format(one=words.one, many=words.many, number=words.number)


def scope_sections(document: ScopeDocument, pictures: ScopePictures) -> Document:
    """Put a document into sections.

    Args:
        document: the facts.
        pictures: its pictures.
    """
    head = (document.imprint.head_seq, document.imprint.head_hash)
    cut_off = f" Last entry recorded {moment(document.imprint.head_at)}." if document.imprint.head_at else ""
    printed = document.imprint.printed_at
    return Document(
        kind="Containment, for decision",
        title=_title(document),
        imprint=f"{imprint(head, printed)}{cut_off} Version {document.version} of this answer, {document.imprint.program}.",
        footer=f"{imprint(head, printed, whole=True)} Version {document.version}.",
        sections=tuple(_sections(document, pictures)),
    )


def _sections(document: ScopeDocument, pictures: ScopePictures) -> Iterator[Section]:
    yield Section("At a glance", tuple(_glance(document)))
    if document.quality.contradictions:
        yield Section("Contradictions: look into these first", (Bullets(document.quality.contradictions),))
    words = document.words
    points = (
        ("What triggered it, and on which evidence", cause.trigger(document)),
        ("Which level carries the fault", cause.levels(document, pictures)),
        ("Where it starts and stops, and why", cause.boundaries(document, pictures)),
        ("What is suspected, and why", cause.tiers(document)),
        (f"Where the {words.many} are", where.places(document, pictures)),
        ("How to know them", where.identifiers(document)),
        ("Who has them", where.recipients(document)),
        (f"Do the {words.wholes} add up", where.balances(document)),
        (f"Other {words.wholes} that share a cause", where.related(document)),
        ("Holds, and what is still free to ship", where.holds(document)),
        ("How far the records can be relied on", where.quality(document)),
        ("For the authorised person", where.decision(document)),
    )
    for number, (title, blocks) in enumerate(points, 1):
        yield Section(f"{number}. {title}", tuple(_worded(blocks, words)))
    yield Section(
        "Annex: pallets, containers and shipments", tuple(_worded(where.annex(document), words)), fresh=True
    )


def _worded(blocks: Iterable[Block], words: PieceWords) -> Iterator[Block]:
    for block in blocks:
        yield in_words(block, words) if isinstance(block, Table) else block


def glance(document: ScopeDocument) -> tuple[tuple[str, str], ...]:
    """The answer in a few lines: (name, value)."""
    asked, sums = document.trigger, document.totals
    gone = [one for one in document.recipients if any(each.shipped for each in one.deliveries)]
    left = len({held.code for held in document.containers if held.shipped})
    free, words = document.free, document.words
    pairs = [
        (
            "Cause asked about",
            "; ".join([_cause(document), *(f"{name} {value}" for name, value in asked.facts)]),
        ),
        ("Shape of the fault", _shape(document)),
        ("Defect", asked.defect or "any"),
    ]
    if asked.reasons:
        pairs.append(("How the shape was read", " ".join(asked.reasons)))
    if document.tiers:
        pairs.append(
            (
                words.many.capitalize(),
                f"{grouped(sums.proven)} proven, {grouped(sums.possible)} possible, {grouped(sums.cleared)} cleared for this shape with a reason",
            )
        )
    else:
        pairs.append(
            (
                words.many.capitalize(),
                f"{grouped(sums.least)} to {grouped(sums.most)} of {grouped(sums.pieces)} in question",
            )
        )
    if asked.suspects:
        pairs.append(("Tools affected, or possibly", few(asked.suspects)))
    pairs += [
        (
            f"Other {words.wholes} touched"
            if asked.kind == words.whole
            else f"{words.wholes.capitalize()} touched",
            few(asked.lots) or "no link found",
        ),
        (
            "Left the plant",
            f"{counted(left, 'container')} that can hold an affected {words.one}, to {counted(len(gone), 'consignee')}",
        ),
        (
            "Suspect stock not on hold",
            f"{counted(len(free), 'item')}, up to {counted(document.free_together.most, f'affected {words.one}')} (section 10)"
            if free
            else "none (section 10)",
        ),
    ]
    return tuple(pairs)


def figures(document: ScopeDocument) -> BigFigures:
    """The four figures that a reader looks for first."""
    answer = document.answer
    shipped = answer.shipped
    to_whom = (
        f"shipped, to {counted(len(shipped.consignees), 'consignee')}" if shipped.consignees else "shipped"
    )
    return BigFigures(
        (
            (grouped(answer.certain), "affected for certain"),
            (grouped(answer.possible), "possibly affected"),
            (least_to_most(shipped.least, shipped.most, tight=shipped.tight), to_whom),
            (grouped(answer.free), "suspect items not on hold"),
        )
    )


def _glance(document: ScopeDocument) -> Iterator[Block]:
    yield figures(document)
    yield FactList(glance(document))
    yield FramedNote(
        f"Nothing further was found in the records up to entry {document.imprint.head_seq}; "
        f"gaps: {len(document.quality.gaps)}; contradictions: {len(document.quality.contradictions)}."
    )


def _cause(document: ScopeDocument) -> str:
    """The cause by kind and code; several are told by their codes alone."""
    asked = document.trigger
    return asked.cause if asked.kind == SEVERAL else f"{kind_words(asked.kind)} {asked.cause}"


def _title(document: ScopeDocument) -> str:
    return f"{document.answer.subject}: {document.answer.fault}"


def _shape(document: ScopeDocument) -> str:
    window = document.trigger.window
    given = f" The window given: {grouped(window[0])} to {grouped(window[1])}." if window else ""
    return shape_sentence(document.trigger.shape, document.words) + given

"""The points of a scope document on the cause, in words, tables and pictures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracelink.facts.scope_cause import JudgedDisc
from tracelink.ledger.time_words import moment
from tracelink.report.format.document import Block, Bullets, Picture, TextBlock
from tracelink.report.scope import tables_cause as tables
from tracelink.report.scope import tables_folded
from tracelink.report.scope.document import ScopeDocument
from tracelink.report.scope.pictures import ScopePictures
from tracelink.report.scope.tables_folded import on_sheet

_MOST_ROWS = 25
"""Sentences of one kind on paper; a wide cause has thousands."""

_MOST_SHOWN = 8
"""Sentences on what samples show, two for each lot; above that the first ones as examples."""

_FAMILY = "From the master to every stamper grown from it and the lots they pressed, with their samples; a heavy outline marks the cause."
_LIFE = "From left to right the {numbers} of a life: judged {many} above, what is proven, possible and cleared below."


def trigger(document: ScopeDocument) -> Iterator[Block]:
    """1. What was found, by whom, on which evidence."""
    first = document.trigger.first_bad
    if first is not None:
        yield TextBlock(_found(first))
    yield from tables_folded.samples_folded(document.trigger.evidence, document.words)


def _found(first: JudgedDisc) -> str:
    who = f" by {first.judged_by}" if first.judged_by else ""
    when = f" at {moment(first.judged_at)}" if first.judged_at else ""
    return (
        f"First bad judgement in these records: sample {first.sample} of lot {first.lot}, entry {first.entry}, judged{who}{when}: "
        f"{first.defect or 'defect not named'}. A period for reporting may have begun with first information such as this."
    )


def levels(document: ScopeDocument, pictures: ScopePictures) -> Iterator[Block]:
    """2. Which level of the family carries the fault."""
    yield TextBlock(document.levels.sentence)
    if pictures.family:
        yield Picture(pictures.family, _FAMILY)
    if document.levels.lines:
        yield tables.levels(document)
    if document.levels.missing:
        yield from _bullets(document.levels.missing)


def boundaries(document: ScopeDocument, pictures: ScopePictures) -> Iterator[Block]:
    """3. Where the suspect stretch starts and stops, and what widens it."""
    words = document.words
    life = _LIFE.format(numbers=words.numbers, many=words.many)
    yield from (Picture(one, life) for one in pictures.lives)
    if pictures.lives_left_out:
        yield TextBlock(
            f"{pictures.lives_left_out}{' more' if pictures.lives else ''} lives with suspected {words.many} are not drawn; the table of tiers has them."
        )
    if not document.boundaries:
        yield TextBlock(
            "No life has a suspected stretch, so there is no start and no stop."
            if document.tiers or not document.containers
            else f"Suspect by place and not by {words.number}: every {words.one} counted in it may be affected, and none must be."
        )
        return
    ends = tables.ends(document.boundaries)
    if ends.rows:
        yield ends
    yield from _bullets(tuple(dict.fromkeys(one.why for one in document.boundaries)))
    widens = tuple(text for one in document.boundaries for text in one.widens)
    if widens:
        yield TextBlock("What widens it, if the evidence is doubted:")
        yield from _bullets(widens)


def tiers(document: ScopeDocument) -> Iterator[Block]:
    """4. How much is suspected how strongly, and which disc to judge next."""
    if not document.tiers and document.containers:
        yield TextBlock(
            "There are no tiers: what is suspect is suspect by where it is, and nothing there is cleared."
        )
        return
    yield tables_folded.tiers_folded(document)
    if document.tiers:
        yield TextBlock(
            "Proven and cleared hold for the shape asked for and for the judgements listed. Possible is everything that "
            "neither shows; unknown never counts as cleared."
        )
    found = document.samples
    if found.shown:
        yield TextBlock("What the judged samples show about the rest:")
        yield from _bullets(found.shown, on_sheet(len(found.shown), _MOST_SHOWN))
        yield TextBlock(found.caution)
    if found.ranking:
        yield TextBlock(found.ranking)
    if found.tests:
        yield tables.tests(document)


def _bullets(sentences: Sequence[str], most: int = _MOST_ROWS) -> Iterator[Block]:
    yield Bullets(tuple(sentences[:most]))
    if len(sentences) > most:
        yield TextBlock(f"{len(sentences) - most} more of these; the JSON has every one.")

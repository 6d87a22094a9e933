"""The answer of a case: tables of the newest recorded scope, and what the report says first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tracelink.facts.case_answer import CaseAnswer
from tracelink.genealogy.case.compare_scopes import strokes_of
from tracelink.ledger.count_words import grouped
from tracelink.report.format.disc_columns import LEAST, LEAST_NOTE, MAY_HOLD, MOST, THERE
from tracelink.report.format.document import Block, FramedNote, TextBlock
from tracelink.report.format.plain import command_of
from tracelink.report.format.table import Column, Kind, Table, spans, table

KEYS = ("case-consignees", "case-tiers", "case-places", "case-containers")
"""The tables of a case, in reading order."""

_ENTRY = Column("entry", "entry", Kind.NUMBER)
_CONSIGNEES = (
    Column("consignee", "consignee", Kind.TEXT), MAY_HOLD, LEAST, MOST, Column("notified", "notified", Kind.TIME), Column("by", "by", Kind.TEXT),
    Column("answered", "answered", Kind.TIME), Column("on_hand", "on hand when told", Kind.COUNT), Column("returned_said", "returned (they say)", Kind.COUNT),
    Column("returned", "returned (booked here)", Kind.COUNT),
    Column("accounted", "accounted for", Kind.COUNT), Column("unaccounted", "not accounted for", Kind.DIFFERENCE),
)  # fmt: skip
_TIERS = (
    Column("tier", "tier"), Column("lot", "lot"), Column("strokes", "strokes", Kind.TEXT), Column("discs", "discs", Kind.COUNT),
    Column("why", "why", Kind.TEXT), _ENTRY,
)  # fmt: skip
_PLACES = (Column("place", "place", Kind.TEXT), THERE, LEAST, MOST, _ENTRY)
_CONTAINERS = (
    Column("container", "container"), Column("kind", "kind"), Column("status", "status"), Column("lot", "lot"), THERE, LEAST, MOST,
    Column("inside", "on pallet, shipment", Kind.TEXT), Column("consignee", "consignee", Kind.TEXT), Column("shipped", "left the plant", Kind.YES_NO), _ENTRY,
)  # fmt: skip


def case_tables(answer: CaseAnswer) -> list[Table]:
    """Return the answer as tables."""
    scope, entry = answer.scope, answer.entry
    consignees = [
        (
            line.consignee,
            line.may_hold,
            line.least,
            line.most,
            line.notice.at if line.notice else "NOT",
            line.notice.method if line.notice else "",
            line.reply.at if line.reply else "NOT",
            line.reply.on_hand if line.reply else None,
            line.reply.returned if line.reply else None,
            line.returned,
            line.accounted,
            line.unaccounted,
        )
        for line in answer.status.lines
    ]
    tiers = [
        (tier.tier, tier.lot, spans(strokes_of(tier)), len(strokes_of(tier)), tier.reason, entry)
        for tier in scope.tiers
    ]
    places = [(line.place, line.pieces, line.least, line.most, entry) for line in scope.places]
    containers = [
        (
            held.code,
            held.kind,
            held.status,
            held.lot,
            held.pieces,
            held.least,
            held.most,
            list(held.parents),
            held.consignee,
            held.shipped,
            entry,
        )
        for held in scope.containers
    ]
    nobody = "Nothing that may be affected has left the plant, by the scopes of the case."
    return [
        table(KEYS[0], "What each consignee has", _CONSIGNEES, consignees, nobody),
        table(KEYS[1], "What is suspected, and why", _TIERS, tiers, "The question is followed by place, not by stroke."),
        table(KEYS[2], "Where the discs are", _PLACES, places),
        table(KEYS[3], "Containers that can hold an affected disc", _CONTAINERS, containers, "None can."),
    ]  # fmt: skip


def case_opening(answer: CaseAnswer) -> Iterator[Block]:
    """Say what the case asks and found, and whether it finds the same now."""
    total = answer.scope.total
    yield TextBlock(f"Question: {command_of(answer.words)}")
    yield TextBlock(
        f"Scope {answer.version}, recorded in entry {answer.entry}, asked of the records up to entry {answer.scope.head_seq}: "
        f"{_discs(answer)}{grouped(total.least)} at least and {grouped(total.most)} at most of {grouped(total.pieces)} discs "
        f"are affected. {LEAST_NOTE} Limits of several things are those of all of them together, never their sum."
    )
    now = answer.now
    said = (
        f"it finds something else than the recorded scope: {grouped(now.total.least)} to {grouped(now.total.most)} affected "
        "(runout case show says what differs)"
        if answer.differs
        else "it finds the same"
    )
    yield FramedNote(
        f"Asked again of the records up to entry {now.head_seq}, {said}. answer.json has that answer with a certificate "
        "for each limit; runout contain --check answer.json checks them against the movements of the ledger.",
        loud=answer.differs,
    )


def _discs(answer: CaseAnswer) -> str:
    if not answer.scope.tiers:
        return ""
    sums = [
        (name, sum(len(strokes_of(tier)) for tier in answer.scope.tiers if tier.tier == name))
        for name in _NAMES
    ]
    return ", ".join(f"{grouped(count)} {name}" for name, count in sums) + "; "


_NAMES: Sequence[str] = ("proven", "possible", "cleared")

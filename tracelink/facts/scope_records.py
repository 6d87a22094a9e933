"""The parts of a scope document on the records: cases, balances, related lots, holds, how far the records go."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CaseNews:
    """One thing that a containment case recorded of a consignee."""

    what: str
    """notice, reply or effectiveness check."""
    detail: str
    """Sentence for a reader."""
    consignee: str
    """Name, as in the order."""
    at: str
    """Event time, RFC 3339 with offset."""
    entry: int
    """Journal sequence of the entry."""


@dataclass(frozen=True, slots=True)
class CaseLine:
    """A containment case about the cause."""

    code: str
    """Plant code of the case."""
    opened_at: str
    """Event time, RFC 3339 with offset."""
    opened_by: str
    """Name of the person."""
    reason: str
    """Words of the person, as written."""
    marked_safety: bool
    """True if a person marked it as a safety matter; the program never does."""
    scopes: int
    """Scopes that it keeps, 1 or more."""
    closed_entry: int | None
    """Journal sequence of the entry by which two people closed it; None while it is open."""
    question: str
    """What it asks, as a person would type it behind `runout contain`."""
    news: tuple[CaseNews, ...]
    """Notices, replies and checks of consignees, in the order of the journal."""


@dataclass(frozen=True, slots=True)
class SumLine:
    """One equation of a lot's balance."""

    name: str
    """Name of the stage."""
    came: int
    """Discs that came in, 0 or more."""
    went: int
    """Discs that went out or are there, 0 or more."""
    difference: int
    """Discs, signed: above 0 not found, below 0 more than came in."""


@dataclass(frozen=True, slots=True)
class LotSums:
    """The balance of one lot."""

    lot: str
    """Plant code of the lot."""
    lines: tuple[SumLine, ...]
    """One equation per stage, in the order of the stages."""
    difference: int
    """Discs, signed: all differences together."""
    sentences: tuple[str, ...]
    """Sentences on where a difference first appears, what was counted by hand, what came back loose."""


@dataclass(frozen=True, slots=True)
class RelatedLot:
    """Another lot that shares something with the lots in question."""

    lot: str
    """Plant code of the other lot."""
    title: str
    """Title of its product."""
    relation: str
    """Kind of link: set-up, compound, label issue, rework, repacked carton, kit."""
    through: str
    """Code of the thing, or number of the entry, that links them."""
    pressed: int
    """Discs pressed of the other lot, 0 or more."""
    in_scope: bool
    """True if the other lot is in the tiers above as well."""


@dataclass(frozen=True, slots=True)
class HoldLine:
    """One hold on something in question."""

    code: str
    """Plant code of the hold."""
    cause: str
    """Code of the thing that it was placed about."""
    reason: str
    """Words of the person, as written."""
    things: int
    """Things in question that it names, 1 or more."""
    placed_at: str
    """Event time, RFC 3339 with offset."""
    placed_by: str
    """Name of the person; empty if a station placed it by itself."""
    entry: int
    """Journal sequence of the entry that placed it."""
    lifted_entry: int | None
    """Journal sequence of the entry that lifted it; None while it is open."""


@dataclass(frozen=True, slots=True)
class LateEntry:
    """An entry recorded long after what it tells of."""

    entry: int
    """Journal sequence of the entry."""
    kind: str
    """Kind of entry, such as `stack-taken`."""
    happened: str
    """Event time, local with offset."""
    recorded: str
    """Recording time, UTC."""
    late_s: int
    """Seconds from the event to its recording."""
    by: str
    """Name of the person signed on; empty if there was none."""


@dataclass(frozen=True, slots=True)
class Correction:
    """An entry that corrects an earlier one."""

    entry: int
    """Journal sequence of the correcting entry."""
    corrects: int
    """Journal sequence of the entry corrected."""
    kind: str
    """Kind of entry, such as `sample-judged`."""
    reason: str
    """Words of the person, as written."""
    by: str
    """Name of the person who corrected."""


@dataclass(frozen=True, slots=True)
class RecordQuality:
    """How far the records can be relied on for this scope."""

    gaps: tuple[str, ...]
    """Sentences, one per gap in the records."""
    contradictions: tuple[str, ...]
    """Sentences, one per set of movements that cannot all be true."""
    entries: int
    """Entries about the lots in question that were looked at, 0 or more."""
    late: tuple[LateEntry, ...]
    """Entries recorded more than `late_after_minutes` after they happened, the latest first."""
    early: int
    """Entries recorded more than a minute before their event time, 0 or more: clocks disagree."""
    late_after_minutes: int
    """Minutes after which an entry counts as late (setting late_entry_minutes)."""
    corrections: tuple[Correction, ...]
    """Entries that correct others, in the order of the journal."""
    no_reads: int
    """No-reads at the stations that packed the cartons in question, while they did; 0 or more."""
    keyed: int
    """Codes keyed there by two people in place of a scan, 0 or more."""
    inferred: tuple[str, ...]
    """Sentences, one per content that is inferred and was not looked at."""


@dataclass(frozen=True, slots=True)
class Effect:
    """One level of effectiveness checks, for the person to choose from."""

    level: str
    """A to E, A the widest."""
    words: str
    """Share of the recipients asked, for a reader."""
    recipients: str
    """Number of recipients of this document that the share comes to, for a reader."""
    source: str
    """Source of the share: a setting, or a document."""


@dataclass(frozen=True, slots=True)
class DecisionForm:
    """What is for the named person; nothing here is chosen."""

    reach: tuple[str, ...]
    """Sentences on how far the records follow the discs."""
    depths: tuple[str, ...]
    """Depths to choose from."""
    effects: tuple[Effect, ...]
    """Levels of effectiveness checks to choose from."""
    source: str
    """Source of the levels, for a reader."""

"""The parts of a scope document on the records: cases, balances, related lots, holds, how far the records go."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CaseNews:
    """One thing that a containment case recorded of a consignee."""

    what: str
    """notice, reply or effectiveness check."""
    detail: str
    """In words."""
    consignee: str
    """As in the order."""
    at: str
    """When, local time."""
    entry: int
    """The entry."""


@dataclass(frozen=True, slots=True)
class CaseLine:
    """A containment case about the cause."""

    code: str
    """The case."""
    opened_at: str
    """When, local time."""
    opened_by: str
    """By whom."""
    reason: str
    """As the person wrote it."""
    marked_safety: bool
    """Whether a person marked it as a safety matter; the program never does."""
    scopes: int
    """How many scopes it keeps."""
    closed_entry: int | None
    """The entry by which two people closed it; None while it is open."""
    news: tuple[CaseNews, ...]
    """What it recorded of consignees, in the order of the journal."""


@dataclass(frozen=True, slots=True)
class SumLine:
    """One equation of a lot's balance."""

    name: str
    """Which stage."""
    came: int
    """Discs that came in."""
    went: int
    """Discs that went out or are there."""
    difference: int
    """Positive: not found; negative: more than came in."""


@dataclass(frozen=True, slots=True)
class LotSums:
    """The balance of one lot."""

    lot: str
    """The lot."""
    lines: tuple[SumLine, ...]
    """Stage by stage."""
    difference: int
    """All differences together."""
    sentences: tuple[str, ...]
    """Where a difference first appears, what was counted by hand, what came back loose."""


@dataclass(frozen=True, slots=True)
class RelatedLot:
    """Another lot that shares something with the lots in question."""

    lot: str
    """The other lot."""
    title: str
    """Its title."""
    relation: str
    """What they share: set-up, compound, label issue, rework, repacked carton, kit."""
    through: str
    """The thing or entry they share."""
    pressed: int
    """Discs pressed of the other lot."""
    in_scope: bool
    """Whether the other lot is in the tiers above as well."""


@dataclass(frozen=True, slots=True)
class HoldLine:
    """One hold on something in question."""

    code: str
    """The hold."""
    cause: str
    """What it is about."""
    reason: str
    """As the person wrote it."""
    things: int
    """How many of the things in question it names."""
    placed_at: str
    """When, local time."""
    placed_by: str
    """By whom; empty if a station placed it without a person."""
    entry: int
    """The entry that placed it."""
    lifted_entry: int | None
    """The entry that lifted it; None while it is open."""


@dataclass(frozen=True, slots=True)
class LateEntry:
    """An entry recorded long after what it tells of."""

    entry: int
    """The entry."""
    kind: str
    """What it records."""
    happened: str
    """Event time, local with offset."""
    recorded: str
    """Recording time, UTC."""
    late_s: int
    """Seconds between the two."""
    by: str
    """Who recorded it."""


@dataclass(frozen=True, slots=True)
class Correction:
    """An entry that corrects an earlier one."""

    entry: int
    """The correcting entry."""
    corrects: int
    """The entry corrected."""
    kind: str
    """What it records."""
    reason: str
    """As the person wrote it."""
    by: str
    """Who corrected."""


@dataclass(frozen=True, slots=True)
class RecordQuality:
    """How far the records can be relied on for this scope."""

    gaps: tuple[str, ...]
    """What the records do not say."""
    contradictions: tuple[str, ...]
    """What cannot all be true."""
    entries: int
    """Entries about the lots in question that were looked at."""
    late: tuple[LateEntry, ...]
    """Recorded later than `late_after_s` after they happened."""
    early: int
    """Entries whose event time lies after their recording by more than that: clocks disagree."""
    late_after_s: int
    """What counts as late or early, seconds."""
    corrections: tuple[Correction, ...]
    """Entries that correct others."""
    no_reads: int
    """Codes that could not be read at the stations that packed the cartons in question, while they did."""
    keyed: int
    """Codes keyed by two people there in place of a scan."""
    inferred: tuple[str, ...]
    """What contents rest on inference and not on a look."""


@dataclass(frozen=True, slots=True)
class Effect:
    """One level of effectiveness checks, for the person to choose from."""

    level: str
    """A to E."""
    words: str
    """Which share of the recipients is asked."""
    recipients: str
    """What that share is of the recipients in this document."""
    source: str
    """Where the share comes from."""


@dataclass(frozen=True, slots=True)
class DecisionForm:
    """What is for the named person; nothing here is chosen."""

    reach: tuple[str, ...]
    """How far the records follow the discs."""
    depths: tuple[str, ...]
    """Depths to choose from."""
    effects: tuple[Effect, ...]
    """Levels of effectiveness checks to choose from."""
    source: str
    """Where the levels are written."""

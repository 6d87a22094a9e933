"""The parts of a scope document on the discs and the records: places, people, balances, holds, decision."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Totals:
    """Sums that the reader can check."""

    proven: int
    """Discs proven affected."""
    possible: int
    """Discs possibly affected."""
    cleared: int
    """Discs cleared for the shape asked about, with a reason."""
    pieces: int
    """Discs of the lots in question."""
    least: int
    """Fewest affected."""
    most: int
    """Most affected."""
    places: int
    """What the places add up to."""
    difference: int
    """`places` less `pieces`."""


@dataclass(frozen=True, slots=True)
class Place:
    """All discs in one kind of place."""

    name: str
    """In words."""
    pieces: int
    """Discs there; for `unaccounted` a signed difference."""
    least: int
    """Fewest affected."""
    most: int
    """Most affected."""
    tight: bool
    """Whether both bounds are reached by some assignment."""
    is_unaccounted: bool
    """Whether this line is what the count lacks."""


@dataclass(frozen=True, slots=True)
class JointBoundsFacts:
    """The bounds of several things together, narrower than the sum of theirs: a disc is in one place only."""

    pieces: int
    """Discs of the lots in question."""
    least: int
    """Fewest affected."""
    most: int
    """Most affected."""
    chance: float | None
    """Chance of any; None if not known."""
    tight: bool
    """Whether both bounds are reached."""


@dataclass(frozen=True, slots=True)
class Container:
    """One container that can hold an affected disc."""

    kind: str
    """spindle, carton, sample or place."""
    code: str
    """Its code."""
    status: str
    """Its status in the records."""
    lot: str
    """The lot of the discs counted here."""
    pieces: int
    """Discs of the lot in it."""
    least: int
    """Fewest affected."""
    most: int
    """Most affected."""
    chance: float | None
    """Chance of any under random mixing; None if not known."""
    tight: bool
    """Whether both bounds are reached."""
    stands_in: tuple[str, ...]
    """Pallet, shipment or location, from the inside out."""
    recipient: str
    """Who gets it; empty if it is in no shipment."""
    order: str
    """The order; empty if it is in no shipment."""
    shipped_at: str
    """When it left the plant, local time; empty if it did not or no record says when."""
    shipped: bool
    """Whether it left the plant."""
    hold: str | None
    """The open hold that stops it; None if there is none."""
    numbers: tuple[str, ...]
    """Numbered sleeves in it, at most a carton full."""


@dataclass(frozen=True, slots=True)
class Group:
    """A pallet, shipment, order or country that can have an affected disc."""

    kind: str
    """pallet, shipment, location, order or country."""
    code: str
    """Its code."""
    pieces: int
    """Discs of the lots in question in it."""
    least: int
    """Fewest affected."""
    most: int
    """Most affected."""
    chance: float | None
    """Chance of any."""
    tight: bool
    """Whether both bounds are reached."""
    shipped: bool
    """Whether all of it left the plant."""


@dataclass(frozen=True, slots=True)
class Identifier:
    """Something that a stranger can look for."""

    thing: str
    """What it belongs to."""
    look_at: str
    """Where to look."""
    says: str
    """What stands there."""


@dataclass(frozen=True, slots=True)
class Delivery:
    """One shipment to a recipient."""

    shipment: str
    """Its code."""
    order: str
    """The order it fulfils."""
    departed_at: str
    """When it left, local time; empty if it did not leave or no record says when."""
    shipped: bool
    """Whether the records say that it left."""


@dataclass(frozen=True, slots=True)
class Recipient:
    """A consignee."""

    name: str
    """As in the order."""
    country: str
    """ISO 3166-1 alpha-2."""
    deliveries: tuple[Delivery, ...]
    """Shipments with a container in question."""
    containers: int
    """Containers that can hold an affected disc."""
    pieces: int
    """Discs of the lots in question."""
    least: int
    """Fewest affected."""
    most: int
    """Most affected."""
    chance: float | None
    """Chance of any."""
    tight: bool
    """Whether both bounds are reached."""
    shipped: bool
    """Whether all of it left the plant."""
    contact: str | None
    """Whom to write to; None if the records have none."""
    onward: str | None
    """Where it was passed on to; None if the records do not say, which is the rule."""


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

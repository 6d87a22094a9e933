"""What a case keeps of its question, and of each answer: tiers, containers, places and their totals."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CaseSpan:
    """Strokes `first` to `last` of a lot."""

    first: int
    last: int


@dataclass(frozen=True, slots=True)
class CaseTier:
    """Strokes of a lot in one tier, with the reason."""

    tier: str
    """proven, possible or cleared."""
    lot: str
    spans: tuple[CaseSpan, ...]
    """Stretches of strokes, in order and without touching."""
    reason: str


@dataclass(frozen=True, slots=True)
class CaseContainer:
    """A container that could hold an affected disc of one lot."""

    code: str
    kind: str
    status: str
    lot: str
    pieces: int
    """Discs of the lot in it."""
    least: int
    most: int
    parents: tuple[str, ...]
    """What it stood in, from the inside out."""
    consignee: str
    """Empty if it was in no shipment."""
    shipped: bool


@dataclass(frozen=True, slots=True)
class CasePlace:
    """All discs of the lots in question in one kind of place; the total is one of them."""

    place: str
    pieces: int
    least: int
    most: int


@dataclass(frozen=True, slots=True)
class ScopeSummary:
    """What one asking of the question found, by the records up to an entry."""

    cause: str
    head_seq: int
    """The last entry looked at."""
    head_hash: str
    tiers: tuple[CaseTier, ...]
    containers: tuple[CaseContainer, ...]
    """Only those that could hold an affected disc."""
    places: tuple[CasePlace, ...]
    consignees: tuple[CasePlace, ...]
    """Each consignee with all its containers taken together, which binds closer than the sum over them; where
    only a part of them had left the plant, a second line with its name bounds that part."""
    lots: tuple[str, ...]
    """The lots concerned."""
    gaps: tuple[str, ...]
    contradictions: tuple[str, ...]

    @property
    def total(self) -> CasePlace:
        """The line that the places add up to."""
        return next(
            (line for line in self.places if line.place == "total"),
            CasePlace("total", 0, 0, 0),
        )


@dataclass(frozen=True, slots=True)
class CaseEvidence:
    """A judged disc that the question brought along."""

    lot: str
    stroke: int
    good: bool
    defect: str | None
    """In lower case; None if nobody named one."""


@dataclass(frozen=True, slots=True)
class CaseQuestion:
    """What a case asks of the records."""

    cause: str
    """Code, as the person gave it."""
    shape: str
    """from-onset, whole-life, window or intermittent."""
    evidence: tuple[CaseEvidence, ...]
    defect: str | None
    window: tuple[int, ...]
    """First and last; empty for none."""
    also: tuple[str, ...]
    """Or these causes."""
    only_with: tuple[tuple[str, ...], ...]
    """And one of each of these."""
    since: str | None
    until: str | None
    """The period, RFC 3339 with offset."""
    next_tests: int
    """Tests named at most."""

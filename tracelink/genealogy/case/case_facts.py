"""What was recorded of a containment case."""

from dataclasses import dataclass

from tracelink.genealogy.case.standing import CaseRecord
from tracelink.genealogy.containment.query import ContainmentQuery
from tracelink.genealogy.containment.query_words import to_words


@dataclass(frozen=True, slots=True)
class Case:
    """One case, as it was opened."""

    code: str
    cause: str
    safety: bool
    """True if a person marked it as a safety matter."""
    reason: str
    person: str
    """Badge of who opened it."""
    name: str
    """Name of that person."""
    seq: int
    """The entry that opened it."""
    closed_seq: int | None
    last_seq: int
    """The newest entry about it."""


@dataclass(frozen=True, slots=True)
class CaseHold:
    """A hold that belongs to a case."""

    code: str
    person: str | None
    reason: str
    seq: int
    lifted_seq: int | None


@dataclass(frozen=True, slots=True)
class CaseClosing:
    """How a case was closed."""

    at: str
    """When, RFC 3339 with offset."""
    names: tuple[str, ...]
    """Names of the two people."""
    reason: str
    open_points: tuple[str, ...]
    """What they were shown as open, and kept with it."""


@dataclass(frozen=True, slots=True)
class CaseFacts:
    """All that was recorded of a case; `genealogy.case.standing.status_of` works out how far it is."""

    case: Case
    opened_at: str
    """When it was opened, RFC 3339 with offset."""
    query: ContainmentQuery
    """The question of the newest scope."""
    scope_entries: tuple[int, ...]
    """The entries that recorded scope 1, 2, ..."""
    holds: tuple[CaseHold, ...]
    recorded: CaseRecord
    """Scopes, notices, replies, checks, and what the dock booked."""
    closing: CaseClosing | None = None
    """How it was closed; None while it is open."""

    @property
    def causes(self) -> frozenset[str]:
        """Codes of everything that the question is about."""
        return frozenset((self.case.cause, *self.query.codes))

    @property
    def words(self) -> tuple[str, ...]:
        """The question as a person would type it behind `runout contain`."""
        return to_words(self.query)

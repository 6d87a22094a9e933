"""The answer of a containment case, as its bundle tells it."""

from dataclasses import dataclass

from tracelink.genealogy.case.standing import CaseStatus
from tracelink.ledger.kinds.case_scope import ScopeSummary


@dataclass(frozen=True, slots=True)
class CaseAnswer:
    """The newest recorded scope of a case, how far it is, and the same question asked of the records of the bundle."""

    words: tuple[str, ...]
    """The question as a person would type it behind `runout contain`."""
    version: int
    """Number of the newest scope, from 1."""
    entry: int
    """The entry that recorded it."""
    scope: ScopeSummary
    """The newest recorded scope."""
    status: CaseStatus
    """Consignee by consignee."""
    now: ScopeSummary
    """The same question, asked at the head of the bundle."""
    differs: bool
    """True if it finds anything else now than the recorded scope did."""

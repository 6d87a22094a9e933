"""Entries of containment cases: opened, scoped again, held, told, answered, checked, closed.

A case keeps its question, field by field, so that it can be asked again of a later ledger, and of each answer a
summary: the tiers as ranges, the containers that can hold an affected disc, the places with their totals. Who
decides is a named person; these entries record what was decided and done, and judge nothing.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert, Update
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Taken
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.case_scope import CaseQuestion, ScopeSummary
from tracelink.ledger.origin import BY_ANYBODY, BY_QUALITY, Origin

CHECK_RESULTS = ("ok", "not-received", "not-acted", "not-reached")
"""What an effectiveness check can find: the consignee got the notice and did as it says; never got it; got it and
did not do as it says; nobody could be asked."""


def noted(case: str, entry: Entry, kind: str) -> Insert:
    """Return the row that names an entry as one of a case."""
    return Insert("case_entry", {"seq": entry.seq, "case_code": case, "kind": kind})


def _scoped(case: str, version: int, entry: Entry, scope: ScopeSummary) -> Insert:
    row = {"case_code": case, "version": version, "seq": entry.seq, "head_seq": scope.head_seq}
    return Insert("case_scope", {**row, "least": scope.total.least, "most": scope.total.most})


@dataclass(frozen=True, slots=True)
class CaseOpened:
    """An authorised person opened a case about one question; the entry's reason says why."""

    kind: ClassVar[str] = "case-opened"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.CASE_SCOPE, no_event=NoEvent.DECISION, tables=(BundleTable.CASES,)
    )
    origin: ClassVar[Origin] = BY_QUALITY
    case: str
    question: CaseQuestion
    safety: bool
    """True if the person marked it as a safety matter; the program does not choose."""
    scope: ScopeSummary
    """Scope 1."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The case and its first scope."""
        yield from _opened(self, entry)


@dataclass(frozen=True, slots=True)
class CaseOpenedInWords:
    """The same by an older program, which kept the question as words of its command line."""

    kind: ClassVar[str] = "case-opened"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.CASE_SCOPE, no_event=NoEvent.DECISION, tables=(BundleTable.CASES,)
    )
    origin: ClassVar[Origin] = BY_QUALITY
    case: str
    words: tuple[str, ...]
    safety: bool
    scope: ScopeSummary

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The case and its first scope."""
        yield from _opened(self, entry)


def _opened(body: CaseOpened | CaseOpenedInWords, entry: Entry) -> Iterator[Change]:
    row = {"code": body.case, "cause": body.scope.cause, "safety": int(body.safety), "reason": entry.reason}
    who = {"person": entry.stamp.person, "seq": entry.seq, "closed_seq": None}
    yield Insert("containment_case", {**row, **who})
    yield noted(body.case, entry, body.kind)
    yield _scoped(body.case, 1, entry, body.scope)


@dataclass(frozen=True, slots=True)
class CaseScoped:
    """The question was asked again, or another one in its place; the entry's reason says why."""

    kind: ClassVar[str] = "case-scoped"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.CASE_SCOPE, no_event=NoEvent.DECISION, tables=(BundleTable.CASES,)
    )
    origin: ClassVar[Origin] = BY_QUALITY
    case: str
    version: int
    """2 or more."""
    question: CaseQuestion
    scope: ScopeSummary

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One more scope; earlier ones stay."""
        yield noted(self.case, entry, self.kind)
        yield _scoped(self.case, self.version, entry, self.scope)


@dataclass(frozen=True, slots=True)
class CaseScopedInWords:
    """The same by an older program."""

    kind: ClassVar[str] = "case-scoped"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.CASE_SCOPE, no_event=NoEvent.DECISION, tables=(BundleTable.CASES,)
    )
    origin: ClassVar[Origin] = BY_QUALITY
    case: str
    version: int
    words: tuple[str, ...]
    scope: ScopeSummary

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One more scope; earlier ones stay."""
        yield noted(self.case, entry, self.kind)
        yield _scoped(self.case, self.version, entry, self.scope)


@dataclass(frozen=True, slots=True)
class CaseHeld:
    """Holds that belong to a case: placed for it, or there before it."""

    kind: ClassVar[str] = "case-held"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WITH_ANOTHER, no_event=NoEvent.DECISION, tables=(BundleTable.CASES,)
    )
    origin: ClassVar[Origin] = BY_QUALITY
    case: str
    holds: tuple[str, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per hold."""
        yield noted(self.case, entry, self.kind)
        for hold in self.holds:
            yield Insert("case_hold", {"case_code": self.case, "hold": hold, "seq": entry.seq})


@dataclass(frozen=True, slots=True)
class CaseNotified:
    """A consignee was told; the time of the entry is when."""

    kind: ClassVar[str] = "case-notified"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WITH_ANOTHER, no_event=NoEvent.DECISION, tables=(BundleTable.CASES,)
    )
    origin: ClassVar[Origin] = BY_QUALITY
    case: str
    consignee: str
    method: str
    """How, such as e-mail, letter or telephone."""
    version: int
    """The scope that the notice speaks of."""
    sha256: str
    """Hash of the bytes of the notice, hexadecimal: the text itself is a file that the plant keeps."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One notice."""
        yield noted(self.case, entry, self.kind)
        row = {"seq": entry.seq, "case_code": self.case, "consignee": self.consignee, "method": self.method}
        at = entry.stamp.event_time
        yield Insert("case_notice", {**row, "version": self.version, "sha256": self.sha256, "at": at})


@dataclass(frozen=True, slots=True)
class CaseReplied:
    """A consignee said what it has and what it did; a later reply takes the place of an earlier one."""

    kind: ClassVar[str] = "case-replied"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WITH_ANOTHER, no_event=NoEvent.DECISION, tables=(BundleTable.CASES,)
    )
    origin: ClassVar[Origin] = BY_ANYBODY
    case: str
    consignee: str
    on_hand: int
    """Discs on hand when it was told."""
    returned: int | None
    """Discs it says it sent back; None if it said nothing of it."""
    destroyed: int | None
    """Discs it says it destroyed; None if it said nothing of it."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One reply."""
        yield noted(self.case, entry, self.kind)
        row = {"seq": entry.seq, "case_code": self.case, "consignee": self.consignee}
        said = {"on_hand": self.on_hand, "returned": self.returned, "destroyed": self.destroyed}
        yield Insert("case_reply", {**row, **said, "at": entry.stamp.event_time})


@dataclass(frozen=True, slots=True)
class CaseChecksChosen:
    """An authorised person decided how many consignees are checked, and the draw was made."""

    kind: ClassVar[str] = "case-checks-chosen"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WITH_ANOTHER, no_event=NoEvent.DECISION, tables=(BundleTable.CASES,)
    )
    origin: ClassVar[Origin] = BY_QUALITY
    case: str
    level: str
    """A, B, C, D or E."""
    percent: int
    """Share of the consignees, 0 to 100."""
    source: str
    """Where the share comes from, as the setting says."""
    among: int
    """Consignees in the draw."""
    seed: str
    """Hash of the entry before: nobody picked it, and the draw can be repeated from it."""
    chosen: tuple[str, ...]
    """Consignees to be checked."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The decision and one row per consignee; the newest counts."""
        yield noted(self.case, entry, self.kind)
        row = {"seq": entry.seq, "case_code": self.case, "level": self.level, "percent": self.percent}
        yield Insert("case_level", {**row, "source": self.source, "among": self.among})
        for consignee in self.chosen:
            yield Insert("case_chosen", {"seq": entry.seq, "consignee": consignee})


@dataclass(frozen=True, slots=True)
class CaseChecked:
    """Somebody asked a consignee whether the notice came and was acted on."""

    kind: ClassVar[str] = "case-checked"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WITH_ANOTHER, no_event=NoEvent.DECISION, tables=(BundleTable.CASES,)
    )
    origin: ClassVar[Origin] = BY_ANYBODY
    case: str
    consignee: str
    result: str
    """One of `CHECK_RESULTS`."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One check."""
        yield noted(self.case, entry, self.kind)
        row = {"seq": entry.seq, "case_code": self.case, "consignee": self.consignee}
        yield Insert("case_check", {**row, "result": self.result, "at": entry.stamp.event_time})


@dataclass(frozen=True, slots=True)
class CaseEstimated:
    """A person said by when the case may be done."""

    kind: ClassVar[str] = "case-estimated"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WITH_ANOTHER, no_event=NoEvent.DECISION, tables=(BundleTable.CASES,)
    )
    origin: ClassVar[Origin] = BY_QUALITY
    case: str
    date: str
    """YYYY-MM-DD."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One estimate; the newest counts."""
        yield noted(self.case, entry, self.kind)
        yield Insert("case_estimate", {"seq": entry.seq, "case_code": self.case, "date": self.date})


@dataclass(frozen=True, slots=True)
class CaseClosed:
    """Two authorised people closed a case; the entry's reason says on what grounds."""

    kind: ClassVar[str] = "case-closed"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.WITH_ANOTHER, no_event=NoEvent.DECISION, tables=(BundleTable.CASES,)
    )
    origin: ClassVar[Origin] = BY_QUALITY.needs_reason().needs_second("second_person")
    case: str
    second_person: str
    open_points: tuple[str, ...]
    """What was not done or not known when they did; they were shown it."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The case ends at this entry."""
        yield noted(self.case, entry, self.kind)
        yield Update("containment_case", {"code": self.case}, {"closed_seq": entry.seq})


KINDS: tuple[type[EntryBody], ...] = (
    CaseOpened,
    CaseScoped,
    CaseHeld,
    CaseNotified,
    CaseReplied,
    CaseChecksChosen,
    CaseChecked,
    CaseEstimated,
    CaseClosed,
)
"""The kinds of this module, for the registry."""

EARLIER = (CaseOpenedInWords, CaseScopedInWords)
"""Forms of bodies that older programs wrote."""

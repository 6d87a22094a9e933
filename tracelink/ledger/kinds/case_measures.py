"""Entries on why it happened and what is done so that it does not happen again; and the investigations of a case."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import BundleTable, ExportRule, NoEvent, Taken
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.case import noted
from tracelink.ledger.origin import BY_QUALITY, Origin

_EXPORT = ExportRule(taken=Taken.WITH_ANOTHER, no_event=NoEvent.DECISION, tables=(BundleTable.CASES,))


@dataclass(frozen=True, slots=True)
class CaseCauseStated:
    """An authorised person said what the root cause is; a later one takes its place."""

    kind: ClassVar[str] = "case-cause-stated"
    export: ClassVar[ExportRule] = _EXPORT
    origin: ClassVar[Origin] = BY_QUALITY
    case: str
    words: str
    """The root cause, in the person's words."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One more entry of the case: what it says is read from the journal."""
        yield noted(self.case, entry, self.kind)


@dataclass(frozen=True, slots=True)
class CaseActionSet:
    """An authorised person gave somebody a corrective action, by a day."""

    kind: ClassVar[str] = "case-action-set"
    export: ClassVar[ExportRule] = _EXPORT
    origin: ClassVar[Origin] = BY_QUALITY
    case: str
    words: str
    """What is to be done, in the person's words."""
    owner: str
    """Badge of who does it."""
    due: str
    """By when, YYYY-MM-DD."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One more entry of the case."""
        yield noted(self.case, entry, self.kind)


@dataclass(frozen=True, slots=True)
class CaseInvestigationLinked:
    """An investigation belongs to a case."""

    kind: ClassVar[str] = "case-investigation-linked"
    export: ClassVar[ExportRule] = _EXPORT
    origin: ClassVar[Origin] = BY_QUALITY
    case: str
    investigation: int
    """Its number: the entry that opened it."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One more entry of the case."""
        yield noted(self.case, entry, self.kind)


KINDS: tuple[type[EntryBody], ...] = (CaseCauseStated, CaseActionSet, CaseInvestigationLinked)
"""The kinds of this module, for the registry."""

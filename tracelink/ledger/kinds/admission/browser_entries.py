"""Entries about browsers: one was enrolled or withdrawn, somebody was refused in one."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert, Update
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Taken
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody, finding_row
from tracelink.ledger.origin import BY_QUALITY, OF_A_BADGE, Origin

_RULE = ExportRule(taken=Taken.NEVER, no_event=NoEvent.SAYS_WHAT_IS)
_ORIGIN = BY_QUALITY.needs_reason()


@dataclass(frozen=True, slots=True)
class BrowserEnrolled:
    """A browser opens a station, or every one, from now on; it is known by a secret that only it has."""

    kind: ClassVar[str] = "browser-enrolled"
    export: ClassVar[ExportRule] = _RULE
    origin: ClassVar[Origin] = _ORIGIN
    called: str
    """What people call it, such as the tablet of line 3."""
    station: str | None
    """The one station that it opens; None for every station."""
    digest: str
    """SHA-256 of its secret, 64 hexadecimal digits; the secret is random and long, so it cannot be guessed from this."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per browser."""
        row = {"seq": entry.seq, "name": self.called, "station": self.station, "digest": self.digest}
        who = {"person": entry.stamp.person, "reason": entry.reason, "at": entry.stamp.event_time}
        yield Insert("browser", {**row, **who, "withdrawn_seq": None})


@dataclass(frozen=True, slots=True)
class BrowserWithdrawn:
    """A browser opens no station any more."""

    kind: ClassVar[str] = "browser-withdrawn"
    export: ClassVar[ExportRule] = _RULE
    origin: ClassVar[Origin] = _ORIGIN
    enrolled: int
    """The entry by which it was enrolled."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """It stands no longer."""
        yield Update("browser", {"seq": self.enrolled}, {"withdrawn_seq": entry.seq})


@dataclass(frozen=True, slots=True)
class AccessRefused:
    """Somebody tried something in a browser and was refused; a wrong PIN is an entry of its own, `badge-refused`.

    The entry's person is who was signed in; nobody if nobody was.
    """

    kind: ClassVar[str] = "access-refused"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.NEVER, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = OF_A_BADGE
    tried: str
    """What they tried, such as sign in."""
    sentence: str
    """What they were told."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """A finding."""
        yield finding_row(
            entry,
            finding=FindingCode.ACCESS_REFUSED,
            subject=self.tried,
            expected="somebody who may, in a browser that may",
            found="refused",
            sentence=self.sentence,
        )


KINDS: tuple[type[EntryBody], ...] = (BrowserEnrolled, BrowserWithdrawn, AccessRefused)
"""The kinds of this module, for the registry."""

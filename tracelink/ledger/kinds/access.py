"""Entries about badges and keys: a PIN was set, asked for, given, or wrong; the key of a station stands or does not."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert, Update
from tracelink.ledger.count_words import counted
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Taken
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import EntryBody, finding_row
from tracelink.ledger.origin import BY_QUALITY, OF_A_BADGE, Origin
from tracelink.ledger.pins import Verifier


@dataclass(frozen=True, slots=True)
class PinSet:
    """Somebody has a PIN from now on, or another one; the entry's person is who set it.

    What is kept of the PIN tells nothing about its digits without a key that is not in the journal (`ledger/pins.py`).
    """

    kind: ClassVar[str] = "pin-set"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.NEVER, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = OF_A_BADGE
    person: str
    first: bool
    """True if they had none before."""
    kept: Verifier

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per person; wrong attempts are forgotten."""
        row = {
            "salt": self.kept.salt,
            "cost": self.kept.cost,
            "block": self.kept.block,
            "lanes": self.kept.lanes,
            "digest": self.kept.digest,
            "key_id": self.kept.key_id,
            "failures": 0,
            "failed_at": None,
            "seq": entry.seq,
        }
        if self.first:
            yield Insert("person_pin", {"person": self.person, **row})
        else:
            yield Update("person_pin", {"person": self.person}, row)


@dataclass(frozen=True, slots=True)
class PinKeyReplaced:
    """The secret key of the PINs was lost, and two people made another one, by which no older PIN is right."""

    kind: ClassVar[str] = "pin-key-replaced"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.NEVER, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = BY_QUALITY.needs_reason().needs_second("second_person")
    key_id: str
    """Of the new key, as in `Verifier`."""
    pins: int
    """PINs that were set before and must be set anew, 0 or more."""
    second_person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """A finding: whoever did not expect it must hear of it."""
        yield finding_row(
            entry,
            finding=FindingCode.PIN_KEY_REPLACED,
            subject=self.key_id,
            expected="the key with which the PINs were set",
            found=f"another one, made by {entry.stamp.person} and {self.second_person}",
            sentence=f"{entry.stamp.person} and {self.second_person} made a new PIN key: {counted(self.pins, 'PIN')} to be "
            "set anew. Whoever did not expect this tells quality.",
        )


@dataclass(frozen=True, slots=True)
class PinReplaced:
    """Two people gave somebody another PIN, who could not give the old one; the entry after it has the new one.

    Whoever sets a PIN knows it, and could act as two people where two are asked for: so neither does it alone.
    """

    kind: ClassVar[str] = "pin-replaced"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.NEVER, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = BY_QUALITY.needs_reason().needs_second("second_person")
    person: str
    second_person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """A finding: its owner must hear of it."""
        yield finding_row(
            entry,
            finding=FindingCode.PIN_REPLACED,
            subject=self.person,
            expected="the PIN that its owner set",
            found=f"another one, set by {entry.stamp.person} and {self.second_person}",
            sentence=f"{entry.stamp.person} and {self.second_person} set another PIN for badge {self.person}. Its owner changes it "
            "at once; whoever did not expect this tells quality.",
        )


@dataclass(frozen=True, slots=True)
class PinAsked:
    """A badge was scanned whose owner has a PIN; nothing follows from the badge until it is keyed."""

    kind: ClassVar[str] = "pin-asked"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.NEVER, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = OF_A_BADGE
    person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables but the station's own state."""
        yield from ()


@dataclass(frozen=True, slots=True)
class PinGiven:
    """The right PIN was keyed; what the badge stands for follows."""

    kind: ClassVar[str] = "pin-given"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.BEFORE_A_RUN, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = OF_A_BADGE
    person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Wrong attempts are forgotten."""
        yield Update("person_pin", {"person": self.person}, {"failures": 0, "failed_at": None})


@dataclass(frozen=True, slots=True)
class BadgeRefused:
    """A wrong PIN was keyed for a badge, at the entry's station or, without one, at a command."""

    kind: ClassVar[str] = "badge-refused"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.WHILE_ON, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = OF_A_BADGE
    person: str
    attempts: int
    """Wrong PINs in a row, this one counted."""
    wait_s: int
    """Seconds from its recording until the next is looked at."""
    sentence: str
    """What the person was told."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The count grows; a finding."""
        values = {"failures": self.attempts, "failed_at": entry.stamp.recorded_at}
        yield Update("person_pin", {"person": self.person}, values)
        yield finding_row(
            entry,
            finding=FindingCode.BADGE_REFUSED,
            subject=self.person,
            expected="the PIN of this badge",
            found=f"{self.attempts} wrong in a row",
            sentence=self.sentence,
        )


@dataclass(frozen=True, slots=True)
class BadgePutAway:
    """The PIN that was asked for did not come: something else was scanned."""

    kind: ClassVar[str] = "badge-put-away"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.WHILE_ON, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = OF_A_BADGE
    person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables but the station's own state."""
        yield from ()


@dataclass(frozen=True, slots=True)
class BadgeTurnedAway:
    """The badge of somebody who has a PIN was refused before a PIN was asked for; they may key it all the same."""

    kind: ClassVar[str] = "badge-turned-away"
    export: ClassVar[ExportRule] = ExportRule(taken=Taken.WHILE_ON, no_event=NoEvent.PART_OF_AN_ACT)
    origin: ClassVar[Origin] = OF_A_BADGE
    person: str
    number: int
    """Number of the scan at its station: a number keyed in the very next line may be a PIN, and is not kept."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """Nothing in the tables but the station's own state."""
        yield from ()


_KEY_RULE = ExportRule(taken=Taken.NEVER, no_event=NoEvent.SAYS_WHAT_IS)
_KEY_ORIGIN = BY_QUALITY.needs_reason().needs_second("second_person")


@dataclass(frozen=True, slots=True)
class StationKeyEnrolled:
    """From here on every scan of a station must be signed with this key; two people agreed."""

    kind: ClassVar[str] = "station-key-enrolled"
    export: ClassVar[ExportRule] = _KEY_RULE
    origin: ClassVar[Origin] = _KEY_ORIGIN
    station: str
    key: str
    """The public key: name+id+base64, its name that of the station."""
    replaces: str | None
    """The key that it replaces and withdraws; None if the station had none."""
    second_person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per key."""
        if self.replaces is not None:
            yield _withdrawn(self.station, self.replaces, entry)
        row = {"station": self.station, "key": self.key, "seq": entry.seq, "withdrawn_seq": None}
        yield Insert("station_key", row)


@dataclass(frozen=True, slots=True)
class StationKeyWithdrawn:
    """A station signs no longer with this key; two people agreed."""

    kind: ClassVar[str] = "station-key-withdrawn"
    export: ClassVar[ExportRule] = _KEY_RULE
    origin: ClassVar[Origin] = _KEY_ORIGIN
    station: str
    key: str
    second_person: str

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The key stands no longer."""
        yield _withdrawn(self.station, self.key, entry)


def _withdrawn(station: str, key: str, entry: Entry) -> Update:
    return Update("station_key", {"station": station, "key": key}, {"withdrawn_seq": entry.seq})


KINDS: tuple[type[EntryBody], ...] = (
    PinSet,
    PinKeyReplaced,
    PinReplaced,
    PinAsked,
    PinGiven,
    BadgeRefused,
    BadgePutAway,
    BadgeTurnedAway,
    StationKeyEnrolled,
    StationKeyWithdrawn,
)
"""The kinds of this module, for the registry."""

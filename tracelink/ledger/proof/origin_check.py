"""Does every entry carry what a rule would have left on it? Looked at entry by entry, from the first on.

An entry of a station names the scan that led to it, and numbers of a station only grow. The raw scans stand packed beside
the entry; of several entries that one scan leads to, the last has it. Whoever is signed on was named by
the last entry of signing on, or took the shift over.

What this cannot see: an entry forged together with scans that would have forced it. That needs the scans judged again,
or signed where they were made.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from enum import Enum, auto
from typing import Any

from tracelink.ledger.count_words import either
from tracelink.ledger.entry import Entry
from tracelink.ledger.kinds.lab import LotDecided
from tracelink.ledger.kinds.line import LineStopped
from tracelink.ledger.kinds.orders import OrderTaken
from tracelink.ledger.kinds.packing import ShiftHandedOver
from tracelink.ledger.kinds.registry import KINDS
from tracelink.ledger.kinds.setup import StationPlaced
from tracelink.ledger.kinds.station import SignedOff, SignedOn
from tracelink.ledger.origin import FROM_FILE, OF_FILES, Origin, ScanRule, Second
from tracelink.ledger.plant.change_entries import PersonJoined, RolesChanged
from tracelink.ledger.proof.known_badges import OF_BADGES, KnownBadge, remember_badge
from tracelink.ledger.times import utc_seconds


class Lack(Enum):
    """What an entry lacks."""

    STATION = auto()
    """It was made at no station, and no command makes its kind."""
    AREA = auto()
    """The station is not of an area that makes its kind, or is not placed yet."""
    NUMBER = auto()
    """The number of the scan is missing, or not larger than the one before at that station."""
    SCANS = auto()
    """The raw scan that led to it is packed neither beside it nor beside a later entry of the same scan."""
    PERSON = auto()
    """Nobody is named, or nobody who was enrolled by then."""
    SIGNED_ON = auto()
    """Somebody else was signed on at the station."""
    ROLE = auto()
    """The person had not the role."""
    REASON = auto()
    """No reason stands beside it."""
    SECOND = auto()
    """The second person is missing, unknown, without the role, or the first one."""


@dataclass(frozen=True, slots=True)
class OriginFault:
    """One thing that an entry lacks."""

    seq: int
    kind: str
    """Kind of the entry."""
    lack: Lack
    expected: str
    found: str

    @property
    def sentence(self) -> str:
        """The fault in words."""
        what = _WORDS[self.lack].format(expected=self.expected, found=self.found)
        return f"entry {self.seq} ({self.kind}) does not come from a rule: {what}"


_WORDS = {
    Lack.STATION: "it was made at no station: expected {expected}",
    Lack.AREA: "it was made at {found}: expected {expected}",
    Lack.NUMBER: "the number of its scan is {found}: expected {expected}",
    Lack.SCANS: "no raw scan leads to it: expected {expected}, found {found}",
    Lack.PERSON: "it names {found}: expected {expected}",
    Lack.SIGNED_ON: "it names {found}, while {expected} was signed on at that station",
    Lack.ROLE: "{found}: expected the role {expected}",
    Lack.REASON: "no reason stands beside it",
    Lack.SECOND: "its second person is {found}: expected {expected}",
}

_REMEMBERED = OF_BADGES | {
    StationPlaced.kind,
    SignedOn.kind,
    SignedOff.kind,
    ShiftHandedOver.kind,
    LotDecided.kind,
}
"""Kinds of entries at stations that say something about others after them."""

Numbers = Callable[[], Sequence[int]]
"""Returns the numbers of the raw scans packed beside an entry."""


@dataclass(slots=True)
class _AtStation:
    """What is known of a station so far."""

    area: str
    signed_on: str | None = None
    number: int = 0
    """Number of the last scan that led to an entry; 0 for none."""
    waiting: list[Entry] = field(default_factory=list)
    """Entries that it led to, as long as its raw line was not found beside one."""


class OriginCheck:
    """Looks at every entry in order."""

    def __init__(self) -> None:
        self._badges: dict[str, KnownBadge] = {}
        self._is_planned_by_people = False
        self._stations: dict[str, _AtStation] = {}
        self._decisions: dict[str, str] = {}

    def entry(self, entry: Entry, numbers: Numbers) -> Iterator[OriginFault]:
        """Yield what an entry lacks, or what entries before it turn out to lack.

        Args:
            entry: the next one.
            numbers: tells the numbers of its raw scans; asked only where it has any.
        """
        kind = KINDS.get(entry.kind)
        if kind is None:
            return
        origin = kind.origin
        if entry.stamp.station is None:
            yield from self._by_command(entry, origin)
        else:
            yield from self._at_station(entry, origin, numbers)
        if origin.reason and not (entry.reason or "").strip():
            yield _fault(entry, Lack.REASON)
        if origin.second is not None:
            yield from self._second(entry, origin.second)
        if entry.kind in _REMEMBERED or entry.stamp.station is None:
            self._remember(entry)

    def finish(self) -> Iterator[OriginFault]:
        """Yield what the last entries of each station lack; call once, at the end."""
        for at in self._stations.values():
            yield from _unscanned(at)

    def _by_command(self, entry: Entry, origin: Origin) -> Iterator[OriginFault]:
        if not origin.by_command:
            yield _fault(entry, Lack.STATION, _areas(origin))
            return
        yield from self._person(entry, origin, origin.command_roles)

    def _at_station(self, entry: Entry, origin: Origin, numbers: Numbers) -> Iterator[OriginFault]:
        code = str(entry.stamp.station)
        at = self._stations.get(code)
        if at is None or at.area not in origin.areas:
            what = "an unknown station" if at is None else f"a {at.area} station"
            yield _fault(entry, Lack.AREA, _areas(origin), f"{code}, {what}")
            return
        yield from _scans(entry, origin, at, numbers)
        yield from self._person(entry, origin, origin.roles)
        person = entry.stamp.person
        if person is not None and person != at.signed_on:
            yield _fault(entry, Lack.SIGNED_ON, at.signed_on or "nobody", person)

    def _person(self, entry: Entry, origin: Origin, roles: frozenset[str]) -> Iterator[OriginFault]:
        person = entry.stamp.person
        if person is None:
            if not origin.nobody or (origin in OF_FILES and self._is_planned_by_people):
                yield _fault(entry, Lack.PERSON, "a person who was enrolled before", "nobody")
            return
        badge = self._badges.get(person)
        if badge is None:
            yield _fault(
                entry, Lack.PERSON, "a person who was enrolled before", f"the unknown badge {person}"
            )
            return
        if entry.stamp.station is not None and _follows_leaving(entry, origin):
            return
        if badge.always is not None and (not roles or roles & badge.always):
            return
        moment = utc_seconds(entry.stamp.event_time)
        if not badge.counts_at(moment):
            yield _fault(
                entry,
                Lack.PERSON,
                "a person whose badge counts",
                f"badge {person}, withdrawn {badge.withdrawn}",
            )
        elif roles and not roles & badge.roles_at(moment):
            held = _or(badge.roles_at(moment)) or "no role"
            yield _fault(entry, Lack.ROLE, _or(roles), f"{person} has {held}")

    def _second(self, entry: Entry, second: Second) -> Iterator[OriginFault]:
        badge = entry.body.get(second.field)
        needed = second.always or self._overrules(entry)
        if not badge:
            if needed:
                yield _fault(entry, Lack.SECOND, "another person who agreed", "nobody")
        elif badge == entry.stamp.person:
            yield _fault(entry, Lack.SECOND, "another person who agreed", f"{badge}, the first")
        elif not self._may_agree(badge, entry, second):
            known = self._badges.get(str(badge))
            held = _or(known.roles_at(utc_seconds(entry.stamp.event_time))) if known else ""
            yield _fault(
                entry,
                Lack.SECOND,
                f"somebody with the role {_or(second.roles)}",
                f"{badge} with {held or 'none'}",
            )

    def _may_agree(self, badge: object, entry: Entry, second: Second) -> bool:
        moment, known = utc_seconds(entry.stamp.event_time), self._badges.get(str(badge))
        if known is None or not known.counts_at(moment):
            return False
        if second.roles & known.roles_at(moment):
            return True
        # Where nobody else has the role, anybody is the witness to who gets a badge.
        return entry.kind in (PersonJoined.kind, RolesChanged.kind) and not any(
            second.roles & other.roles_at(moment)
            for code, other in self._badges.items()
            if code != entry.stamp.person and other.counts_at(moment)
        )

    def _overrules(self, entry: Entry) -> bool:
        """Return whether it releases a lot that was rejected before, which two people do."""
        is_release = entry.kind == LotDecided.kind and entry.body.get("decision") == "released"
        return is_release and self._decisions.get(str(entry.body.get("lot"))) == "rejected"

    def _remember(self, entry: Entry) -> None:
        body: Mapping[str, Any] = entry.body
        # Programs that took plant files from nobody took orders from people already: those say nothing of plant files.
        if entry.stamp.person is not None and entry.stamp.station is None and entry.kind != OrderTaken.kind:
            kind = KINDS.get(entry.kind)
            self._is_planned_by_people |= kind is not None and kind.origin == FROM_FILE
        if entry.kind in OF_BADGES:
            remember_badge(self._badges, entry.kind, body)
        elif entry.kind == StationPlaced.kind:
            self._stations[str(body.get("station"))] = _AtStation(str(body.get("area")))
        elif entry.kind in (SignedOn.kind, ShiftHandedOver.kind):
            at = self._stations.get(str(entry.stamp.station))
            if at is not None:
                at.signed_on = str(body.get("person"))
        elif entry.kind == SignedOff.kind:
            at = self._stations.get(str(entry.stamp.station))
            if at is not None:
                at.signed_on = None
        elif entry.kind == LotDecided.kind:
            self._decisions[str(body.get("lot"))] = str(body.get("decision"))


def _follows_leaving(entry: Entry, origin: Origin) -> bool:
    """Say whether an entry may name somebody whose badge was withdrawn while they were signed on.

    Their matches of before are sealed, a disc in hand is put back, what they scan is refused, and somebody else signs on.
    """
    return origin.nobody or origin.scans is ScanRule.SEALED or entry.kind == LineStopped.kind


def _scans(entry: Entry, origin: Origin, at: _AtStation, numbers: Numbers) -> Iterator[OriginFault]:
    number = entry.stamp.station_seq
    if number is None or number < at.number:
        expected = f"a number of {at.number} or more" if at.number else "a number"
        yield _fault(entry, Lack.NUMBER, expected, "none" if number is None else str(number))
        return
    if number > at.number:
        yield from _unscanned(at)
        at.number = number
    packed = numbers() if entry.scans is not None else ()
    if packed and max(packed) > number:
        yield _fault(entry, Lack.SCANS, f"scans up to {number}", f"scan {max(packed)}")
    elif number in packed:
        # The last entry that a scan leads to holds its raw line, for those before it as well.
        at.waiting = []
    elif origin.scans is ScanRule.OWN or (origin.scans is ScanRule.SEALED and not packed):
        at.waiting.append(entry)


def _unscanned(at: _AtStation) -> Iterator[OriginFault]:
    for entry in at.waiting:
        yield _fault(entry, Lack.SCANS, f"scan {at.number}", "none of that number")
    at.waiting = []


def _fault(entry: Entry, lack: Lack, expected: str = "", found: str = "") -> OriginFault:
    return OriginFault(entry.seq, entry.kind, lack, expected, found)


def _areas(origin: Origin) -> str:
    return f"a {_or(origin.areas)} station" if origin.areas else "a command and no station"


def _or(words: frozenset[str]) -> str:
    return either(sorted(words))

"""What it comes to when a whole journal is judged again from its raw scans: which entries they force, and the first they do not.

An entry of a station follows from the scans that came before it and from nothing else, so judging those scans again, in
their turns, must give it again, field by field. What people did by command is an input like a scan: it is taken as it is
recorded, in its place, and only `origin_check.py` looks at it. So is whether a PIN was right, because no record keeps
its digits, and when an entry was recorded.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import Enum, auto
from typing import Any

from tracelink.ledger.count_words import counted
from tracelink.ledger.entry import Entry
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.station import ScanRefused
from tracelink.ledger.packs import RawScan

_SHOWN = 80
"""Characters of a value in a sentence."""


class Why(Enum):
    """In which way journal and scans do not agree."""

    NO_SCAN = auto()
    """No scan leads to the entry."""
    OTHER = auto()
    """The scan leads to another entry."""
    FIELD = auto()
    """The scan leads to such an entry with another value in a field."""
    MISSING = auto()
    """The scan leads to an entry that is not there."""
    TURN_MISSING = auto()
    """No scan has a turn."""
    TURN_TWICE = auto()
    """Two scans have one turn."""
    PLACE = auto()
    """The scan was booked after another entry than it says."""
    NUMBER = auto()
    """The scan does not follow the one before at its station."""
    OLDER = auto()
    """A scan has no turn, and did not merely wait when the first turn was given."""
    BEYOND = auto()
    """The tables or the station cannot take it."""
    WAITING = auto()
    """The scans that wait mean something else."""


@dataclass(frozen=True, slots=True)
class Unforced:
    """The first place where the journal does not follow from its scans."""

    why: Why
    seq: int | None
    """The entry; None if only scans disagree."""
    kind: str | None
    """Its kind, or the kind that is missing."""
    scan: str
    """The scan concerned, in words; empty if there is none."""
    expected: str = ""
    found: str = ""

    @property
    def sentence(self) -> str:
        """It in words."""
        return _WORDS[self.why].format(
            seq=self.seq, kind=self.kind, scan=self.scan, expected=self.expected, found=self.found
        )


_WORDS = {
    Why.NO_SCAN: "entry {seq} ({kind}) is forced by no scan: {scan} leads to nothing more",
    Why.OTHER: "entry {seq} ({kind}) is not what its scan forces: {scan} leads to {expected}",
    Why.FIELD: "entry {seq} ({kind}) is not what its scan forces: from {scan} follows {expected}, recorded is {found}",
    Why.MISSING: "entry {seq} should be a {kind}: {scan} leads to it, and the journal has {found} there",
    Why.TURN_MISSING: "no scan has turn {expected}: found {scan}",
    Why.TURN_TWICE: "turn {expected} was given twice: found {scan}, and another scan with it",
    Why.PLACE: "{scan} says that it was booked after entry {found}: expected entry {expected}",
    Why.NUMBER: "{scan} does not follow the scans before it at its station: {found}",
    Why.OLDER: "{scan} has no turn: its place among the others is not known, and what follows cannot be judged",
    Why.BEYOND: "entry {seq} ({kind}) cannot be judged: {found}",
    Why.WAITING: "a scan that is not sealed yet is kept as something else than it is judged to be: {found}",
}


class EarlierRule(Enum):
    """A rule of earlier programs, by which a scan led to something else."""

    REJECTED_WITHOUT_HOLD = auto()
    """REJECT booked the decision alone."""
    WARNED = auto()
    """A point of a chart was a signal that is none by the rules of now."""
    NOT_WARNED = auto()
    """A value was no signal on the chart of a family, which is judged only since."""
    RESTED_BY_STATIONS = auto()
    """The rest of a stack was judged by the clocks of stations alone."""


@dataclass(frozen=True, slots=True)
class ByEarlierRule:
    """An entry that only the rule of an earlier program explains."""

    rule: EarlierRule
    seq: int
    """The entry."""

    @property
    def sentence(self) -> str:
        """It in words."""
        return _EARLIER_WORDS[self.rule].format(seq=self.seq)


_EARLIER_WORDS = {
    EarlierRule.REJECTED_WITHOUT_HOLD: (
        "entry {seq} rejects a lot without the hold that REJECT places now: a program from before that rule booked it, or the hold "
        "was taken out; judge with the program of that time to tell, and see that the lot is on hold"
    ),
    EarlierRule.NOT_WARNED: (
        "entry {seq} has no warning behind it that follows by the rules of now: a program from before them booked it, or the warning was "
        "taken out; judge with the program of that time to tell"
    ),
    EarlierRule.RESTED_BY_STATIONS: (
        "entry {seq} judges the rest of a stack by the clocks of press and line alone, as programs did before; by the recording clock "
        "it comes out otherwise: see whether the discs had rested"
    ),
    EarlierRule.WARNED: (
        "entry {seq} is a warning of a chart that does not follow by the rules of now: a program from before them booked it, or it was "
        "put in; judge with the program of that time to tell"
    ),
}


@dataclass(slots=True)
class JudgedAgain:
    """What judging a journal again came to."""

    scans: int = 0
    """Scans judged again."""
    forced: int = 0
    """Entries that they force."""
    given: int = 0
    """Entries of commands, taken as they are recorded."""
    reworded: int = 0
    """Forced entries of which only the sentence for the person is put in other words by this program."""
    not_judged: int = 0
    """Entries of stations of which the scans have no turn: an older program wrote them."""
    left: int = 0
    """Entries after the first that is not forced, which were not looked at."""
    unforced: Unforced | None = None
    """The first place where the journal does not follow from its scans; None if there is none."""
    by_earlier_rules: list[ByEarlierRule] = field(default_factory=list)
    """Entries that only the rules of earlier programs explain; judging went on behind them."""

    @property
    def faults(self) -> tuple[str, ...]:
        """All that does not follow from the scans by the rules of now, in words."""
        left = f"; {counted(self.left, 'later entry', 'later entries')} not looked at" if self.left else ""
        ended = () if self.unforced is None else (self.unforced.sentence + left,)
        return (*(one.sentence for one in self.by_earlier_rules), *ended)


def scan_words(station: str, scan: RawScan) -> str:
    """Return how a scan is called in a sentence."""
    turn = "" if scan.turn is None else f" (turn {scan.turn})"
    return f"scan {scan.number} of station {station}{turn}"


@dataclass(frozen=True, slots=True)
class Differing:
    """One field of an entry in which journal and scans differ."""

    name: str
    forced: Any
    recorded: Any
    is_wording: bool
    """True if it only says to a person what other fields say."""

    @property
    def expected(self) -> str:
        """Field and value as the scans force it."""
        return f"{self.name} {_shown(self.forced)}"

    @property
    def found(self) -> str:
        """The value that is recorded."""
        return _shown(self.recorded)


def differing(recorded: Entry, forced: Entry) -> Iterator[Differing]:
    """Yield the fields in which a recorded entry differs from what its scans force.

    Args:
        recorded: the entry.
        forced: what the scans lead to, under the recording time and the hash before of the recorded one.
    """
    if recorded == forced:
        return
    for name in ("event_time", "station", "station_seq", "person"):
        yield from _one(name, getattr(recorded.stamp, name), getattr(forced.stamp, name))
    for name in ("reason", "corrects", "scans"):
        yield from _one(name, getattr(recorded, name), getattr(forced, name))
    for name in sorted({*recorded.body, *forced.body}):
        if not _hangs_on_a_secret(recorded, name):
            yield from _one(
                name, recorded.body.get(name), forced.body.get(name), is_wording=name == "sentence"
            )


def _one(name: str, recorded: Any, forced: Any, *, is_wording: bool = False) -> Iterator[Differing]:
    if recorded != forced:
        yield Differing(name, forced, recorded, is_wording)


def _hangs_on_a_secret(recorded: Entry, name: str) -> bool:
    """Return whether a field tells which key of the PINs lay on a machine, which no record knows."""
    is_refusal = recorded.kind == ScanRefused.kind
    return name == "found" and is_refusal and recorded.body.get("finding") == FindingCode.PIN_KEY_MISSING


def _shown(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}... ({counted(len(text), 'character')})"

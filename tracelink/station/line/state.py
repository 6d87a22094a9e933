"""What a packing line has in hand between two scans.

`decide` (in machine.py) never changes a state; it returns acts and spooled scans, and `state_changes.py` says what
those do to the state. Replaying a line's entries and then its spool therefore brings the state back exactly as
it was, after a crash or in `rebuild`.
"""

import json
from dataclasses import dataclass
from typing import Any

from tracelink.ledger.codec import from_body, to_body
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds import line as kinds
from tracelink.ledger.kinds.packing import ItemCount
from tracelink.station.sentences import thing_names

LASTING_FINDINGS = frozenset(
    {
        FindingCode.WRONG_TITLE,
        FindingCode.SISTER_EDITION,
        FindingCode.WRONG_DISC,
        FindingCode.SECOND_COPY,
        FindingCode.WRONG_ITEM,
        FindingCode.WRONG_VARIANT,
        FindingCode.SUPERSEDED_ITEM,
        FindingCode.WRONG_MATRIX,
        FindingCode.WRONG_NUMBER,
        FindingCode.DUPLICATE_NUMBER,
        FindingCode.DESTROYED_NUMBER,
        FindingCode.LOST_NUMBER,
    }
)
"""Wrong reads: the line stays stopped until STOP or the right piece is scanned."""

HOLD_BACK_FINDINGS = LASTING_FINDINGS - {
    FindingCode.DUPLICATE_NUMBER,
    FindingCode.DESTROYED_NUMBER,
    FindingCode.LOST_NUMBER,
}
"""Wrong reads after which what was packed since the last good check is held back.

A number seen twice is not among them: both pieces are put on hold by it, which is more. Nor is a number that was
destroyed or lost: the sleeve says nothing about the units before it.
"""


@dataclass(frozen=True, slots=True)
class Job:
    """What the line packs, set by the sleeve batch."""

    batch: str
    gtin: str
    numbered: bool
    discs: int
    """Discs to one unit."""
    carton_size: int


@dataclass(frozen=True, slots=True)
class OpenSpindle:
    """A spindle open at the line."""

    spindle: str
    lot: str
    piece: int


@dataclass(frozen=True, slots=True)
class Take:
    """Discs taken from one spindle in the running run of matches."""

    spindle: str
    lot: str
    count: int


@dataclass(frozen=True, slots=True)
class MatchRun:
    """Matches that lie in the spool and are not sealed yet."""

    first_at: str = ""
    last_at: str = ""
    units: int = 0
    takes: tuple[Take, ...] = ()
    numbers: tuple[str, ...] = ()
    items: tuple[ItemCount, ...] = ()
    scans: int = 0
    """Lines in the spool: two to a disc and its sleeve, one to an item."""

    @property
    def matches(self) -> int:
        """Discs matched."""
        return sum(take.count for take in self.takes)


@dataclass(frozen=True, slots=True)
class LastUnit:
    """The last finished unit of the last sealed run, as far as it can be taken back."""

    discs: tuple[kinds.InHand, ...]
    number: str | None


@dataclass(frozen=True, slots=True)
class HeldBack:
    """Units held back after a wrong read, and how far their recheck is."""

    units: int
    left: int
    """Not rechecked yet, sealed rechecks only."""
    numbers: tuple[str, ...]
    """Numbers of those left; empty for editions without numbers."""
    taken_out: int = 0
    rechecking: bool = False
    """Discs and sleeves are rechecked, not packed."""
    position: int = 0
    """Scans of the unit in hand so far: each disc, its sleeve, each item."""
    number: str | None = None
    """Number of the sleeve of the unit in hand; None before it was scanned, and for editions without numbers."""
    loose: int = 0
    """Lines in the spool since the last unit was rechecked."""
    scans: int = 0
    """Lines in the spool up to the last unit rechecked."""
    done: int = 0
    """Units rechecked and not sealed yet."""
    done_numbers: tuple[str, ...] = ()
    first_at: str = ""
    """Local time of the first of them."""
    last_at: str = ""

    @property
    def remaining(self) -> int:
        """Units still to be rechecked, spooled rechecks counted."""
        return self.left - self.done


@dataclass(frozen=True, slots=True)
class LineState:
    """All that a line remembers between two scans."""

    person: str | None = None
    clearing: str | None = None
    """Badge of the first person while the second is awaited."""
    cleared: bool = False
    job: Job | None = None
    spindles: tuple[OpenSpindle, ...] = ()
    carton: str | None = None
    units: int = 0
    """Finished units in the open carton, sealed runs only."""
    half: tuple[kinds.InHand, ...] = ()
    """Discs in the sleeve that has some of its pieces and not all, spooled matches included."""
    items: int = 0
    """Kit items in that sleeve, spooled ones included."""
    number: str | None = None
    """Number of the sleeve that has some of its pieces and not all."""
    pending: int | None = None
    """Piece number of the disc in hand, scanned and waiting for its sleeve."""
    by_hand: bool = False
    """That disc was keyed, not scanned: no scan of it lies in the spool."""
    stopped: bool = False
    """A wrong read stopped the line."""
    run: MatchRun = MatchRun()
    start: tuple[kinds.InHand, ...] = ()
    """What `half` was when the run began."""
    last: LastUnit | None = None
    fresh: bool = False
    """The carton was opened and nothing was packed into it since."""
    thrown: kinds.InHand | None = None
    """The disc that the last act threw out."""
    closed: str | None = None
    """The carton that the last act sealed."""
    since: int = 0
    """Units packed since the last good check, sealed runs only."""
    since_numbers: tuple[str, ...] = ()
    no_read_of: str = ""
    """What would not read: disc, sleeve or item."""
    no_reads: int = 0
    """No-reads in a row, 0 or more."""
    form: str | None = None
    """Word of an act that asks for more scans."""
    raws: tuple[str, ...] = ()
    """What was scanned for it so far."""
    held: HeldBack | None = None
    again: int = 0
    """Lines in the spool that were read already, since the last match; they are sealed with the next one."""
    since_check: int = 0
    """Units packed since a second person looked, by CHECK or at the clearance; sealed runs only."""
    pin: str | None = None
    """The badge that was scanned and whose PIN is awaited."""
    turned_away: int | None = None
    """Number of the last scan of a badge with PIN that was refused."""

    @property
    def next_piece(self) -> int:
        """Which disc of the unit the sleeve needs next: 1 ... discs, or one more when all are in."""
        return len(self.half) + 1

    @property
    def units_in_carton(self) -> int:
        """Finished units in the open carton, spooled matches included."""
        return self.units + self.run.units

    @property
    def unchecked(self) -> int:
        """Units packed since the last good check, spooled matches included."""
        return self.since + self.run.units

    @property
    def without_check(self) -> int:
        """Units packed since a second person looked, spooled matches included."""
        return self.since_check + self.run.units

    def spindle_for(self, piece: int) -> OpenSpindle | None:
        """The open spindle with this disc of the product."""
        return next((found for found in self.spindles if found.piece == piece), None)

    def unit_of_run(self, units: int) -> tuple[kinds.InHand, ...]:
        """The discs of the last of `units` finished in the run: opening another spindle ends a run."""
        assert self.job is not None
        before = self.start if units == 1 else ()
        opened = [self.spindle_for(piece) for piece in range(len(before) + 1, self.job.discs + 1)]
        return (*before, *(kinds.InHand(found.spindle, found.lot) for found in opened if found))


def read_line_state(text: str) -> LineState:
    """Read a line's state as it was kept; one of an older program is filled up with what it could not know."""
    kept: dict[str, Any] = json.loads(text)
    if "held" not in kept:
        run = kept["run"]
        scans = 2 * sum(take["count"] for take in run["takes"])
        kept = {**to_body(LineState()), **kept, "run": {**run, "items": [], "scans": scans}}
    if kept["held"] is not None:
        kept["held"] = {"number": None, **kept["held"]}
    missing = {"pin": None, "turned_away": None, "thrown": None, "closed": None, "again": 0, "since_check": 0}
    return from_body(
        LineState,
        {**missing, **kept},
        thing_names.state_of("line"),
    )

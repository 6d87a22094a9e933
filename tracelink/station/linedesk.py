"""What a packing line has in hand, and how entries and spooled scans change it.

`decide` (in line.py) never changes a desk; it returns acts and spooled scans, and the two functions here
say what those do to the desk. Replaying a line's entries and then its spool therefore brings the desk back
exactly as it was, after a crash or in `rebuild`.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from tracelink.ledger.kinds import line as kinds
from tracelink.ledger.kinds.base import Kind
from tracelink.ledger.kinds.lab import HoldPlaced
from tracelink.ledger.kinds.station import ScanRefused, SignedOn

LASTING_FINDINGS = frozenset({"wrong-title", "wrong-disc", "second-copy", "wrong-number", "duplicate-number"})
"""Wrong reads: the line stays stopped until STOP or the right piece is scanned."""


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
class Run:
    """Matches that lie in the spool and are not sealed yet."""

    first_at: str = ""
    last_at: str = ""
    units: int = 0
    takes: tuple[Take, ...] = ()
    numbers: tuple[str, ...] = ()

    @property
    def matches(self) -> int:
        """Discs matched."""
        return sum(take.count for take in self.takes)


@dataclass(frozen=True, slots=True)
class LineDesk:
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
    """Discs in the sleeve that has some of its discs and not all, spooled matches included."""
    number: str | None = None
    """Number of the sleeve that has some of its discs and not all."""
    pending: int | None = None
    """Piece number of the disc in hand, scanned and waiting for its sleeve."""
    stopped: bool = False
    """A wrong read stopped the line."""
    run: Run = Run()

    @property
    def next_piece(self) -> int:
        """Which disc of the unit the sleeve needs next: 1 ... discs."""
        return len(self.half) + 1

    @property
    def units_in_carton(self) -> int:
        """Finished units in the open carton, spooled matches included."""
        return self.units + self.run.units

    def spindle_for(self, piece: int) -> OpenSpindle | None:
        """The open spindle with this disc of the product."""
        return next((found for found in self.spindles if found.piece == piece), None)


def evolve(desk: LineDesk, body: Kind) -> LineDesk:
    """Return the desk after an entry."""
    if isinstance(body, kinds.DiscsSleeved):
        return replace(
            desk,
            run=Run(),
            units=desk.units + body.units,
            half=body.unfinished,
            number=body.filling,
            stopped=False,
        )
    if isinstance(body, ScanRefused):
        return replace(desk, stopped=desk.stopped or body.finding in LASTING_FINDINGS)
    if isinstance(body, kinds.NoRead | HoldPlaced):
        # The disc in hand stays there: its scan still lies in the spool.
        return desk
    # Every other act puts away what was in hand: its scans are packed with the act.
    desk = replace(desk, pending=None, clearing=None, stopped=False)
    if isinstance(body, SignedOn):
        return replace(desk, person=body.person)
    if isinstance(body, kinds.LineCleared):
        return LineDesk(person=desk.person, cleared=True)
    return _opened(desk, body)


def _opened(desk: LineDesk, body: Kind) -> LineDesk:
    if isinstance(body, kinds.SleevesOpened):
        return replace(desk, job=Job(body.batch, body.gtin, body.numbered, body.discs, body.carton_size))
    if isinstance(body, kinds.SpindleOpened):
        others = tuple(found for found in desk.spindles if found.piece != body.piece)
        return replace(desk, spindles=(*others, OpenSpindle(body.spindle, body.lot, body.piece)))
    if isinstance(body, kinds.CartonOpened):
        return replace(desk, carton=body.carton, units=0)
    if isinstance(body, kinds.CartonClosed):
        return replace(desk, carton=None, units=0)
    if isinstance(body, kinds.LineStopped) and body.moves:
        return replace(desk, half=(), number=None)
    return desk


def evolve_spooled(desk: LineDesk, fact: Mapping[str, Any], at: str) -> LineDesk:
    """Return the desk after a scan that waits in the spool.

    Args:
        desk: the desk before.
        fact: {"clearing": badge}, {"disc": piece} or {"match": ...} as `line.py` wrote it.
        at: local time of the scan.
    """
    if "clearing" in fact:
        return replace(desk, clearing=fact["clearing"])
    if "disc" in fact:
        return replace(desk, pending=fact["disc"])
    finished = fact["unit"]
    number = fact["number"]
    half = () if finished else (*desk.half, kinds.InHand(fact["spindle"], fact["lot"]))
    run = desk.run
    numbers = (*run.numbers, number) if finished and number is not None else run.numbers
    run = Run(
        first_at=run.first_at or at,
        last_at=at,
        units=run.units + (1 if finished else 0),
        takes=_taken(run.takes, fact["spindle"], fact["lot"]),
        numbers=numbers,
    )
    number = None if finished else number
    return replace(desk, run=run, pending=None, stopped=False, half=half, number=number)


def _taken(takes: tuple[Take, ...], spindle: str, lot: str) -> tuple[Take, ...]:
    if any(take.spindle == spindle for take in takes):
        return tuple(
            replace(take, count=take.count + 1) if take.spindle == spindle else take for take in takes
        )
    return (*takes, Take(spindle, lot, 1))

"""After a wrong read: the units packed since the last good check, re-checked one by one.

Theory of operation
-------------------
While units are held back the line does nothing else. RECHECK puts away what is in hand and begins; then each unit's
pieces are scanned again in the order in which they were packed: every disc with its sleeve behind it, items where their
turn was. A unit that is right counts down; a piece that is not is refused, and its unit stays counted until it is right
or TAKEOUT has taken it out. Rechecks wait in the spool like matches. What will not read is a NOREAD and may be keyed by
MANUAL as in packing, in an entry that says how far the unit is with it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import ActRead, DiscRead, PlantRead, Reading, SleeveRead
from tracelink.ledger.kinds.packing import HoldBackClosed, UnitsRechecked
from tracelink.station.common.forms import Given, ScanContext
from tracelink.station.common.outcome import Act, Decision, Spooled, Verdict, Word
from tracelink.station.common.queries_line import KitPiece
from tracelink.station.line import kit
from tracelink.station.line.sealing import count
from tracelink.station.line.state import HeldBack, LineState
from tracelink.station.sentences import line_recheck_sentences as say

ACTS = frozenset({"STOP", "RECHECK", "TAKEOUT", "NOREAD", "MANUAL", "HANDOVER", "SIGNOFF"})
"""What a line may do while units are held back."""


def refuse_other(state: LineState, given: Given) -> None:
    """Refuse whatever does not help to recheck the units held back."""
    reading = given.reading
    if given.badge is not None or (isinstance(reading, ActRead) and reading.word in ACTS):
        return
    if is_piece(reading) and state.held is not None and state.held.rechecking and not state.stopped:
        return
    assert state.held is not None
    raise say.held_back(state.held.remaining, reading)


def is_piece(reading: Reading) -> bool:
    """Say whether a scan is of a piece that goes into a unit."""
    is_item = isinstance(reading, PlantRead) and reading.code.kind is CodeKind.KIT_ITEM
    return is_item or isinstance(reading, DiscRead | SleeveRead)


def begin(state: LineState, context: ScanContext) -> Decision:
    """Begin the recheck of a unit, or begin it again; what is in hand is put away first, as STOP does."""
    if state.held is None:
        raise say.nothing_held_back()
    source = state.spindle_for(state.pending) if state.pending is not None else None
    first = _steps(state, context)[0].called
    sentence = say.scan_of_one(state.held.remaining, first, source.spindle if source else None)
    return Decision(Verdict(Word.NEXT, sentence, count(state)), (), Spooled({"recheck": 0, "number": None}))


@dataclass(frozen=True, slots=True)
class Step:
    """One scan of a recheck."""

    what: str
    """disc, sleeve or item."""
    piece: KitPiece
    """The piece, or the disc that the sleeve belongs to."""

    @property
    def called(self) -> str:
        """How the floor calls it."""
        return say.ITS_SLEEVE if self.what == "sleeve" else self.piece.called

    @property
    def name(self) -> str:
        """What no other scan of the unit is called."""
        return say.step_name(self.what, self.piece.called)


def _steps(state: LineState, context: ScanContext) -> Sequence[Step]:
    """Return the scans of one unit in the order of packing."""
    assert state.job is not None
    steps: list[Step] = []
    for piece in kit.scanned(state.job.gtin, context):
        steps.append(Step("disc" if piece.disc else "item", piece))
        if piece.disc:
            steps.append(Step("sleeve", piece))
    return steps


def wanted(state: LineState, context: ScanContext) -> Step:
    """Return what the unit in hand is asked for next."""
    assert state.held is not None
    return _steps(state, context)[state.held.position]


def recheck(state: LineState, reading: Reading, context: ScanContext) -> Decision:
    """Judge one piece of a unit that is rechecked."""
    held = state.held
    assert held is not None
    steps, step = _steps(state, context), wanted(state, context)
    number = held.number
    if step.what == "sleeve":
        number = _sleeve(state, held, reading)
    elif not _is_wanted(state, reading, step.piece, context):
        raise say.recheck_failed(reading, say.piece_of_unit(step.called))
    done = held.position + 1
    if done == len(steps):
        return _right(state, held, number, context)
    sentence = say.right_now(steps[done].called)
    return Decision(
        Verdict(Word.NEXT, sentence, count(state)), (), Spooled({"recheck": done, "number": number})
    )


def _is_wanted(state: LineState, reading: Reading, wants: KitPiece, context: ScanContext) -> bool:
    assert state.job is not None
    if isinstance(reading, DiscRead):
        disc = (reading.gtin.gtin13, reading.piece, reading.total)
        return disc == (state.job.gtin, wants.disc, state.job.discs)
    if not isinstance(reading, PlantRead) or wants.item is None:
        return False
    return kit.known_item(reading, context).code == wants.item


def _sleeve(state: LineState, held: HeldBack, reading: Reading) -> str | None:
    """Return the number of a sleeve that is right; None for editions without numbers."""
    assert state.job is not None
    if not isinstance(reading, SleeveRead) or reading.gtin.gtin13 != state.job.gtin:
        raise say.recheck_failed(reading, say.THE_SLEEVE_OF_THE_UNIT)
    number = reading.serial
    left = [each for each in held.numbers if each not in held.done_numbers]
    if held.number is not None:
        left = [held.number]
    if state.job.numbered != (number is not None) or (number is not None and number not in left):
        raise say.recheck_failed(reading, say.one_of_the_sleeves(left))
    return number


def _right(state: LineState, held: HeldBack, number: str | None, context: ScanContext) -> Decision:
    """A unit is right; with the last one the hold-back ends."""
    assert state.carton is not None
    remaining = held.remaining - 1
    if remaining:
        sentence = say.right_left(remaining)
        return Decision(Verdict(Word.MATCH, sentence, count(state)), (), Spooled({"rechecked": number}))
    numbers = held.done_numbers if number is None else (*held.done_numbers, number)
    last = UnitsRechecked(state.carton, held.done + 1, numbers, held.first_at or context.at, context.at)
    closed = closing(state.carton, held)
    verdict = Verdict(Word.MATCH, say.ALL_RECHECKED, count(state))
    return Decision(verdict, (Act(last), closed))


def closing(carton: str, held: HeldBack) -> Act:
    """Return the act that ends a hold-back of which nothing is left."""
    body = HoldBackClosed(carton, held.units - held.taken_out, held.taken_out)
    return Act(body, takes=0)

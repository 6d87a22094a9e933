"""After a wrong read: the units packed since the last good check, re-checked one by one.

Theory of operation
-------------------
While units are held back the line does nothing else. RECHECK begins; then each unit's pieces are scanned again
in the order of its kit, its sleeve last. A unit that is right counts down; a piece that is not is refused, and
its unit stays counted until it is right or TAKEOUT has put it to scrap. Rechecks wait in the spool like matches.
"""

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

ACTS = frozenset({"STOP", "RECHECK", "TAKEOUT", "NOREAD", "HANDOVER"})
"""What a line may do while units are held back."""


def refuse_other(state: LineState, given: Given) -> None:
    """Refuse whatever does not help to recheck the units held back."""
    reading = given.reading
    if given.badge is not None or (isinstance(reading, ActRead) and reading.word in ACTS):
        return
    if is_piece(reading) and state.held is not None and state.held.rechecking and not state.stopped:
        return
    assert state.held is not None
    raise say.held_back(state.held.remaining, reading, stopped=state.stopped)


def is_piece(reading: Reading) -> bool:
    """Say whether a scan is of a piece that goes into a unit."""
    is_item = isinstance(reading, PlantRead) and reading.code.kind is CodeKind.KIT_ITEM
    return is_item or isinstance(reading, DiscRead | SleeveRead)


def begin(state: LineState, context: ScanContext) -> Decision:
    """Begin the recheck of a unit, or begin it again."""
    if state.held is None:
        raise say.nothing_held_back()
    first = _pieces(state, context)[0].called
    return Decision(
        Verdict(Word.NEXT, say.scan_of_one(state.held.remaining, first), count(state)),
        (),
        Spooled({"recheck": 0}),
    )


def _pieces(state: LineState, context: ScanContext) -> list[KitPiece]:
    assert state.job is not None
    return list(kit.scanned(state.job.gtin, context))


def recheck(state: LineState, reading: Reading, context: ScanContext) -> Decision:
    """Judge one piece of a unit that is rechecked."""
    held = state.held
    assert held is not None
    pieces = _pieces(state, context)
    if held.position == len(pieces):
        return _sleeve(state, held, reading, context)
    wants = pieces[held.position]
    if not _is_wanted(state, reading, wants, context):
        raise say.recheck_failed(reading, say.piece_of_unit(wants.called))
    done = held.position + 1
    follows = pieces[done].called if done < len(pieces) else say.ITS_SLEEVE
    return Decision(Verdict(Word.NEXT, say.right_now(follows), count(state)), (), Spooled({"recheck": done}))


def _is_wanted(state: LineState, reading: Reading, wants: KitPiece, context: ScanContext) -> bool:
    assert state.job is not None
    if isinstance(reading, DiscRead):
        disc = (reading.gtin.gtin13, reading.piece, reading.total)
        return disc == (state.job.gtin, wants.disc, state.job.discs)
    return isinstance(reading, PlantRead) and kit.known_item(reading, context).code == wants.item


def _sleeve(state: LineState, held: HeldBack, reading: Reading, context: ScanContext) -> Decision:
    assert state.job is not None
    assert state.carton is not None
    if not isinstance(reading, SleeveRead) or reading.gtin.gtin13 != state.job.gtin:
        raise say.recheck_failed(reading, say.THE_SLEEVE_OF_THE_UNIT)
    number = reading.serial
    left = [each for each in held.numbers if each not in held.done_numbers]
    if state.job.numbered != (number is not None) or (number is not None and number not in left):
        raise say.recheck_failed(reading, say.one_of_the_sleeves(left))
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

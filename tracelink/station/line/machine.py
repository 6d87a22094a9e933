"""The packing line: clear the line, open sleeves, spindle and carton, then disc against sleeve, all day.

Theory of operation
-------------------
Each insertion is two scans: the disc, then its sleeve; kit items are one scan each. All must belong to the
product of the open sleeve batch, and each must be what the unit in hand needs next. Matches wait in the spool,
where they count at once; they are sealed into one entry when anything else happens. A wrong read stops the line:
only the right piece, STOP, REJECT or NOREAD is taken then, and what was packed since the last good check is held
back until it is rechecked (holdback.py). A no-read is never a match.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import ActRead, DiscRead, LogisticRead, PlantRead, Reading, SleeveRead
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.line import LineStopped, NoRead
from tracelink.ledger.kinds.packing import ItemCount, ItemsInserted
from tracelink.ledger.kinds.station import SignedOff, SignedOn
from tracelink.station.common.authority import require_role
from tracelink.station.common.forms import SIGN_OFF, ActResult, Given, ScanContext
from tracelink.station.common.label_content import BOTH, wants_second_symbol
from tracelink.station.common.outcome import Act, Decision, Verdict, Word
from tracelink.station.common.station_facts import Person
from tracelink.station.line import acts, holdback, insertion, kit, opening
from tracelink.station.line.manual import tried
from tracelink.station.line.sealing import count, fill_count, ready, seal
from tracelink.station.line.state import LineState
from tracelink.station.line.undo import undo
from tracelink.station.sentences import form_sentences, line_opening_sentences, line_recheck_sentences
from tracelink.station.sentences import line_sentences as say
from tracelink.station.sentences.common_sentences import misplaced
from tracelink.station.sentences.thing_names import named

ALLOWED_WHEN_STOPPED = frozenset({"STOP", "REJECT", "NOREAD"})


def decide(state: LineState, given: Given, context: ScanContext | None) -> Decision:
    """Judge one scan at a packing line.

    Args:
        state: what the line has in hand.
        given: the scan, read, with the owner of the badge if it is one.
        context: None while nobody is signed on.

    Raises:
        Refused: a rule stops the scan.
    """
    reading, person = given.reading, given.badge
    if context is None:
        if person is None:
            raise form_sentences.nobody_signed_on()
        return _sign_on(state, person, put_back=state.person is None)
    if state.form is not None and not (isinstance(reading, ActRead) and reading.word in ("STOP", "CANCEL")):
        return acts.fill(state, given, context)
    if state.held is not None:
        holdback.refuse_other(state, given)
    if holdback.is_piece(reading):
        return _piece(state, reading, context)
    allowed = ALLOWED_WHEN_STOPPED if state.held is None else holdback.ACTS
    if state.stopped and not (isinstance(reading, ActRead) and reading.word in allowed):
        raise say.line_stopped(reading)
    if person is not None:
        return opening.second_badge(state, person, context) if state.clearing else _sign_on(state, person)
    if isinstance(reading, ActRead):
        return _act(state, reading.word, context)
    return _open(state, given, context)


def _piece(state: LineState, reading: Reading, context: ScanContext) -> Decision:
    if state.held is not None:
        return holdback.recheck(state, reading, context)
    if state.job is not None and context.queries.superseded_since(state.job.batch) is not None:
        raise line_opening_sentences.superseded(state.job.batch)
    if isinstance(reading, DiscRead):
        return insertion.disc(state, reading, context)
    if isinstance(reading, SleeveRead):
        return insertion.sleeve(state, reading, context)
    assert isinstance(reading, PlantRead)
    return kit.item(state, reading, context)


def _sign_on(state: LineState, person: Person, *, put_back: bool = False) -> Decision:
    """Sign somebody on; `put_back` if whoever left a disc in hand cannot finish it."""
    if state.pending is not None and not put_back:
        raise say.disc_waits_before_signing_on(person.name, person.code)
    require_role(person, ("line",), form_sentences.MAY_NOT_PACK)
    acts = (*seal(state), Act(SignedOn(person.code)))
    source = state.spindle_for(state.pending) if state.pending is not None else None
    sentence = form_sentences.signed_on(person.name, state.form)
    told = say.signed_on_with_disc(sentence, source.spindle) if source is not None else sentence
    return Decision(Verdict(Word.DONE, told), acts)


def _sign_off(state: LineState, context: ScanContext) -> Decision:
    if state.pending is not None:
        raise say.disc_waits_before(SIGN_OFF)
    body = SignedOff(context.person.code, by_itself=False)
    sentence = form_sentences.signed_off(context.person.name)
    return Decision(Verdict(Word.DONE, sentence, count(state)), (Act(body),))


def _open(state: LineState, given: Given, context: ScanContext) -> Decision:
    reading = given.reading
    if state.pending is not None:
        raise say.disc_waits_before(named(reading))
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.SLEEVE_BATCH:
        opened = opening.sleeves(state, reading.code.text, context)
    elif isinstance(reading, PlantRead) and reading.code.kind is CodeKind.SPINDLE:
        opened = opening.spindle(state, reading.code.text, context)
    elif isinstance(reading, LogisticRead) and reading.sscc is not None:
        if wants_second_symbol(reading, context):
            return acts.begin_by_scan(acts.BY_SCAN[BOTH](state, context), state, given, context)
        carton = opening.carton(state, reading, context)
        opened = Decision(carton.verdict, carton.acts)
    else:
        raise misplaced(reading, say.WHAT_THE_LINE_TAKES)
    return Decision(opened.verdict, (*seal(state), *opened.acts))


def _act(state: LineState, word: str, context: ScanContext) -> Decision:
    if word in acts.FORMS:
        return acts.begin(acts.FORMS[word](state, context), state, context)
    act = _ACTS.get(word)
    if act is None:
        raise form_sentences.act_not_here(word, WORDS)
    done = act(state, context)
    return replace(done, acts=(*seal(state), *done.acts))


def _undo(state: LineState, context: ScanContext) -> Decision:
    return _stop(state, context) if state.pending is not None else _shown(undo(state, context))


def _shown(done: ActResult) -> Decision:
    return Decision(Verdict(Word.DONE, done.sentence, done.count), done.acts)


def may_be_no_read(state: LineState) -> bool:
    """Say whether the line waits for a piece, so that what cannot be read is a no-read of it."""
    return state.cleared and state.form is None and state.job is not None and state.carton is not None


def no_read(state: LineState, context: ScanContext) -> Decision:
    """Judge a picture in which nothing could be read: what NOREAD says of the piece in hand.

    Raises:
        Refused: nothing is waited for.
    """
    return _act(state, "NOREAD", context)


def _no_read(state: LineState, context: ScanContext) -> Decision:
    job, _carton = ready(state)
    waiting = tried(state, context)
    again = state.no_read_of == waiting and state.no_reads >= 1
    sentence = say.will_not_scan(waiting, again=again)
    if state.held is not None:
        sentence = line_recheck_sentences.will_not_scan(waiting, again=again)
    return Decision(
        Verdict(Word.STOP, sentence, fill_count(state, job), FindingCode.NO_READ),
        (Act(NoRead(waiting), takes=0),),
    )


def _stop(state: LineState, context: ScanContext) -> Decision:
    if state.form is not None and state.pending is None:
        return _shown(
            ActResult((Act(LineStopped(None, ())),), form_sentences.cancelled_unfinished(state.form))
        )
    if state.half and state.pending is None and not state.stopped:
        return _take_apart(state, context)
    source = state.spindle_for(state.pending) if state.pending is not None else None
    body = LineStopped(source.spindle if source else None, ())
    if state.held is not None:
        more = say.wait_for_recheck(state.held.remaining)
    elif state.half:
        more = say.still_needs(kit.wanted(state, context).called, discs=_discs(state))
    else:
        more = ""
    sentence = say.stopped(source.spindle if source else None, more)
    return Decision(Verdict(Word.DONE, sentence), (Act(body),))


def _discs(state: LineState) -> int:
    return state.job.discs if state.job is not None else 1


def _take_apart(state: LineState, context: ScanContext) -> Decision:
    """An unfinished set comes out of its sleeve, or a line whose other discs are gone could never go on."""
    assert state.carton is not None
    assert state.job is not None
    moves = tuple(Moved(disc.lot, 1, state.carton, disc.spindle, None, None) for disc in state.half)
    inside = kit.scanned(state.job.gtin, context)[: kit.position(state)]
    items = [piece for piece in inside if piece.item is not None]
    acts: tuple[Act, ...] = (Act(LineStopped(None, moves)),)
    if items:
        counts = tuple(ItemCount(str(piece.item), -1) for piece in items)
        acts = (Act(ItemsInserted(state.carton, counts, 0), takes=0), *acts)
    sentence = say.taken_apart([disc.spindle for disc in state.half], items, discs=state.job.discs)
    return Decision(Verdict(Word.DONE, sentence, count(state)), acts)


_ACTS: Mapping[str, Callable[[LineState, ScanContext], Decision]] = {
    "CANCEL": _stop,
    "CLEAR": opening.clear,
    "NOREAD": _no_read,
    "RECHECK": holdback.begin,
    SIGN_OFF: _sign_off,
    "STOP": _stop,
    "UNDO": _undo,
}
"""Acts that are one scan, or that the line remembers by itself; CANCEL is STOP for who comes from a bench."""

WORDS = tuple(sorted({*_ACTS, *acts.FORMS} - {"CANCEL"}))
"""Words of the act cards of a packing line; CANCEL is on the cards of other stations."""

"""Disc against sleeve: the two scans of an insertion, and everything that may be wrong with them."""

from tracelink.identity.gs1.lostseparator import possible_splits
from tracelink.identity.reading import DiscRead, SleeveRead
from tracelink.ledger.closed_sets import LotDecision
from tracelink.ledger.kinds.base import numbered_label
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.outcome import Act, Decision, Spooled, Verdict, Word
from tracelink.station.common.refusals import refuse_held, refuse_void
from tracelink.station.common.station_facts import NumberUse, SleeveBatch, Spindle
from tracelink.station.line import kit
from tracelink.station.line.sealing import fill_count, ready, refused_body, seal
from tracelink.station.line.state import Job, LineState, OpenSpindle
from tracelink.station.sentences import common_sentences, thing_names
from tracelink.station.sentences import line_insertion_sentences as say
from tracelink.station.sentences.thing_names import Thing


def disc(state: LineState, disc_read: DiscRead, context: ScanContext) -> Decision:
    """Judge a disc: it must be the one that the unit in hand needs next, from an open spindle."""
    job, carton = ready(state)
    if state.pending is not None:
        raise say.second_disc(state.pending, disc_read)
    _right_title(job, disc_read.gtin.gtin13, say.DISC, context)
    _right_piece(state, job, disc_read, context)
    if state.next_piece == 1 and state.units_in_carton > 0:
        _carton_takes_more(state, job, carton, context)
    source = state.spindle_for(disc_read.piece)
    if source is None:
        raise say.no_spindle_for(disc_read.piece, disc_read)
    usable(source, context)
    name = _disc_name(job, disc_read.piece, context)
    sealed = seal(state) if left_of_run(state, context) < 1 else ()
    return Decision(
        Verdict(Word.NEXT, say.now_its_sleeve(name), fill_count(state, job)),
        sealed,
        Spooled({"disc": disc_read.piece}),
    )


def room(state: LineState, job: Job) -> int:
    """Return how many more units the open carton takes; below 1 if it is full."""
    return job.carton_size - state.units_in_carton


def left_of_run(state: LineState, context: ScanContext) -> int:
    """Return how many more discs go into the run before it is sealed for its length; below 1 if that is due."""
    return context.queries.setting("run_length") - state.run.matches


def _carton_takes_more(state: LineState, job: Job, carton: str, context: ScanContext) -> None:
    if room(state, job) < 1:
        raise say.carton_full(carton)
    refuse_held(context.queries.hold_on(carton), Thing.CARTON, carton, common_sentences.OPEN_ANOTHER_CARTON)


def _disc_name(job: Job, piece: int, context: ScanContext) -> str:
    product = context.queries.product(job.gtin)
    assert product is not None
    return thing_names.disc_name(product.title, piece, product.discs)


def _right_title(job: Job, gtin: str, thing: str, context: ScanContext) -> None:
    if gtin == job.gtin:
        return
    found, ours = context.queries.product(gtin), context.queries.product(job.gtin)
    assert ours is not None
    _sister(thing, gtin, job, context)
    raise say.wrong_title(thing, gtin, found, ours)


def _sister(thing: str, gtin: str, job: Job, context: ScanContext) -> None:
    """Refuse a piece of another edition of the same title: its artwork may be the same."""
    found, ours = context.queries.product(gtin), context.queries.product(job.gtin)
    assert ours is not None
    if found is None or found.title != ours.title:
        return
    raise say.sister_edition(thing, found, ours)


def _right_piece(state: LineState, job: Job, disc: DiscRead, context: ScanContext) -> None:
    if disc.total != job.discs:
        raise say.wrong_total(disc.total, job.discs, str(disc.gtin))
    wanted = kit.wanted(state, context)
    if disc.piece == wanted.disc:
        return
    raise say.wrong_piece(disc, wanted, job.discs, second=disc.piece < state.next_piece)


def usable(source: OpenSpindle, context: ScanContext) -> Spindle:
    """Return an open spindle with its discs.

    Raises:
        Refused: no disc may be taken from it, or none is left.
    """
    held = context.queries.hold_on_spindle(source.spindle)
    refuse_held(held, Thing.SPINDLE, source.spindle, common_sentences.PUT_DISC_BACK_AND_STOP)
    spindle = context.queries.spindle(source.spindle)
    assert spindle is not None
    if spindle.decision == LotDecision.REJECTED:
        raise say.lot_rejected(source.spindle, source.lot)
    if spindle.remaining < 1:
        raise say.spindle_empty(source.spindle)
    return spindle


def sleeve(state: LineState, sleeve_read: SleeveRead, context: ScanContext) -> Decision:
    """Judge the sleeve that the disc in hand goes into: match, or stop with the reason."""
    job, carton = ready(state)
    if state.pending is None:
        raise say.no_disc_yet(kit.wanted(state, context), sleeve_read, begun=bool(state.half))
    source = state.spindle_for(state.pending)
    assert source is not None
    _sleeve_title(state, job, sleeve_read, source, context)
    # Since the disc was scanned, another line or the lab may have taken the last one, or quality a decision.
    usable(source, context)
    batch = context.queries.sleeve_batch(job.batch)
    assert batch is not None
    number_text = _sleeve_number(state, job, batch, sleeve_read, context)
    held = (job.batch,) if number_text is None else (job.batch, numbered_label(job.gtin, number_text))
    notice = context.queries.hold_on(*held)
    if notice is not None:
        raise say.sleeves_held(notice)
    # A number counts as used once its sleeve is finished, so it is asked for with every disc of a set.
    use = context.queries.number_use(job.gtin, number_text) if number_text else None
    if number_text and use and use.destroyed:
        raise say.number_destroyed(number_text, numbered_label(job.gtin, number_text))
    if number_text and use and use.lost:
        raise say.number_lost(number_text, numbered_label(job.gtin, number_text), use.carton)
    if number_text and use:
        return _both_held(state, carton, number_text, use, context)
    finished = kit.is_last(state, context)
    spooled = Spooled(
        {
            "unit": finished,
            "number": number_text,
            "spindle": source.spindle,
            "lot": source.lot,
            "scans": 1 if state.by_hand else 2,
        },
        spindle=source.spindle,
        lot=source.lot,
        carton=carton,
        sleeve_number=number_text if finished else None,
    )
    return kit.matched(state, job, spooled, context)


def _sleeve_title(
    state: LineState, job: Job, sleeve: SleeveRead, source: OpenSpindle, context: ScanContext
) -> None:
    gtin = sleeve.gtin.gtin13
    if gtin == job.gtin:
        return
    _sister(say.SLEEVE, gtin, job, context)
    found = context.queries.product(gtin)
    assert state.pending is not None
    raise say.wrong_sleeve(gtin, found, source.spindle, job.gtin, _disc_name(job, state.pending, context))


def _sleeve_number(
    state: LineState, job: Job, batch: SleeveBatch, sleeve: SleeveRead, context: ScanContext
) -> str | None:
    """Return the number of a numbered sleeve after judging it; None for editions without numbers."""
    serial = sleeve.serial
    if not job.numbered:
        if serial is not None:
            raise say.number_unexpected(serial)
        return None
    if serial is None:
        raise say.number_missing(str(sleeve.gtin))
    if state.number is not None:
        if serial != state.number:
            raise say.other_sleeve(serial, state.number)
        return serial
    if not context.queries.is_number_of(batch, serial):
        _refuse_number(serial, batch)
    subject = numbered_label(job.gtin, serial)
    refuse_void(Thing.SLEEVE_NUMBER, serial, context, subject)
    return serial


def _refuse_number(serial: str, batch: SleeveBatch) -> None:
    wanted = batch.numbers
    lost = next(possible_splits(serial), None)
    if lost is not None:
        raise say.lost_separator(serial, lost.before, lost.ai, lost.rest, wanted)
    raise say.number_of_other_batch(serial, batch.code, wanted)


def _both_held(
    state: LineState, carton: str, number_text: str, use: NumberUse, context: ScanContext
) -> Decision:
    """A number seen twice: the carton that holds the first one is held, and so is the number itself."""
    job, _carton = ready(state)
    subject = numbered_label(job.gtin, number_text)
    items = [HeldItem(subject, None, None), HeldItem(use.carton, None, None)]
    hold = context.queries.next_code("H")
    reason = say.scanned_twice(number_text)
    # The carton in front of the operator may be the one with the first copy; it is held all the same.
    refused = say.number_seen_twice(number_text, subject, None if use.carton == carton else use.carton, hold)
    return Decision(
        Verdict(Word.STOP, str(refused), fill_count(state, job), refused.finding.code),
        (
            *seal(state),
            Act(refused_body(refused.finding), takes=0),
            Act(HoldPlaced(hold, subject, tuple(items)), reason, takes=0),
        ),
    )

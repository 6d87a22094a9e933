"""Disc against sleeve: the two scans of an insertion, and everything that may be wrong with them."""

from tracelink.identity.lostseparator import possible_splits
from tracelink.identity.reading import DiscRead, SleeveRead
from tracelink.ledger.closed_sets import LotDecision, NumberState
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.base import numbered_label
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.station.common.forms import ScanContext, named
from tracelink.station.common.outcome import Act, Decision, PutAside, Refused, Spooled, Verdict, Word
from tracelink.station.common.queries import NumberUse, SleeveBatch
from tracelink.station.common.refusals import hold_words, refuse_void
from tracelink.station.line import kit
from tracelink.station.line.sealing import fill_count, ready, refused_body, seal
from tracelink.station.line.state import Job, LineState, OpenSpindle


def disc(state: LineState, disc_read: DiscRead, context: ScanContext) -> Decision:
    """Judge a disc: it must be the one that the unit in hand needs next, from an open spindle."""
    job, carton = ready(state)
    if state.pending is not None:
        raise Refused(
            FindingCode.DISC_IN_HAND,
            f"Disc {state.pending} is already waiting for its sleeve. Scan the sleeve, or put this disc back and scan STOP.",
            subject=named(disc_read),
            expected="a sleeve",
            found="a second disc",
        )
    _right_title(job, disc_read.gtin.gtin13, "Disc", context)
    _right_piece(state, job, disc_read, context)
    if state.next_piece == 1 and state.units_in_carton > 0:
        _carton_takes_more(state, job, carton, context)
    source = state.spindle_for(disc_read.piece)
    if source is None:
        raise Refused(
            FindingCode.NO_SPINDLE,
            f"No spindle with disc {disc_read.piece} is open. Scan its spindle card.",
            subject=named(disc_read),
        )
    _usable(source, context)
    name = _disc_name(job, disc_read.piece, context)
    sealed = seal(state) if state.run.matches >= context.queries.setting("run_length") else ()
    return Decision(
        Verdict(Word.NEXT, f"{name}. Now its sleeve.", fill_count(state, job)),
        sealed,
        Spooled({"disc": disc_read.piece}),
    )


def _carton_takes_more(state: LineState, job: Job, carton: str, context: ScanContext) -> None:
    if state.units_in_carton >= job.carton_size:
        raise Refused(
            FindingCode.CARTON_FULL,
            f"Carton {carton} is full. Scan CLOSE, or the next carton label.",
            subject=carton,
        )
    notice = context.queries.hold_on(carton)
    if notice is not None:
        raise Refused(
            FindingCode.ON_HOLD,
            f"Carton {carton} is {hold_words(notice, carton)}. Scan CLOSE, put it aside and open another.",
            subject=carton,
        )


def _disc_name(job: Job, piece: int, context: ScanContext) -> str:
    product = context.queries.product(job.gtin)
    assert product is not None
    return f'"{product.title}"' if product.discs == 1 else f'"{product.title}" disc {piece}'


def _right_title(job: Job, gtin: str, thing: str, context: ScanContext) -> None:
    if gtin == job.gtin:
        return
    found, ours = context.queries.product(gtin), context.queries.product(job.gtin)
    assert ours is not None
    _sister(thing, gtin, job, context)
    name = f'"{found.title}"' if found else "not in the system"
    raise Refused(
        FindingCode.WRONG_TITLE,
        f'{thing} {gtin} is {name}; this line packs "{ours.title}".',
        subject=gtin,
        expected=job.gtin,
        found=gtin,
        aside=PutAside("it", f"the right {thing.lower()}"),
    )


def _sister(thing: str, gtin: str, job: Job, context: ScanContext) -> None:
    """Refuse a piece of another edition of the same title: its artwork may be the same."""
    found, ours = context.queries.product(gtin), context.queries.product(job.gtin)
    assert ours is not None
    if found is None or found.title != ours.title:
        return
    raise Refused(
        FindingCode.SISTER_EDITION,
        f'{thing} {gtin} is "{found.title}" {found.catalogue_number}, another edition; this line packs '
        f"{ours.catalogue_number}.",
        subject=gtin,
        expected=job.gtin,
        found=gtin,
        aside=PutAside("it", f"the right {thing.lower()}"),
    )


def _right_piece(state: LineState, job: Job, disc: DiscRead, context: ScanContext) -> None:
    if disc.total != job.discs:
        raise Refused(
            FindingCode.WRONG_DISC,
            f"The disc is marked as one of {disc.total}; this product has {job.discs}.",
            subject=str(disc.gtin),
            expected=str(job.discs),
            found=str(disc.total),
            aside=PutAside("it"),
        )
    wanted = kit.wanted(state, context)
    if disc.piece == wanted.disc:
        return
    second = disc.piece < state.next_piece
    code, what = (
        (FindingCode.SECOND_COPY, "a second copy of disc") if second else (FindingCode.WRONG_DISC, "disc")
    )
    unit = "set" if job.discs > 1 else "unit"
    raise Refused(
        code,
        f"You scanned {what} {disc.piece}. The {unit} in hand needs {wanted.called}.",
        subject=str(disc.gtin),
        expected=f"disc {wanted.disc} of {job.discs}" if wanted.disc else wanted.called,
        found=f"disc {disc.piece} of {disc.total}",
        aside=PutAside("it", wanted.called),
    )


def _usable(source: OpenSpindle, context: ScanContext) -> None:
    notice = context.queries.hold_on_spindle(source.spindle)
    if notice is not None:
        raise Refused(
            FindingCode.ON_HOLD,
            f"Spindle {source.spindle} is {hold_words(notice, source.spindle)}. Put the disc back and scan STOP.",
            subject=source.spindle,
        )
    spindle = context.queries.spindle(source.spindle)
    assert spindle is not None
    if spindle.decision == LotDecision.REJECTED:
        raise Refused(
            FindingCode.LOT_REJECTED,
            f"Spindle {source.spindle} holds discs of lot {source.lot}, which is rejected. Put the disc back and scan STOP.",
            subject=source.spindle,
            found=source.lot,
        )
    if spindle.remaining < 1:
        raise Refused(
            FindingCode.SPINDLE_EMPTY,
            f"The system shows spindle {source.spindle} as empty. Scan the card of the stack in front of you.",
            subject=source.spindle,
            expected="at least 1 disc",
            found="0",
        )


def sleeve(state: LineState, sleeve_read: SleeveRead, context: ScanContext) -> Decision:
    """Judge the sleeve that the disc in hand goes into: match, or stop with the reason."""
    job, carton = ready(state)
    if state.pending is None:
        wanted = kit.wanted(state, context)
        first = "the disc" if wanted.disc else wanted.called
        raise Refused(
            FindingCode.NO_DISC,
            f"Scan {first} first, then its sleeve.",
            subject=named(sleeve_read),
            expected="a disc",
        )
    source = state.spindle_for(state.pending)
    assert source is not None
    _sleeve_title(state, job, sleeve_read, source, context)
    # Since the disc was scanned, another line or the lab may have taken the last one, or quality a decision.
    _usable(source, context)
    batch = context.queries.sleeve_batch(job.batch)
    assert batch is not None
    number_text = _sleeve_number(state, job, batch, sleeve_read, context)
    held = (job.batch,) if number_text is None else (job.batch, numbered_label(job.gtin, number_text))
    notice = context.queries.hold_on(*held)
    if notice is not None:
        raise Refused(
            FindingCode.ON_HOLD,
            f"Sleeves {notice.subject} are {hold_words(notice, notice.subject)}. Put both aside and scan STOP.",
            subject=notice.subject,
        )
    # A number counts as used once its sleeve is finished, so it is asked for with every disc of a set.
    use = context.queries.number_use(job.gtin, number_text) if number_text else None
    if number_text and use and use.destroyed:
        raise _destroyed(number_text, job)
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
    _sister("Sleeve", gtin, job, context)
    found = context.queries.product(gtin)
    assert state.pending is not None
    name = f'is "{found.title}"' if found else "is not in the system"
    raise Refused(
        FindingCode.WRONG_TITLE,
        f"Sleeve {gtin} {name}; spindle {source.spindle} holds {_disc_name(job, state.pending, context)}.",
        subject=gtin,
        expected=job.gtin,
        found=gtin,
        aside=PutAside("both", "the right sleeve"),
    )


def _sleeve_number(
    state: LineState, job: Job, batch: SleeveBatch, sleeve: SleeveRead, context: ScanContext
) -> str | None:
    """Return the number of a numbered sleeve after judging it; None for editions without numbers."""
    serial = sleeve.serial
    if not job.numbered:
        if serial is not None:
            raise Refused(
                FindingCode.WRONG_NUMBER,
                f"This edition has no numbers, and the sleeve has number {serial}.",
                subject=serial,
                aside=PutAside("both"),
            )
        return None
    if serial is None:
        raise Refused(
            FindingCode.NO_NUMBER,
            "This edition is numbered: scan the number label, not the barcode.",
            subject=str(sleeve.gtin),
        )
    if state.number is not None:
        if serial != state.number:
            raise Refused(
                FindingCode.WRONG_NUMBER,
                f"Sleeve {serial} is not the one in hand: disc 1 went into sleeve {state.number}.",
                subject=serial,
                expected=state.number,
                found=serial,
                aside=PutAside("both", "the right sleeve"),
            )
        return serial
    if not context.queries.is_number_of(batch, serial):
        _refuse_number(serial, batch)
    subject = numbered_label(job.gtin, serial)
    refuse_void(subject, f"Sleeve number {serial}", context)
    return serial


def _refuse_number(serial: str, batch: SleeveBatch) -> None:
    wanted = batch.numbers
    lost = next(possible_splits(serial), None)
    if lost is not None:
        raise Refused(
            FindingCode.LOST_SEPARATOR,
            f"Number {serial!r} may be number {lost.before!r} followed by ({lost.ai}){lost.rest}: the separator "
            "between them is lost. Scan the label again.",
            subject=serial,
            expected=wanted,
            found=serial,
        )
    raise Refused(
        FindingCode.WRONG_NUMBER,
        f"Sleeve number {serial} is not in batch {batch.code} ({wanted}).",
        subject=serial,
        expected=wanted,
        found=serial,
        aside=PutAside("both"),
    )


def _destroyed(number_text: str, job: Job) -> Refused:
    return Refused(
        FindingCode.DESTROYED_NUMBER,
        f"The system shows sleeve number {number_text} as destroyed. Put this disc and sleeve aside for "
        "quality and scan STOP.",
        subject=numbered_label(job.gtin, number_text),
        expected=NumberState.DESTROYED,
        found=number_text,
    )


def _both_held(
    state: LineState, carton: str, number_text: str, use: NumberUse, context: ScanContext
) -> Decision:
    """A number seen twice: the carton that holds the first one is held, and so is the number itself."""
    job, _carton = ready(state)
    subject = numbered_label(job.gtin, number_text)
    items = [HeldItem(subject, None, None), HeldItem(use.carton, None, None)]
    hold = context.queries.next_code("H")
    reason = f"sleeve number {number_text} was scanned twice"
    # The carton in front of the operator may be the one with the first copy; it is held all the same.
    where = "this carton" if use.carton == carton else f"carton {use.carton}"
    refused = Refused(
        FindingCode.DUPLICATE_NUMBER,
        f"Sleeve number {number_text} is in {where} already. Both are held ({hold}). Put this disc and sleeve "
        "aside for quality and scan STOP.",
        subject=subject,
        expected="a number not seen before",
        found=f"a second sleeve {number_text}",
    )
    return Decision(
        Verdict(Word.STOP, str(refused), fill_count(state, job), refused.finding.code),
        (
            *seal(state),
            Act(refused_body(refused.finding), takes=0),
            Act(HoldPlaced(hold, subject, tuple(items)), reason, takes=0),
        ),
    )

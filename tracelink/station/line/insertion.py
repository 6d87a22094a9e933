"""Disc against sleeve: the two scans of an insertion, and everything that may be wrong with them."""

from tracelink.identity.elements import suspect_lost_separator
from tracelink.identity.reading import DiscRead, SleeveRead
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.station.common.forms import Scene, named
from tracelink.station.common.outcome import Act, Decision, Refused, Spooled, Verdict, Word
from tracelink.station.common.queries import NumberUse, SleeveBatch
from tracelink.station.lab.decisions import numbered_subject
from tracelink.station.line import kit
from tracelink.station.line.opening import refuse_void
from tracelink.station.line.sealing import fill_count, ready, refused_body, seal
from tracelink.station.line.state import Job, LineDesk, OpenSpindle


def disc(desk: LineDesk, disc_read: DiscRead, scene: Scene) -> Decision:
    """Judge a disc: it must be the one that the unit in hand needs next, from an open spindle."""
    job, carton = ready(desk)
    if desk.pending is not None:
        raise Refused(
            "disc-in-hand",
            f"Disc {desk.pending} is waiting for its sleeve already. Scan the sleeve, or STOP and put it back.",
            subject=named(disc_read),
            expected="a sleeve",
            found="a second disc",
        )
    _right_title(job, disc_read.gtin.gtin13, "Disc", scene)
    _right_piece(desk, job, disc_read, scene)
    if desk.next_piece == 1 and desk.units_in_carton > 0:
        _carton_takes_more(desk, job, carton, scene)
    source = desk.spindle_for(disc_read.piece)
    if source is None:
        raise Refused(
            "no-spindle",
            f"No spindle with disc {disc_read.piece} is open. Scan its spindle card.",
            subject=named(disc_read),
        )
    _usable(source, scene)
    name = _disc_name(job, disc_read.piece, scene)
    sealed = seal(desk) if desk.run.matches >= scene.world.setting("run_length") else ()
    return Decision(
        Verdict(Word.NEXT, f"{name}. Now its sleeve.", fill_count(desk, job)),
        sealed,
        Spooled({"disc": disc_read.piece}),
    )


def _carton_takes_more(desk: LineDesk, job: Job, carton: str, scene: Scene) -> None:
    if desk.units_in_carton >= job.carton_size:
        raise Refused(
            "carton-full", f"Carton {carton} is full. Scan CLOSE, or the next carton label.", subject=carton
        )
    notice = scene.world.hold_on(carton)
    if notice is not None:
        raise Refused(
            "on-hold",
            f"Carton {carton} is on hold {notice.hold}: {notice.reason}. Scan CLOSE, put it aside and open another.",
            subject=carton,
        )


def _disc_name(job: Job, piece: int, scene: Scene) -> str:
    product = scene.world.product(job.gtin)
    assert product is not None
    return f'"{product.title}"' if product.discs == 1 else f'"{product.title}" disc {piece}'


def _right_title(job: Job, gtin: str, thing: str, scene: Scene) -> None:
    if gtin == job.gtin:
        return
    found, ours = scene.world.product(gtin), scene.world.product(job.gtin)
    assert ours is not None
    _sister(thing, gtin, job, scene)
    name = f'"{found.title}"' if found else "not known to the ledger"
    sentence = (
        f'{thing} {gtin} is {name}; this line packs "{ours.title}". Put it aside and scan STOP or the right '
        f"{thing.lower()}."
    )
    raise Refused("wrong-title", sentence, subject=gtin, expected=job.gtin, found=gtin)


def _sister(thing: str, gtin: str, job: Job, scene: Scene) -> None:
    """Refuse a piece of another edition of the same title: its artwork may be the same."""
    found, ours = scene.world.product(gtin), scene.world.product(job.gtin)
    assert ours is not None
    if found is None or found.title != ours.title:
        return
    raise Refused(
        "sister-edition",
        f'{thing} {gtin} is "{found.title}" {found.catalogue_number}, another edition; this line packs '
        f"{ours.catalogue_number}. Put it aside and scan STOP or the right {thing.lower()}.",
        subject=gtin,
        expected=job.gtin,
        found=gtin,
    )


def _right_piece(desk: LineDesk, job: Job, disc: DiscRead, scene: Scene) -> None:
    if disc.total != job.discs:
        raise Refused(
            "wrong-disc",
            f"The disc says it is one of {disc.total}; this product has {job.discs}. Put it aside and scan STOP.",
            subject=str(disc.gtin),
            expected=str(job.discs),
            found=str(disc.total),
        )
    wanted = kit.wanted(desk, scene)
    if disc.piece == wanted.disc:
        return
    second = disc.piece < desk.next_piece
    code, what = ("second-copy", "a second copy of disc") if second else ("wrong-disc", "disc")
    unit = "set" if job.discs > 1 else "unit"
    raise Refused(
        code,
        f"That is {what} {disc.piece}; the {unit} in hand needs {wanted.called}. Put it aside and scan STOP or "
        f"{wanted.called}.",
        subject=str(disc.gtin),
        expected=f"disc {wanted.disc} of {job.discs}" if wanted.disc else wanted.called,
        found=f"disc {disc.piece} of {disc.total}",
    )


def _usable(source: OpenSpindle, scene: Scene) -> None:
    notice = scene.world.hold_on_spindle(source.spindle)
    if notice is not None:
        raise Refused(
            "on-hold",
            f"Spindle {source.spindle} is on hold {notice.hold}: {notice.reason}. Put the disc back and scan STOP.",
            subject=source.spindle,
        )
    spindle = scene.world.spindle(source.spindle)
    assert spindle is not None
    if spindle.decision == "rejected":
        raise Refused(
            "lot-rejected",
            f"Spindle {source.spindle} is of lot {source.lot}, which is rejected. Put the disc back and scan STOP.",
            subject=source.spindle,
            found=source.lot,
        )
    if spindle.remaining < 1:
        raise Refused(
            "spindle-empty",
            f"Spindle {source.spindle} is empty by the records. Scan the card of the stack in front of you.",
            subject=source.spindle,
            expected="at least 1 disc",
            found="0",
        )


def sleeve(desk: LineDesk, sleeve_read: SleeveRead, scene: Scene) -> Decision:
    """Judge the sleeve that the disc in hand goes into: match, or stop with the reason."""
    job, carton = ready(desk)
    if desk.pending is None:
        wanted = kit.wanted(desk, scene)
        first = "the disc" if wanted.disc else wanted.called
        raise Refused(
            "no-disc", f"Scan {first} first, then its sleeve.", subject=named(sleeve_read), expected="a disc"
        )
    source = desk.spindle_for(desk.pending)
    assert source is not None
    _sleeve_title(desk, job, sleeve_read, source, scene)
    # Since the disc was scanned, another line or the lab may have taken the last one, or quality a decision.
    _usable(source, scene)
    batch = scene.world.sleeve_batch(job.batch)
    assert batch is not None
    number_text = _sleeve_number(desk, job, batch, sleeve_read, scene)
    held = (job.batch,) if number_text is None else (job.batch, numbered_subject(job.gtin, number_text))
    notice = scene.world.hold_on(*held)
    if notice is not None:
        raise Refused(
            "on-hold",
            f"Sleeves {notice.subject} are on hold {notice.hold}: {notice.reason}. Put both aside and scan STOP.",
            subject=notice.subject,
        )
    # A number counts as used once its sleeve is finished, so it is asked for with every disc of a set.
    use = scene.world.number_use(job.gtin, number_text) if number_text else None
    if number_text and use and use.destroyed:
        raise _destroyed(number_text, job)
    if number_text and use:
        return _both_held(desk, carton, number_text, use, scene)
    finished = kit.is_last(desk, scene)
    spooled = Spooled(
        {
            "unit": finished,
            "number": number_text,
            "spindle": source.spindle,
            "lot": source.lot,
            "scans": 1 if desk.by_hand else 2,
        },
        spindle=source.spindle,
        lot=source.lot,
        carton=carton,
        sleeve_number=number_text if finished else None,
    )
    return kit.matched(desk, job, spooled, scene)


def _sleeve_title(desk: LineDesk, job: Job, sleeve: SleeveRead, source: OpenSpindle, scene: Scene) -> None:
    gtin = sleeve.gtin.gtin13
    if gtin == job.gtin:
        return
    _sister("Sleeve", gtin, job, scene)
    found = scene.world.product(gtin)
    assert desk.pending is not None
    name = f'is "{found.title}"' if found else "is not known to the ledger"
    sentence = (
        f"Sleeve {gtin} {name}; spindle {source.spindle} holds {_disc_name(job, desk.pending, scene)}. "
        "Put both aside and scan STOP or the right sleeve."
    )
    raise Refused("wrong-title", sentence, subject=gtin, expected=job.gtin, found=gtin)


def _sleeve_number(
    desk: LineDesk, job: Job, batch: SleeveBatch, sleeve: SleeveRead, scene: Scene
) -> str | None:
    """Return the number of a numbered sleeve after judging it; None for editions without numbers."""
    serial = sleeve.serial
    if not job.numbered:
        if serial is not None:
            raise Refused(
                "wrong-number",
                f"Sleeve number {serial} on an edition without numbers. Scan STOP.",
                subject=serial,
            )
        return None
    if serial is None:
        raise Refused(
            "no-number",
            "This edition is numbered: scan the number label, not the barcode.",
            subject=str(sleeve.gtin),
        )
    if desk.number is not None:
        if serial != desk.number:
            raise Refused(
                "wrong-number",
                f"Sleeve {serial} is not the one in hand: disc 1 went into sleeve {desk.number}. Put both aside "
                "and scan STOP or the right sleeve.",
                subject=serial,
                expected=desk.number,
                found=serial,
            )
        return serial
    if not scene.world.is_number_of(batch, serial):
        _refuse_number(serial, batch)
    subject = numbered_subject(job.gtin, serial)
    refuse_void(subject, f"Sleeve number {serial}", scene)
    return serial


def _refuse_number(serial: str, batch: SleeveBatch) -> None:
    wanted = batch.numbers
    lost = suspect_lost_separator(serial)
    if lost is not None:
        raise Refused(
            "lost-separator", f"{lost} Scan the label again.", subject=serial, expected=wanted, found=serial
        )
    raise Refused(
        "wrong-number",
        f"Sleeve number {serial} is not in batch {batch.code} ({wanted}). Put both aside and scan STOP.",
        subject=serial,
        expected=wanted,
        found=serial,
    )


def _destroyed(number_text: str, job: Job) -> Refused:
    return Refused(
        "destroyed-number",
        f"Sleeve number {number_text} was destroyed by the records, and here it is. Put this disc and sleeve aside for "
        "quality and scan STOP.",
        subject=numbered_subject(job.gtin, number_text),
        expected="destroyed",
        found=number_text,
    )


def _both_held(desk: LineDesk, carton: str, number_text: str, use: NumberUse, scene: Scene) -> Decision:
    """A number seen twice: the carton that holds the first one is held, and so is the number itself."""
    job, _carton = ready(desk)
    subject = numbered_subject(job.gtin, number_text)
    items = [HeldItem(subject, None, None), HeldItem(use.carton, None, None)]
    hold = scene.world.next_code("H")
    reason = f"sleeve number {number_text} was scanned twice"
    # The carton in front of the operator may be the one with the first copy; it is held all the same.
    where = "this carton" if use.carton == carton else f"carton {use.carton}"
    refused = Refused(
        "duplicate-number",
        f"Sleeve number {number_text} is in {where} already. Both are held ({hold}). Put this disc and sleeve "
        "aside for quality and scan STOP.",
        subject=subject,
        expected="a number not seen before",
        found=f"a second sleeve {number_text}",
    )
    return Decision(
        Verdict(Word.STOP, str(refused), fill_count(desk, job), refused.finding.code),
        (
            *seal(desk),
            Act(refused_body(refused.finding), takes=0),
            Act(HoldPlaced(hold, subject, tuple(items)), reason, takes=0),
        ),
    )

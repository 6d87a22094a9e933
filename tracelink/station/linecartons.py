"""Cartons at a packing line after they were filled: reopened, merged, a unit taken out."""

from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading, SleeveRead, TextKeyed
from tracelink.ledger.kinds.base import SCRAP, Moved
from tracelink.ledger.kinds.packing import (
    BatchUnits,
    CartonReopened,
    CartonsMerged,
    ItemCount,
    UnitTakenOut,
)
from tracelink.station import kit, linehold
from tracelink.station.facts import Carton
from tracelink.station.forms import Done, Form, Scene, Slot, Values, keyed_text, misplaced, plant_code, sscc
from tracelink.station.linedesk import Job, LineDesk
from tracelink.station.linefacts import CartonContent, CountIn, LotIn
from tracelink.station.outcome import Act, Refused, counted
from tracelink.station.sealing import fill_count, ready

Accept = Callable[[Reading, Values, Scene], Any]

REASON = Slot("reason", 'Key the reason, such as "corner crushed.', lambda reading, _v, _s: reason(reading))


def reason(reading: Reading) -> str:
    """Return a keyed reason."""
    return keyed_text(reading, "a keyed reason")


def _sealed_carton(code: str, desk: LineDesk, scene: Scene) -> Carton:
    """Return a carton that was sealed at a line and went nowhere since, or refuse it."""
    carton = scene.world.carton(code)
    if carton is None:
        raise Refused("unknown-code", f"Carton {code} has not been packed.", subject=code)
    if carton.status != "closed":
        raise Refused(
            "carton-not-closed",
            f"Carton {code} is {carton.status}; a closed carton belongs here.",
            subject=code,
            expected="closed",
            found=carton.status,
        )
    if carton.pallet is not None:
        raise Refused(
            "has-a-parent",
            f"Carton {code} is on {carton.pallet}. The dock takes it off first.",
            subject=code,
            found=carton.pallet,
        )
    assert desk.job is not None
    if carton.gtin != desk.job.gtin:
        theirs, ours = scene.world.product(carton.gtin), scene.world.product(desk.job.gtin)
        assert theirs is not None
        assert ours is not None
        raise Refused(
            "wrong-title-carton",
            f'Carton {code} holds "{theirs.title}"; this line packs "{ours.title}". Take it away.',
            subject=code,
            expected=ours.gtin,
            found=theirs.gtin,
        )
    _refuse_held(code, scene)
    return carton


def _refuse_held(code: str, scene: Scene) -> None:
    notice = scene.world.hold_on_carton(code)
    if notice is not None:
        because = "" if notice.subject == code else f" ({notice.subject})"
        raise Refused(
            "on-hold",
            f"Carton {code} is on hold {notice.hold}{because}: {notice.reason}. Leave it as it is.",
            subject=code,
        )


def reopen(desk: LineDesk, _scene: Scene) -> Form:
    """REOPEN: a sealed carton is opened again, with a reason."""

    def begin(_scene: Scene) -> None:
        if desk.job is None:
            raise Refused(
                "not-ready", "No sleeve batch is open. Scan the sleeve batch first.", subject="REOPEN"
            )
        if desk.carton is not None:
            raise Refused(
                "carton-open", f"Carton {desk.carton} is still open. Scan CLOSE first.", subject=desk.carton
            )

    def accept(reading: Reading, _values: Values, scene: Scene) -> str:
        return _sealed_carton(sscc(reading, "the label of a closed carton"), desk, scene).sscc

    def finish(values: Values, scene: Scene) -> Done:
        carton = _sealed_carton(values["carton"], desk, scene)
        assert desk.job is not None
        sentence = f"Carton {carton.sscc} is open again with {counted(carton.units, 'unit')}."
        count = f"{carton.units} of {desk.job.carton_size} in carton"
        return Done((Act(CartonReopened(carton.sscc, carton.units), values["reason"]),), sentence, count)

    slots = (Slot("carton", "Scan the label of the closed carton.", accept), REASON)
    return Form("REOPEN", "line", slots, finish, begin)


def merge(desk: LineDesk, _scene: Scene) -> Form:
    """MERGE: everything in a part carton goes into the open one."""

    def accept(reading: Reading, _values: Values, scene: Scene) -> str:
        job, _carton = ready(desk)
        source = _sealed_carton(sscc(reading, "the label of a part carton"), desk, scene)
        if source.units == 0:
            raise Refused("carton-empty", f"Carton {source.sscc} is empty.", subject=source.sscc)
        room = job.carton_size - desk.units_in_carton
        if source.units > room:
            raise Refused(
                "carton-full",
                f"Carton {source.sscc} holds {counted(source.units, 'unit')}; the open carton has room for {room}.",
                subject=source.sscc,
                expected=f"at most {room}",
                found=str(source.units),
            )
        return source.sscc

    def finish(values: Values, scene: Scene) -> Done:
        job, target = ready(desk)
        _refuse_held(target, scene)
        source, content = values["carton"], scene.world.carton_content(values["carton"])
        body = _merged(source, target, job, content)
        sentence = (
            f"{counted(body.units, 'unit')} of carton {source} are in carton {target} now. Throw the label of "
            f"carton {source} away."
        )
        return Done((Act(body, values["reason"]),), sentence, fill_count(desk, job, body.units))

    slots = (Slot("carton", "Scan the label of the part carton to empty.", accept), REASON)
    return Form("MERGE", "line", slots, finish, lambda _scene: ready(desk))


def _merged(source: str, target: str, job: Job, content: CartonContent) -> CartonsMerged:
    return CartonsMerged(
        source=source,
        carton=target,
        gtin=job.gtin,
        units=sum(part.count for part in content.batches),
        moves=tuple(Moved(each.lot, each.quantity, source, target, None, None) for each in content.lots),
        batches=tuple(BatchUnits(part.code, part.count) for part in content.batches),
        items=tuple(ItemCount(each.code, each.count) for each in content.items),
        numbers=content.numbers,
    )


def takeout(desk: LineDesk, scene: Scene) -> Form:
    """TAKEOUT: one finished unit of the open carton goes to scrap.

    What the records cannot tell is asked for: which lot a disc is of when the carton holds two, which sleeves.
    """
    job, carton = ready(desk)
    content = _with_run(desk, job, scene.world.carton_content(carton))
    slots = [*_lot_slots(desk, job, content)]
    if len(content.batches) > 1:
        slots.append(Slot("batch", "Scan the sleeve batch of the unit.", _one_of_batches(content)))
    if job.numbered:
        slots.append(Slot("number", "Scan the sleeve of the unit, or key its number.", _number_in(content)))

    def begin(_scene: Scene) -> None:
        if desk.units_in_carton == 0:
            raise Refused("carton-empty", f"No finished unit is in carton {carton}.", subject=carton)
        _refuse_if_held(carton, scene)

    def finish(values: Values, _scene: Scene) -> Done:
        return _taken_out(desk, _unit(desk, content, values, scene), values["reason"])

    return Form("TAKEOUT", "line", (*slots, REASON), finish, begin)


def _with_run(desk: LineDesk, job: Job, content: CartonContent) -> CartonContent:
    """Add the matches in the spool, which are sealed with the act's first scan."""
    if not desk.run.scans:
        return content
    pieces = {found.spindle: found.piece for found in desk.spindles}
    lots = list(content.lots)
    for take in desk.run.takes:
        same = next((each for each in lots if each.lot == take.lot), None)
        if same is not None:
            lots.remove(same)
        lots.append(LotIn(take.lot, pieces[take.spindle], take.count + (same.quantity if same else 0)))
    batches = {part.code: part.count for part in content.batches}
    batches[job.batch] = batches.get(job.batch, 0) + desk.run.units
    return replace(
        content,
        lots=tuple(sorted(lots, key=lambda each: (each.piece, each.lot))),
        batches=tuple(CountIn(code, units) for code, units in sorted(batches.items()) if units),
    )


def _refuse_if_held(carton: str, scene: Scene) -> None:
    """A hold on the carton itself keeps its content together; one on a lot in it does not."""
    if scene.world.hold_on(carton) is not None:
        _refuse_held(carton, scene)


def _lots_of(desk: LineDesk, content: CartonContent, piece: int) -> list[LotIn]:
    """The lots from which this disc of a finished unit may be: what lies in the unfinished one is left out."""
    in_hand = [disc.lot for disc in desk.half]
    return [each for each in content.lots if each.piece == piece and each.quantity > in_hand.count(each.lot)]


def _lot_slots(desk: LineDesk, job: Job, content: CartonContent) -> Iterator[Slot]:
    for piece in range(1, job.discs + 1):
        lots = [each.lot for each in _lots_of(desk, content, piece)]
        if len(lots) > 1:
            disc = f"disc {piece}" if job.discs > 1 else "the disc"
            asks = f"Scan the lot card of {disc}: {' or '.join(lots)}."
            yield Slot(f"lot {piece}", asks, _one_of_lots(lots))


def _one_of_lots(lots: list[str]) -> Accept:
    def accept(reading: Reading, _values: Values, _scene: Scene) -> str:
        code = plant_code(CodeKind.LOT, reading, "a lot card")
        if code not in lots:
            raise Refused(
                "wrong-lot", f"No disc of lot {code} is in the carton: {' or '.join(lots)}.", subject=code
            )
        return code

    return accept


def _one_of_batches(content: CartonContent) -> Accept:
    batches = [part.code for part in content.batches]

    def accept(reading: Reading, _values: Values, _scene: Scene) -> str:
        code = plant_code(CodeKind.SLEEVE_BATCH, reading, "a sleeve batch")
        if code not in batches:
            raise Refused(
                "wrong-batch", f"No sleeve of {code} is in the carton: {' or '.join(batches)}.", subject=code
            )
        return code

    return accept


def _number_in(content: CartonContent) -> Accept:
    def accept(reading: Reading, _values: Values, _scene: Scene) -> str:
        if isinstance(reading, SleeveRead) and reading.serial is not None:
            number = reading.serial
        elif isinstance(reading, TextKeyed):
            number = reading.text
        else:
            raise misplaced(reading, "a numbered sleeve")
        if number not in content.numbers:
            raise Refused(
                "wrong-sleeve",
                f"Sleeve number {number} is not in this carton by the records.",
                subject=number,
            )
        return number

    return accept


def _unit(desk: LineDesk, content: CartonContent, values: Values, scene: Scene) -> UnitTakenOut:
    job, carton = ready(desk)
    lots = [
        str(values.get(f"lot {piece}") or _lots_of(desk, content, piece)[0].lot)
        for piece in range(1, job.discs + 1)
    ]
    number = values.get("number")
    held = desk.held is not None and (number is None or number in desk.held.numbers)
    return UnitTakenOut(
        carton=carton,
        gtin=job.gtin,
        batch=values.get("batch") or content.batches[0].code,
        moves=tuple(Moved(lot, lots.count(lot), carton, SCRAP, None, None) for lot in dict.fromkeys(lots)),
        items=tuple(ItemCount(piece.item, 1) for piece in kit.scanned(job.gtin, scene) if piece.item),
        number=number,
        held_back=held,
    )


def _taken_out(desk: LineDesk, body: UnitTakenOut, why: str) -> Done:
    job, carton = ready(desk)
    sentence = "One unit is taken out of the carton and scrapped."
    acts: tuple[Act, ...] = (Act(body, why),)
    if desk.held is not None and body.held_back:
        left = desk.held.remaining - 1
        sentence += f" {counted(left, 'unit')} to recheck." if left else " No unit is held back any more."
        if not left:
            acts = (*acts, linehold.closing(carton, replace(desk.held, taken_out=desk.held.taken_out + 1)))
    return Done(acts, sentence, fill_count(desk, job, -1))

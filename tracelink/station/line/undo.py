"""UNDO at a packing line: the last match, the last reject or CLOSE, or a carton label scanned by mistake."""

from tracelink.ledger.kinds.base import SCRAP, Moved
from tracelink.ledger.kinds.line import InHand
from tracelink.ledger.kinds.packing import CartonReopened, CartonUnopened, MatchUndone, RejectUndone
from tracelink.station.common.forms import Done, Scene
from tracelink.station.common.outcome import Act, Refused, counted
from tracelink.station.common.refusals import refuse_held
from tracelink.station.line import cartons, kit
from tracelink.station.line.sealing import fill_count
from tracelink.station.line.state import Job, LastUnit, LineDesk


def undo(desk: LineDesk, scene: Scene) -> Done:
    """Take back the last act or match of this person's session: a reject, a CLOSE, a match, an empty carton opened.

    Matches in the spool are sealed before it, so the journal shows the match and its reversal.
    """
    if desk.thrown is not None:
        return _undo_reject(desk.thrown)
    if desk.closed is not None:
        return _undo_close(desk.closed, scene)
    if desk.job is None or desk.carton is None:
        raise _nothing("A closed carton is opened again with REOPEN." if desk.cleared else "")
    refuse_held(
        scene.world.hold_on(desk.carton),
        f"Carton {desk.carton}",
        desk.carton,
        "Leave it as it is and tell quality.",
    )
    if desk.fresh and not desk.half and not desk.units_in_carton:
        body = CartonUnopened(desk.carton)
        return Done((Act(body),), f"Carton label {desk.carton} is free again.")
    if desk.half:
        return _undo_piece(desk, desk.job, desk.carton, scene)
    last = _last_unit(desk)
    if last is None:
        raise _nothing("Only the last match since you signed on can be taken back.")
    return _undo_unit(desk, desk.job, last, scene)


def _undo_reject(disc: InHand) -> Done:
    body = RejectUndone(Moved(disc.lot, 1, SCRAP, disc.spindle, None, None))
    return Done((Act(body),), f"The reject is taken back: put the disc back on spindle {disc.spindle}.")


_BY_MISTAKE = "closed by mistake, taken back by UNDO"


def _undo_close(code: str, scene: Scene) -> Done:
    """Open the carton again that was sealed last; refused if the dock, quality or a count got hold of it since."""
    carton = scene.world.carton(code)
    assert carton is not None
    if carton.status != "closed":
        raise Refused(
            "carton-not-closed",
            f"Carton {code} is {carton.status} since; its CLOSE cannot be taken back.",
            subject=code,
            expected="closed",
            found=carton.status,
        )
    cartons.require_here(carton, scene)
    cartons.refuse_held_carton(code, scene)
    product = scene.world.product(carton.gtin)
    assert product is not None
    sentence = f"Carton {code} is open again with {counted(carton.units, 'unit')}."
    count = f"{carton.units} of {product.carton_size} in carton"
    return Done(cartons.taken(code, CartonReopened(code, carton.units), _BY_MISTAKE, scene), sentence, count)


def _nothing(more: str) -> Refused:
    return Refused("nothing-to-undo", f"There is nothing to take back. {more}".strip(), subject="UNDO")


def _last_unit(desk: LineDesk) -> LastUnit | None:
    if not desk.run.units:
        return desk.last
    number = desk.run.numbers[-1] if desk.run.numbers else None
    return LastUnit(desk.unit_of_run(desk.run.units), number)


def _undo_piece(desk: LineDesk, job: Job, carton: str, scene: Scene) -> Done:
    """The unit in hand loses its last piece."""
    pieces = kit.scanned(job.gtin, scene)
    last = pieces[kit.position(desk) - 1]
    half, items = (desk.half, desk.items - 1) if last.item else (desk.half[:-1], desk.items)
    body = MatchUndone(
        carton=carton,
        gtin=job.gtin,
        batch=job.batch,
        moves=() if last.item else (_back(carton, desk.half[-1]),),
        item=last.item,
        finished=False,
        freed=None,
        filling=desk.number if half else None,
        unfinished=half,
        items=items,
    )
    return Done((Act(body),), _sentence(last.called, body, desk.half[-1]), fill_count(desk, job))


def _undo_unit(desk: LineDesk, job: Job, unit: LastUnit, scene: Scene) -> Done:
    """The last finished unit comes out of the carton and loses its last piece."""
    assert desk.carton is not None
    pieces = kit.scanned(job.gtin, scene)
    last = pieces[-1]
    half = unit.discs if last.item else unit.discs[:-1]
    body = MatchUndone(
        carton=desk.carton,
        gtin=job.gtin,
        batch=job.batch,
        moves=() if last.item else (_back(desk.carton, unit.discs[-1]),),
        item=last.item,
        finished=True,
        freed=unit.number,
        filling=unit.number if half else None,
        unfinished=half,
        items=len(pieces) - job.discs - (1 if last.item else 0),
    )
    return Done((Act(body),), _sentence(last.called, body, unit.discs[-1]), fill_count(desk, job, -1))


def _back(carton: str, disc: InHand) -> Moved:
    return Moved(disc.lot, 1, carton, disc.spindle, None, None)


def _sentence(called: str, body: MatchUndone, disc: InHand) -> str:
    if body.item is not None:
        return f"The last match is taken back: take {called} out of the sleeve."
    return f"The last match is taken back: put {called} back on spindle {disc.spindle}."

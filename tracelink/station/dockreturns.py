"""What comes back: with its carton label or without, into quarantine, and from there into stock or to destruction.

A carton that comes back keeps its identity, so its discs are moved lot by lot. Discs without a carton label are
a return line of their own: which shipped carton gave them up is not known, and no carton is made to.
"""

from tracelink.errors import IdentifierError
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.identity.reading import LogisticRead, NumberKeyed, Reading
from tracelink.ledger.kinds.base import Moved
from tracelink.ledger.kinds.warehouse import (
    DESTROYED,
    QUARANTINE,
    RETURNED,
    CartonRestocked,
    CartonReturned,
    Destroyed,
    DiscsReturned,
)
from tracelink.station import dockrules as rules
from tracelink.station.dockbuild import REASON
from tracelink.station.dockfacts import ReturnLine, Standing
from tracelink.station.forms import Done, Form, Scene, Slot, Values, keyed_text, misplaced, number, plant_code
from tracelink.station.held import refuse_held
from tracelink.station.outcome import Act, Refused, counted
from tracelink.station.quality import second_person


def _sent(reading: Reading, values: Values, scene: Scene) -> str:
    code = rules.a_carton(reading, values, scene)
    outer = _outer(code, scene)
    if outer is None or scene.world.shipment_status(outer.parent) != "shipped":
        raise Refused(
            "not-shipped",
            f"Carton {code} has not left by the records; it is {rules.where(scene.world.standing(code))}. "
            "Look what this is before you book it.",
            subject=code,
            expected="in a shipment that has left",
        )
    return code


def _outer(carton: str, scene: Scene) -> Standing | None:
    """Return the shipment a carton is in, alone or with its pallet."""
    standing = scene.world.standing(carton)
    if standing is not None and standing.what == "pallet":
        standing = scene.world.standing(standing.parent)
    return standing if standing is not None and standing.what == "shipment" else None


def _return(values: Values, scene: Scene) -> Done:
    code = values["carton"]
    standing, outer = scene.world.standing(code), _outer(code, scene)
    assert standing is not None
    assert outer is not None
    line = scene.world.next_return()
    moves = tuple(
        move
        for lot, count in scene.world.carton_contents(code)
        for move in (
            Moved(lot, count, code, RETURNED, None, None),
            Moved(lot, count, RETURNED, QUARANTINE, None, None),
        )
    )
    body = CartonReturned(line, rules.nested(code, standing), moves)
    sentence = f"Return {line}: carton {code} is back from {outer.name} and in quarantine."
    return Done((*rules.releasing(code, scene), Act(body, values["reason"])), sentence)


def _matrix(reading: Reading, _values: Values, scene: Scene) -> str:
    text = keyed_text(reading, "the matrix number")
    try:
        return scene.world.matrix_grammar().parse(text)
    except IdentifierError as problem:
        raise Refused(
            "foreign-disc",
            f"{problem}. A disc that is not of this plant is not returned here.",
            subject=text,
        ) from None


def _mark(reading: Reading, _values: Values, _scene: Scene) -> str:
    return keyed_text(reading, "the stamper mark").strip()


def _disc_count(reading: Reading, _values: Values, _scene: Scene) -> int:
    count = number(reading, "how many discs with this mark")
    if count < 1:
        raise Refused("wrong-count", "0 discs did not come back. Key how many there are.", subject="0")
    return count


def _return_loose(values: Values, scene: Scene) -> Done:
    line = scene.world.next_return()
    lots = scene.world.shipped_lots(values["matrix"], _tool(values["mark"], scene))
    lot = lots[0] if len(lots) == 1 else None
    body = DiscsReturned(line, lot, values["matrix"], values["mark"], values["count"])
    known = f"of lot {lot}" if lot else f"of an unknown lot ({len(lots)} shipped lots fit)"
    return Done(
        (Act(body),),
        f"Return {line}: {counted(values['count'], 'disc')} {values['matrix']} {known}, in quarantine.",
    )


def _tool(mark: str, scene: Scene) -> str | None:
    """Return the stamper a mark names, if it is a tool tag of this plant."""
    try:
        code = PlantCode.parse(mark.upper())
    except IdentifierError:
        return None
    return code.text if code.kind is CodeKind.TOOL and scene.world.tool(code.text) else None


def _in_quarantine(reading: Reading, values: Values, scene: Scene) -> str:
    code = rules.a_carton(reading, values, scene)
    if scene.world.return_of(code) is None:
        status = rules.known_carton(code, scene).status
        raise Refused(
            "not-returned",
            f"Carton {code} is {status}; only a returned carton goes back into stock.",
            subject=code,
            expected="returned",
            found=status,
        )
    refuse_held(scene.world.hold_on(code), f"Carton {code}", code)
    return code


def _restock(values: Values, scene: Scene) -> Done:
    code = values["carton"]
    line = scene.world.return_of(code)
    assert line is not None
    moves = tuple(
        Moved(lot, count, QUARANTINE, code, None, None)
        for lot, count in scene.world.carton_returned(line.number)
    )
    body = CartonRestocked(line.number, code, moves)
    return Done((Act(body, values["reason"]),), f"Carton {code} is inspected and in stock again.")


def _doomed(reading: Reading, values: Values, scene: Scene) -> str:
    """A carton that is returned or broken, or the number of a return line without carton."""
    if isinstance(reading, NumberKeyed):
        _loose_line(reading.value, scene)
        return str(reading.value)
    if not isinstance(reading, LogisticRead):
        raise misplaced(reading, "a carton label or the number of a return")
    code = rules.a_carton(reading, values, scene)
    status = rules.known_carton(code, scene).status
    if status not in ("returned", "broken"):
        raise Refused(
            "not-to-be-destroyed",
            f"Carton {code} is {status}; only a returned or a broken carton is destroyed.",
            subject=code,
            expected="returned or broken",
            found=status,
        )
    return code


def _loose_line(line_number: int, scene: Scene) -> ReturnLine:
    line = scene.world.return_line(line_number)
    if line is None or line.carton is not None:
        what = "is not known" if line is None else f"is carton {line.carton}; scan its label"
        raise Refused("unknown-code", f"Return {line_number} {what}.", subject=str(line_number))
    if line.status != "quarantine":
        raise Refused(
            "not-in-quarantine",
            f"The discs of return {line_number} are {line.status} already.",
            subject=str(line_number),
            expected="quarantine",
            found=line.status,
        )
    return line


def _witness(reading: Reading, _values: Values, scene: Scene) -> str:
    return second_person(plant_code(CodeKind.PERSON, reading, "the badge of a witness"), "quality", scene)


def _destroy(values: Values, scene: Scene) -> Done:
    thing, witness = values["thing"], values["second_person"]
    if len(thing) < 18:
        line = _loose_line(int(thing), scene)
        body = Destroyed(None, line.number, witness, None, ())
        done = f"{counted(line.discs, 'disc')} of return {line.number} destroyed before a witness."
        return Done((Act(body, values["reason"]),), done)
    returned = scene.world.return_of(thing)
    if returned is None:
        contents, source = scene.world.carton_contents(thing), thing
    else:
        contents, source = scene.world.carton_returned(returned.number), QUARANTINE
    moves = tuple(Moved(lot, count, source, DESTROYED, None, None) for lot, count in contents)
    standing = scene.world.standing(thing)
    left = None if standing is None else rules.nested(thing, standing)
    body = Destroyed(thing, returned.number if returned else None, witness, left, moves)
    discs = counted(sum(move.quantity for move in moves), "disc")
    return Done((Act(body, values["reason"]),), f"Carton {thing} with {discs} destroyed before a witness.")


FORMS = (
    Form("RETURN", "dock", (Slot("carton", "Scan the carton.", _sent), REASON), _return),
    Form(
        "RETURNLOOSE",
        "dock",
        (
            Slot("matrix", "Key the matrix number on the disc.", _matrix),
            Slot("mark", "Key the stamper mark beside it.", _mark),
            Slot("count", "Key how many discs carry it, such as #3.", _disc_count),
        ),
        _return_loose,
    ),
    Form("RESTOCK", "quality", (Slot("carton", "Scan the carton.", _in_quarantine), REASON), _restock),
    Form(
        "DESTROY",
        "dock",
        (
            Slot("thing", "Scan the carton, or key the number of the return, such as #3.", _doomed),
            REASON,
            Slot("second_person", "Scan the badge of the witness.", _witness),
        ),
        _destroy,
    ),
)

"""Counting by hand, at any station that works by acts: scan the thing, key how many there are.

A count changes no kept count. When it disagrees it is a finding at once, and it stays in the lot's balance
with its sign until a later count of the same place says otherwise.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import LogisticRead, PlantRead, Reading
from tracelink.ledger.kinds.balance import DIFFERS, Counted, StockCounted
from tracelink.ledger.kinds.base import COUNTER
from tracelink.station.balancefacts import Standing
from tracelink.station.forms import Done, Form, Scene, Slot, Values, misplaced, number
from tracelink.station.outcome import Act, Refused, counted

_ASKED = "a spindle card, a carton label or a lot card"


def _thing(reading: Reading, _values: Values, scene: Scene) -> str:
    """The code of what is counted: a spindle, a carton, or a lot's discs that lie at its press."""
    if isinstance(reading, LogisticRead) and reading.sscc is not None:
        return _carton(str(reading.sscc), scene)
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.SPINDLE:
        code = reading.code.text
        if scene.world.spindle(code) is None:
            raise Refused("unknown-code", f"Spindle card {code} is not known to the ledger.", subject=code)
        return code
    if isinstance(reading, PlantRead) and reading.code.kind is CodeKind.LOT:
        code = reading.code.text
        lot = scene.world.lot(code)
        if lot is None:
            raise Refused("unknown-code", f"Lot card {code} is not known to the ledger.", subject=code)
        if lot.segment is None:
            raise Refused("not-pressed", f"Lot {code} is {lot.status}; it has no discs yet.", subject=code)
        return code
    raise misplaced(reading, _ASKED)


def _in_carton(code: str, scene: Scene) -> list[Standing]:
    return [each for each in scene.world.standing_at(code) if each.quantity > 0]


def _carton(code: str, scene: Scene) -> str:
    carton = scene.world.carton(code)
    if carton is None:
        what = scene.world.sscc_issued_for(code)
        if what == "pallet":
            raise Refused(
                "wrong-thing",
                f"SSCC {code} is a pallet label; count its cartons one by one.",
                subject=code,
                expected="a carton label",
                found="a pallet label",
            )
        raise Refused("unknown-code", f"Carton {code} has not been packed.", subject=code)
    if carton.status == "open":
        raise Refused(
            "carton-open",
            f"Carton {code} is still open at its line; count it when it is closed.",
            subject=code,
        )
    standing = _in_carton(code, scene)
    pieces = [each.piece for each in standing]
    if len(set(pieces)) < len(pieces):
        lots = ", ".join(each.lot for each in standing)
        raise Refused(
            "mixed-carton",
            f"Carton {code} holds discs of several lots ({lots}); a count cannot say which lot is short. "
            "Open it and ask quality to compare disc by disc.",
            subject=code,
            expected="one lot of each disc",
            found=lots,
        )
    if not standing:
        raise Refused("carton-empty", f"Carton {code} is empty by the records.", subject=code)
    return code


def _quantity(reading: Reading, _values: Values, _scene: Scene) -> int:
    return number(reading, "how many there are")


def _count(values: Values, scene: Scene) -> Done:
    thing, found = values["thing"], values["quantity"]
    place, standing = _standing(thing, scene)
    lots = tuple(Counted(each.lot, found, each.quantity) for each in standing)
    name, unit = _named(thing)
    wanted = ", ".join(str(expected) for expected in sorted({each.expected for each in lots}))
    finding = None
    if all(each.quantity == each.expected for each in lots):
        sentence = f"{name} holds {counted(found, unit)}, as the records say."
    else:
        less = lots[0].expected - found
        off = f"{abs(less)} {'missing' if less > 0 else 'too many'}"
        sentence = (
            f"{name} holds {counted(found, unit)}; the records say {wanted}: {off}. Count again; if it stays so, "
            "tell quality."
        )
        finding = DIFFERS
    return Done((Act(StockCounted(place, lots, sentence)),), sentence, finding=finding)


def _standing(thing: str, scene: Scene) -> tuple[str, list[Standing]]:
    if thing.startswith(CodeKind.LOT.value):
        at_press = [each for each in scene.world.standing_at(COUNTER) if each.lot == thing]
        lot = scene.world.lot(thing)
        assert lot is not None
        return COUNTER, at_press or [Standing(thing, lot.part.piece, 0)]
    if thing.startswith(CodeKind.SPINDLE.value):
        return thing, list(scene.world.standing_at(thing))
    return thing, _in_carton(thing, scene)


def _named(thing: str) -> tuple[str, str]:
    if thing.startswith(CodeKind.LOT.value):
        return f"The press counter of lot {thing}", "disc"
    if thing.startswith(CodeKind.SPINDLE.value):
        return f"Spindle {thing}", "disc"
    return f"Carton {thing}", "unit"


def count_form(role: str) -> Form:
    """Return the act COUNT for stations of a work area."""
    slots = (
        Slot("thing", "Scan what you counted: spindle, carton, or the lot card at the press.", _thing),
        Slot("quantity", "Key how many there are, such as #40.", _quantity),
    )
    return Form("COUNT", role, slots, _count)

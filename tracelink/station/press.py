"""The press room: set a lot up with its A/B pair, start, stack, scrap, change mid-run, stop.

A press has no code reader for discs: matrix numbers are read by eye and keyed, the counter is keyed.
"""

from dataclasses import replace

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import PlantRead, Reading
from tracelink.ledger.kinds.base import COUNTER, SCRAP, SET_UP, Moved
from tracelink.ledger.kinds.press import (
    DiscsScrapped,
    Mounted,
    PressSetUp,
    PressStarted,
    PressStopped,
    RunChanged,
    StackTaken,
    TrialThrown,
)
from tracelink.ledger.kinds.press import (
    Reading as CounterReading,
)
from tracelink.station.counting import count_form
from tracelink.station.facts import Lot, Material, PartFact
from tracelink.station.forms import (
    Bench,
    Done,
    Form,
    Scene,
    Slot,
    Values,
    keyed_text,
    misplaced,
    number,
    plant_code,
)
from tracelink.station.outcome import Act, Refused, counted
from tracelink.station.toolroom import read_matrix, usable_tool

MOST_OVER_PLAN = 2
"""How many times the planned quantity a counter may reach: overs are some percent (common practice), so what is
beyond this is a slip of the finger, and a counter that was booked too high could not be taken back."""


def lot_here(scene: Scene) -> Lot:
    """Return the lot on this press, or refuse: there is none."""
    lot = scene.world.lot_on(scene.station)
    if lot is None:
        raise Refused("no-lot", "No lot is set up on this press. Scan SETUP first.", subject=scene.station)
    return lot


def counter_reading(lot: Lot, counter: int) -> CounterReading:
    """Return what a counter value means for the lot; a counter neither runs backwards nor leaps far over the plan."""
    assert lot.segment is not None
    if counter < lot.counter:
        raise Refused(
            "counter-backwards",
            f"The counter of {lot.code} stood at {lot.counter}; {counter} is less. Read it again.",
            subject=lot.code,
            expected=f"{lot.counter} or more",
            found=str(counter),
        )
    if counter > MOST_OVER_PLAN * lot.planned:
        raise Refused(
            "counter-too-high",
            f"{counter} is far beyond the {lot.planned} discs planned for {lot.code}. Read it again; if the lot is "
            "to be that long, plan it as several.",
            subject=lot.code,
            expected=f"up to {MOST_OVER_PLAN * lot.planned}",
            found=str(counter),
        )
    return CounterReading(lot.code, lot.segment, lot.counter, counter)


def _planned_lot(reading: Reading, _values: Values, scene: Scene) -> str:
    code = plant_code(CodeKind.LOT, reading, "a lot card")
    lot = scene.world.lot(code)
    if lot is None:
        raise Refused("unknown-code", f"Lot card {code} is not known to the ledger.", subject=code)
    if lot.status != "planned":
        raise Refused("lot-used", f"Lot {code} is {lot.status}; set up a planned lot.", subject=code)
    _refuse_held(code, f"Lot {code}", scene)
    return code


def _press_free(scene: Scene) -> None:
    here = scene.world.lot_on(scene.station)
    if here is not None:
        raise Refused(
            "press-busy",
            f"Lot {here.code} is still on this press. Scan STOP first.",
            subject=scene.station,
            found=here.code,
        )


def _refuse_held(code: str, name: str, scene: Scene) -> None:
    notice = scene.world.hold_on(code)
    if notice is not None:
        raise Refused(
            "on-hold", f"{name} is on hold {notice.hold}: {notice.reason}. Put it aside.", subject=code
        )


def _stamper_for(side: str, part: PartFact, code: str, scene: Scene) -> str:
    """Refuse a stamper that does not belong on this side of this disc, each fault by its own name."""
    tool = usable_tool(code, scene)
    if tool.what != "stamper":
        raise Refused(
            "not-a-stamper",
            f"{code} is a {tool.what}; a stamper belongs on the press.",
            subject=code,
            found=tool.what,
        )
    busy = scene.world.tool_mounted_on(code)
    if busy is not None and busy != scene.station:
        raise Refused(
            "stamper-elsewhere", f"Stamper {code} is mounted on press {busy}.", subject=code, found=busy
        )
    wanted, other = (part.matrix_a, part.matrix_b) if side == "A" else (part.matrix_b, part.matrix_a)
    if tool.matrix == wanted:
        return code
    if tool.matrix == other:
        sentence = (
            f"Stamper {code} is side {tool.side} of {part.name} ({tool.matrix}); side {side} is asked for "
            f"({wanted}). The pair is swapped: scan the side {side} stamper."
        )
        raise Refused("pair-swapped", sentence, subject=code, expected=wanted, found=tool.matrix)
    sentence = (
        f"Stamper {code} is cut {tool.matrix}; side {side} of {part.name} is {wanted}. They do not belong "
        f"together: put {code} back and fetch the right stamper."
    )
    raise Refused("wrong-stamper", sentence, subject=code, expected=wanted, found=tool.matrix)


def _set_up_part(values: Values, scene: Scene) -> PartFact:
    lot = scene.world.lot(values["lot"])
    assert lot is not None
    return lot.part


def _stamper_slot(side: str) -> Slot:
    def accept(reading: Reading, values: Values, scene: Scene) -> str:
        code = plant_code(CodeKind.TOOL, reading, f"the side {side} stamper")
        return _stamper_for(side, _set_up_part(values, scene), code, scene)

    return Slot(f"stamper_{side.lower()}", f"Scan the side {side} stamper.", accept)


def _material(code: str, scene: Scene) -> Material:
    found = scene.world.material(code)
    if found is None:
        raise Refused("unknown-code", f"Material {code} is not known to the ledger.", subject=code)
    _refuse_held(code, f"Material {code}", scene)
    return found


def _compound(reading: Reading, _values: Values, scene: Scene) -> str:
    return _material(plant_code(CodeKind.COMPOUND, reading, "a compound lot"), scene).code


def _label_for(side: str, part: PartFact, code: str, scene: Scene) -> str:
    label = _material(code, scene)
    if (label.gtin, label.piece, label.side) != (part.gtin, part.piece, side):
        found = f"side {label.side} of disc {label.piece} of {label.gtin}"
        sentence = f"Labels {code} are for {found}; side {side} of {part.name} ({part.gtin}) is being set up."
        raise Refused(
            "wrong-label", sentence, subject=code, expected=f"side {side} of {part.name}", found=found
        )
    return code


def _label_slot(side: str) -> Slot:
    def accept(reading: Reading, values: Values, scene: Scene) -> str:
        code = plant_code(CodeKind.LABEL_LOT, reading, f"the side {side} label lot")
        return _label_for(side, _set_up_part(values, scene), code, scene)

    return Slot(f"label_{side.lower()}", f"Scan the side {side} label lot.", accept)


def _life(code: str, scene: Scene) -> int:
    tool = scene.world.tool(code)
    assert tool is not None
    return tool.life


def _set_up(values: Values, scene: Scene) -> Done:
    a, b = values["stamper_a"], values["stamper_b"]
    mounted = Mounted(
        scene.station,
        a,
        b,
        _life(a, scene),
        _life(b, scene),
        values["compound"],
        values["label_a"],
        values["label_b"],
    )
    name = _set_up_part(values, scene).name
    sentence = f"Lot {values['lot']}, {name}, is set up with {a} and {b}. Press a first disc and scan START."
    return Done((Act(PressSetUp(values["lot"], mounted)),), sentence)


def _first_disc(side: str) -> Slot:
    def accept(reading: Reading, _values: Values, scene: Scene) -> str:
        part = lot_here(scene).part
        wanted = part.matrix_a if side == "A" else part.matrix_b
        read = read_matrix(keyed_text(reading, f"the matrix number of side {side}"), scene)
        if read == wanted:
            return read
        alike = scene.world.matrix_grammar().likely(read, [wanted])
        hint = " They differ only by signs that look alike: read it again." if alike else ""
        sentence = f"The first disc reads {read} on side {side}; {part.name} is {wanted}.{hint} Do not run."
        raise Refused("wrong-matrix", sentence, subject=read, expected=wanted, found=read)

    return Slot(f"read_{side.lower()}", f"Key the matrix number on side {side} of the first disc.", accept)


def _start(values: Values, scene: Scene) -> Done:
    lot = lot_here(scene)
    body = PressStarted(lot.code, values["read_a"], values["read_b"])
    return Done((Act(body),), f"Lot {lot.code} runs.")


def _require_running(scene: Scene) -> Lot:
    lot = lot_here(scene)
    if lot.status != "running":
        raise Refused("not-started", f"Lot {lot.code} is not started. Scan START first.", subject=lot.code)
    return lot


def _new_card(reading: Reading, _values: Values, scene: Scene) -> str:
    code = plant_code(CodeKind.SPINDLE, reading, "a new spindle card")
    _require_running(scene)
    if scene.world.spindle(code) is not None:
        raise Refused("card-in-use", f"Spindle card {code} is in use already. Take a new card.", subject=code)
    return code


def _counter(reading: Reading, _values: Values, scene: Scene) -> int:
    value = number(reading, "the press counter")
    counter_reading(_require_running(scene), value)
    return value


def _stack(values: Values, scene: Scene) -> Done:
    lot = _require_running(scene)
    read = counter_reading(lot, values["counter"])
    moves = tuple(
        Moved(lot.code, last - first + 1, COUNTER, values["spindle"], first, last)
        for first, last in unmoved(scene, lot.code, read.counter)
    )
    if not moves:
        raise Refused(
            "nothing-to-stack",
            f"No disc has been counted since the last stack of {lot.code}. Read the counter again.",
            subject=lot.code,
            expected=f"more than {lot.counter}",
            found=str(read.counter),
        )
    count = sum(move.quantity for move in moves)
    body = StackTaken(values["spindle"], read, moves)
    sentence = f"{counted(count, 'disc')} on spindle {body.spindle}."
    held = _held_here(lot, scene)
    # Booked all the same: the discs are there. But nobody goes on pressing as if nothing were.
    return Done((Act(body),), sentence + held, f"counter {read.counter}", "on-hold" if held else None)


def _held_here(lot: Lot, scene: Scene) -> str:
    """What of the running lot is on hold, as a sentence to add; empty if nothing is."""
    assert lot.mounted is not None
    notice = scene.world.hold_on(lot.code, scene.station, *_mounted_codes(lot.mounted))
    if notice is None:
        return ""
    return f" But {notice.subject} is on hold {notice.hold}: {notice.reason}. Stop the press; put the spindle aside."


def _trial(values: Values, scene: Scene) -> Done:
    lot = _require_running(scene)
    read = counter_reading(lot, values["counter"])
    moves = tuple(
        Moved(lot.code, last - first + 1, COUNTER, SET_UP, first, last)
        for first, last in unmoved(scene, lot.code, read.counter)
    )
    if not moves:
        raise Refused(
            "nothing-to-throw",
            f"Every disc of {lot.code} up to {read.counter} has left the press already. Read the counter again.",
            subject=lot.code,
            expected=f"more than {lot.counter}",
            found=str(read.counter),
        )
    count = sum(move.quantity for move in moves)
    strokes = ", ".join(f"{move.first} to {move.last}" for move in moves)
    sentence = f"{counted(count, 'trial disc')} thrown out, strokes {strokes}."
    return Done((Act(TrialThrown(read, moves)),), sentence, f"counter {read.counter}")


def unmoved(scene: Scene, lot: str, counter: int) -> list[tuple[int, int]]:
    """Return the stroke ranges 1 ... `counter` that have not left the press counter yet."""
    free: list[tuple[int, int]] = []
    start = 1
    for first, last in scene.world.strokes_moved(lot, 1, counter):
        if first > start:
            free.append((start, first - 1))
        start = last + 1
    if start <= counter:
        free.append((start, counter))
    return free


def _scrap_count(reading: Reading, _values: Values, scene: Scene) -> int:
    count = number(reading, "how many discs were thrown out")
    lot = _require_running(scene)
    if lot.last_spindle is None:
        raise Refused("no-spindle", "No stack has been taken yet; throw out of a stack.", subject=lot.code)
    spindle = scene.world.spindle(lot.last_spindle)
    assert spindle is not None
    if not 1 <= count <= spindle.remaining:
        raise Refused(
            "wrong-count",
            f"Spindle {spindle.code} holds {counted(spindle.remaining, 'disc')}; {count} cannot be thrown out of it.",
            subject=spindle.code,
            expected=f"1 to {spindle.remaining}",
            found=str(count),
        )
    return count


def _scrap(values: Values, scene: Scene) -> Done:
    lot = _require_running(scene)
    assert lot.last_spindle is not None
    moved = Moved(lot.code, values["count"], lot.last_spindle, SCRAP, None, None)
    return Done(
        (Act(DiscsScrapped(moved)),),
        f"{counted(moved.quantity, 'disc')} thrown out of spindle {lot.last_spindle}.",
    )


def _component(reading: Reading, _values: Values, scene: Scene) -> str:
    """A stamper for either side, a compound lot or a label lot that fits the running lot."""
    lot = _require_running(scene)
    part = lot.part
    code = reading.code if isinstance(reading, PlantRead) else None
    if code is not None and lot.mounted is not None and code.text in _mounted_codes(lot.mounted):
        raise Refused("already-mounted", f"{code.text} is mounted here already.", subject=code.text)
    if code is not None and code.kind is CodeKind.TOOL:
        tool = usable_tool(code.text, scene)
        return _stamper_for(tool.side, part, code.text, scene)
    if code is not None and code.kind is CodeKind.COMPOUND:
        return _material(code.text, scene).code
    if code is not None and code.kind is CodeKind.LABEL_LOT:
        label = _material(code.text, scene)
        return _label_for(label.side or "A", part, code.text, scene)
    raise misplaced(reading, "the new stamper, compound lot or label lot")


def _mounted_codes(mounted: Mounted) -> tuple[str, ...]:
    return (mounted.stamper_a, mounted.stamper_b, mounted.compound, mounted.label_a, mounted.label_b)


def _change(values: Values, scene: Scene) -> Done:
    lot = _require_running(scene)
    assert lot.mounted is not None
    read = counter_reading(lot, values["counter"])
    code = values["component"]
    # Strokes since the last reading belong to the stampers that made them.
    made = read.counter - lot.counter
    now = replace(lot.mounted, life_a=_life(lot.mounted.stamper_a, scene) + made)
    now = replace(now, life_b=_life(now.stamper_b, scene) + made)
    if code.startswith(CodeKind.TOOL.value):
        tool = usable_tool(code, scene)
        now = (
            replace(now, stamper_a=code, life_a=tool.life)
            if tool.side == "A"
            else replace(now, stamper_b=code, life_b=tool.life)
        )
    elif code.startswith(CodeKind.COMPOUND.value):
        now = replace(now, compound=code)
    else:
        label = _material(code, scene)
        now = replace(now, label_a=code) if label.side == "A" else replace(now, label_b=code)
    return Done(
        (Act(RunChanged(read, now)),), f"From stroke {read.counter + 1} lot {lot.code} runs with {code}."
    )


def _last_counter(reading: Reading, _values: Values, scene: Scene) -> int:
    value = number(reading, "the press counter")
    counter_reading(lot_here(scene), value)
    return value


def _stop(values: Values, scene: Scene) -> Done:
    """End the run; a lot that was set up and never started may be taken off the press too."""
    lot = lot_here(scene)
    read = counter_reading(lot, values["counter"])
    sentence = f"Lot {lot.code} is pressed: {counted(read.counter, 'disc')} counted."
    left = sum(last - first + 1 for first, last in unmoved(scene, lot.code, read.counter))
    if left:
        sentence += f" On no spindle, and so unaccounted: {counted(left, 'disc')}."
    return Done((Act(PressStopped(read)),), sentence)


_KEY_COUNTER = "Key the press counter, such as #412."
_COUNTER_SLOT = Slot("counter", _KEY_COUNTER, _counter)

FORMS = (
    Form(
        "SETUP",
        "press",
        (
            Slot("lot", "Scan the lot card.", _planned_lot),
            _stamper_slot("A"),
            _stamper_slot("B"),
            Slot("compound", "Scan the compound lot.", _compound),
            _label_slot("A"),
            _label_slot("B"),
        ),
        _set_up,
        _press_free,
    ),
    Form("START", "press", (_first_disc("A"), _first_disc("B")), _start, lot_here),
    Form(
        "STACK",
        "press",
        (Slot("spindle", "Scan a new spindle card.", _new_card), _COUNTER_SLOT),
        _stack,
        _require_running,
    ),
    Form("TRIAL", "press", (_COUNTER_SLOT,), _trial, _require_running),
    Form(
        "SCRAP",
        "press",
        (Slot("count", "Key how many were thrown out.", _scrap_count),),
        _scrap,
        _require_running,
    ),
    Form(
        "CHANGE",
        "press",
        (Slot("component", "Scan the new stamper, compound lot or label lot.", _component), _COUNTER_SLOT),
        _change,
        _require_running,
    ),
    Form("STOP", "press", (Slot("counter", _KEY_COUNTER, _last_counter),), _stop, lot_here),
    count_form("press"),
)


def _default(reading: Reading, _scene: Scene) -> Done:
    raise misplaced(reading, "an act card (SETUP, START, STACK, SCRAP, TRIAL, CHANGE, STOP, COUNT)")


BENCH = Bench({form.word: form for form in FORMS}, _default)

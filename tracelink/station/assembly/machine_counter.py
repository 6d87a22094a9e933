"""DROP and PLACED: what a placing machine threw away, and how many pieces it has done.

The counter of the machine says how many pieces are done; each took so many parts of each slot as the bill of material has.
They left the reels in their order, those on the tail of a reel before those of the reel joined to it. What was thrown away
in between left as well: which of these positions it was is not known.
"""

from collections.abc import Iterator, Sequence

from tracelink.identity.reading import Reading
from tracelink.ledger.kinds.assembly.placing_entries import PartsDropped, PartsPlaced, PartsTaken
from tracelink.station.assembly.build_orders import refuse_old_bill
from tracelink.station.assembly.incoming import some_pieces
from tracelink.station.assembly.known_parts import known_reel
from tracelink.station.assembly.machine import Machine, machine_of, needs_run
from tracelink.station.common.assembly.queries_assembly import BillLine, SlotLoad
from tracelink.station.common.forms import ActResult, Form, ScanContext, Slot, Values
from tracelink.station.common.outcome import Act
from tracelink.station.common.taken_reading import number
from tracelink.station.sentences.assembly import placing_sentences as say
from tracelink.station.sentences.assembly import slot_sentences


def _loaded_reel(reading: Reading, _values: Values, context: ScanContext) -> str:
    reel = known_reel(reading, context)
    if all(load.reel.code != reel.code for load in machine_of(context).loads):
        raise slot_sentences.not_in_the_machine(reel)
    return reel.code


def _dropped(reading: Reading, values: Values, context: ScanContext) -> int:
    quantity = some_pieces(reading, values, context)
    reel = context.queries.reel(values["reel"])
    assert reel is not None
    if quantity > reel.left:
        raise say.not_so_many_left(reel, quantity)
    return quantity


def _drop(values: Values, context: ScanContext) -> ActResult:
    reel = context.queries.reel(values["reel"])
    assert reel is not None
    body = PartsDropped(machine_of(context).build.code, reel.code, values["quantity"])
    return ActResult((Act(body),), say.dropped(reel, body.quantity))


DROP = Form(
    "DROP",
    "assembly",
    (
        Slot("reel", say.SCAN_THE_REEL_IT_CAME_OFF, _loaded_reel),
        Slot("quantity", say.KEY_HOW_MANY_DROPPED, _dropped),
    ),
    _drop,
    needs_run,
)
"""A machine threw parts away."""


def _counter(reading: Reading, _values: Values, context: ScanContext) -> int:
    machine, done = machine_of(context), number(reading, say.THE_COUNTER)
    if machine.run.stopped:
        raise say.machine_stopped(machine.run)
    refuse_old_bill(machine.build, context)
    if done <= machine.run.done:
        raise say.counter_back(machine.run, done)
    if done > machine.build.quantity:
        raise say.counter_beyond(machine.build, done)
    if done % machine.build.panel:
        raise say.no_whole_panel(machine.build, done)
    _all_taken(machine, done)
    return done


def _all_taken(machine: Machine, done: int) -> tuple[PartsTaken, ...]:
    found: list[PartsTaken] = []
    for line in machine.lines:
        loads = machine.in_slot(machine.slot_named(line))
        if not loads:
            raise slot_sentences.slot_not_loaded(line)
        pieces = done - machine.run.done
        left = sum(load.reel.left for load in loads)
        if pieces * line.quantity > left:
            raise slot_sentences.reel_short(line, pieces * line.quantity, left, pieces)
        found += taken(line, loads, machine.run.done + 1, done)
    return tuple(found)


def taken(line: BillLine, loads: Sequence[SlotLoad], first: int, last: int) -> Iterator[PartsTaken]:
    """Yield what pieces took of each reel of a slot, which together have enough.

    Args:
        line: how many parts each piece takes.
        loads: the reels, in the order in which they are used up.
        first: first piece.
        last: last piece.
    """
    wanted, had = (last - first + 1) * line.quantity, 0
    for load in loads:
        reel = load.reel
        quantity = min(wanted - had, reel.left)
        if not quantity and not reel.dropping:
            continue
        from_piece, lead = first + had // line.quantity, had % line.quantity
        to_piece = max(from_piece, first + (had + quantity - 1) // line.quantity)
        begins, ends = reel.used + 1, reel.used + quantity + reel.dropping
        yield PartsTaken(
            reel.code,
            quantity,
            reel.dropping,
            begins if reel.in_order else None,
            ends if reel.in_order else None,
            min(from_piece, last),
            to_piece if quantity else min(from_piece, last),
            line.quantity,
            lead,
        )
        had += quantity


def _place(values: Values, context: ScanContext) -> ActResult:
    machine, done = machine_of(context), values["counter"]
    items = _all_taken(machine, done)
    first = machine.run.done + 1
    body = PartsPlaced(machine.run.seq, machine.build.code, first, done, items)
    return ActResult((Act(body),), say.placed(machine.build, first, done, _shortest(machine, done)))


def _shortest(machine: Machine, done: int) -> tuple[str, int] | None:
    """The slot that runs out first, and for how many pieces it lasts, if the order is longer than that."""
    pieces = done - machine.run.done
    lasts = [
        (
            sum(load.reel.left for load in machine.in_slot(machine.slot_named(line))) // line.quantity
            - pieces,
            line.slot or "",
        )
        for line in machine.lines
    ]
    least, slot = min(lasts)
    return (slot, least) if least < machine.build.quantity - done else None


PLACED = Form("PLACED", "assembly", (Slot("counter", say.KEY_THE_COUNTER, _counter),), _place, needs_run)
"""So many pieces are done."""

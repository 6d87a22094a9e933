"""The assembly hall: part lots and reels, placing machines, units and their tests.

A placing machine is a station: it is set up for a build order, its reels are loaded into slots by two scans each, and its
counter says how many pieces it has done. All other acts may be done at any station of the hall.
"""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import PlantRead, Reading
from tracelink.station.assembly import (
    incoming,
    joining,
    machine,
    machine_counter,
    packing,
    reels,
    rework,
    slot_check,
    testing,
)
from tracelink.station.assembly.build_orders import BUILD
from tracelink.station.common.forms import ActResult, ScanContext, StationActs
from tracelink.station.sentences.assembly import (
    part_sentences,
    placing_sentences,
    slot_sentences,
    unit_sentences,
)
from tracelink.station.sentences.common_sentences import misplaced, unknown
from tracelink.station.sentences.thing_names import Thing

FORMS = (
    incoming.RECEIVE,
    incoming.TESTLOT,
    reels.TAPE,
    reels.FILL,
    reels.LEFT,
    BUILD,
    machine.SETUP,
    slot_check.LOAD,
    slot_check.SPLICE,
    slot_check.CHECK,
    machine_counter.DROP,
    machine_counter.PLACED,
    machine.UNLOAD,
    machine.ENDRUN,
    joining.JOIN,
    testing.PASS,
    testing.FAIL,
    rework.OUT,
    packing.PACK,
)


def _part_lot(code: str, context: ScanContext) -> str:
    lot = context.queries.part_lot(code)
    return part_sentences.label_new(code) if lot is None else part_sentences.about_part_lot(lot)


def _reel(code: str, context: ScanContext) -> str:
    reel = context.queries.reel(code)
    return part_sentences.label_new(code) if reel is None else part_sentences.about_reel(reel)


def _build(code: str, context: ScanContext) -> str:
    build = context.queries.build(code)
    return part_sentences.label_new(code) if build is None else placing_sentences.about_build(build)


def _slot(code: str, context: ScanContext) -> str:
    slot = context.queries.slot(code)
    if slot is None:
        raise unknown(Thing.SLOT, code)
    run = context.queries.run_at(slot.station)
    loads = () if run is None else context.queries.loads_in(run.seq)
    return slot_sentences.about_slot(slot, [load.reel for load in loads if load.slot == code])


def _piece(code: str, context: ScanContext) -> str:
    piece = context.queries.built_piece(code)
    if piece is None:
        raise unit_sentences.no_such_piece(code)
    return unit_sentences.about_piece(piece, context.queries.in_piece(piece))


_ABOUT = {
    CodeKind.PART_LOT: _part_lot,
    CodeKind.REEL: _reel,
    CodeKind.BUILD: _build,
    CodeKind.SLOT: _slot,
    CodeKind.PIECE: _piece,
}


def _default(reading: Reading, context: ScanContext) -> ActResult:
    about = _ABOUT.get(reading.code.kind) if isinstance(reading, PlantRead) else None
    if about is None or not isinstance(reading, PlantRead):
        raise misplaced(reading, unit_sentences.A_CARD_OF_THE_HALL)
    return ActResult((), about(reading.code.text, context))


ACTS = StationActs({form.word: form for form in FORMS}, _default)
"""What an assembly station does."""

"""Part lots and reels that an act names, or a refusal."""

from tracelink.identity.plantcode import CodeKind
from tracelink.identity.reading import Reading
from tracelink.station.common.assembly.queries_assembly import PartLot, Reel
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.refusals import refuse_held
from tracelink.station.common.taken_reading import plant_code
from tracelink.station.sentences.assembly import part_sentences as say
from tracelink.station.sentences.common_sentences import unknown
from tracelink.station.sentences.thing_names import Thing


def known_lot(reading: Reading, context: ScanContext) -> PartLot:
    """Return the part lot that was scanned."""
    code = plant_code(CodeKind.PART_LOT, reading, say.A_PART_LOT_CARD)
    lot = context.queries.part_lot(code)
    if lot is None:
        raise unknown(Thing.PART_LOT, code)
    return lot


def known_reel(reading: Reading, context: ScanContext) -> Reel:
    """Return the reel or tray that was scanned."""
    code = plant_code(CodeKind.REEL, reading, say.A_REEL_LABEL)
    reel = context.queries.reel(code)
    if reel is None:
        raise unknown(Thing.REEL, code)
    return reel


def refuse_held_reel(reel: Reel, context: ScanContext) -> None:
    """Refuse a reel that is on hold, or has parts of a lot that is."""
    refuse_held(context.queries.hold_on_reel(reel), Thing.REEL, reel.code)

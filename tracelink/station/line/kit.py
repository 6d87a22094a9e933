"""What a unit needs next, and the pieces of a kit that are no discs.

Pieces with a code are scanned in the order of the kit; what has no code is only prompted, when its turn comes.
Each variant of an item (an older print, another language) has a code of its own, so it is refused by name.
"""

from collections.abc import Sequence

from tracelink.identity.reading import PlantRead
from tracelink.ledger.closed_sets import PrintStatus
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.outcome import Decision, Spooled, UnitPart, Verdict, Word
from tracelink.station.common.queries_line import KitItem, KitPiece
from tracelink.station.line.sealing import fill_count, ready
from tracelink.station.line.state import Job, LineState, OpenSpindle
from tracelink.station.sentences import line_kit_sentences as say
from tracelink.station.sentences import line_sentences
from tracelink.station.sentences.common_sentences import unknown
from tracelink.station.sentences.thing_names import Thing


def scanned(gtin: str, context: ScanContext) -> Sequence[KitPiece]:
    """Return the pieces of a kit that are scanned, in order."""
    return [piece for piece in context.queries.kit(gtin) if piece.is_scanned]


def position(state: LineState) -> int:
    """Return how many scanned pieces are in the unit in hand."""
    return len(state.half) + state.items


def wanted(state: LineState, context: ScanContext) -> KitPiece:
    """Return what the unit in hand needs next."""
    assert state.job is not None
    return scanned(state.job.gtin, context)[position(state)]


def is_used_up(opened: OpenSpindle, context: ScanContext) -> bool:
    """Say whether the records show an open spindle as empty: its next disc would be refused."""
    spindle = context.queries.spindle(opened.spindle)
    return spindle is not None and spindle.remaining < 1


def is_last(state: LineState, context: ScanContext) -> bool:
    """Say whether the piece that comes next finishes the unit."""
    assert state.job is not None
    return position(state) + 1 == len(scanned(state.job.gtin, context))


def matched(state: LineState, job: Job, spooled: Spooled, context: ScanContext) -> Decision:
    """Return the match of one more piece: what to add without a scan, and what comes next."""
    finished = bool(spooled.fact["unit"])
    sentences = [say.add(name) for name in _prompts(job.gtin, position(state), context)]
    if not finished:
        sentences.append(say.comes_next(scanned(job.gtin, context)[position(state) + 1].called))
    elif state.units_in_carton + 1 >= job.carton_size:
        sentences.append(say.CARTON_IS_FULL)
    units, due = state.without_check + 1, context.queries.setting("check_units")
    if finished and 0 < due <= units:
        sentences.append(line_sentences.check_is_due(units))
    count = fill_count(state, job, 1 if finished else 0)
    part = None if finished else UnitPart(position(state) + 1, len(scanned(job.gtin, context)))
    return Decision(Verdict(Word.MATCH, " ".join(sentences), count, part=part), (), spooled)


def _prompts(gtin: str, done: int, context: ScanContext) -> list[str]:
    """What is added after scanned piece number `done` (from 0) and before the one after it."""
    names, seen = [], -1
    for piece in context.queries.kit(gtin):
        if piece.is_scanned:
            seen += 1
        elif seen == done:
            names.append(piece.name)
    return names


def item(state: LineState, reading: PlantRead, context: ScanContext) -> Decision:
    """Judge a kit item: it must be the piece that the unit in hand needs next."""
    job, carton = ready(state)
    found = known_item(reading, context)
    if state.pending is not None:
        raise say.item_comes_later(found.name, found.code)
    right_item(found, wanted(state, context), position(state), job.gtin, context)
    notice = context.queries.hold_on(found.code)
    if notice is not None:
        raise say.item_held(found.name, found.code, notice)
    finished = is_last(state, context)
    spooled = Spooled(
        {"item": found.code, "unit": finished, "number": state.number, "scans": 1},
        carton=carton,
        sleeve_number=state.number if finished else None,
    )
    if finished and state.number is not None:
        number_still_free(job.gtin, state.number, context)
    return matched(state, job, spooled, context)


def number_still_free(gtin: str, number: str, context: ScanContext) -> None:
    """Refuse a number that was finished elsewhere since its sleeve was begun, or keyed by mistake."""
    use = context.queries.number_use(gtin, number)
    if use is not None:
        raise say.number_finished_elsewhere(number, use.carton)


def known_item(reading: PlantRead, context: ScanContext) -> KitItem:
    """Return the item of a code, or refuse what the ledger does not know."""
    code = reading.code.text
    found = context.queries.kit_item(code)
    if found is None:
        raise unknown(Thing.KIT_ITEM, code)
    return found


def right_item(found: KitItem, wants: KitPiece, done: int, gtin: str, context: ScanContext) -> None:
    """Refuse an item that is not the one wanted, each wrong one by its own name.

    Args:
        found: what was scanned.
        wants: the piece that is wanted.
        done: scanned pieces before it.
        gtin: the product that is packed.
        context: the ledger.
    """
    if wants.item == found.code:
        return
    codes = [piece.item for piece in scanned(gtin, context)]
    if found.gtin != gtin:
        other = context.queries.product(found.gtin)
        assert other is not None
        raise say.item_of_other_title(found, other, wants)
    if found.status == PrintStatus.SUPERSEDED:
        raise say.item_superseded(found, wants)
    if found.code not in codes:
        raise say.item_not_in_kit(found, wants)
    if codes.index(found.code) < done:
        raise say.item_second_copy(found, wants)
    raise say.item_too_early(found, wants)

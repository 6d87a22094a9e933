"""What a unit needs next, and the pieces of a kit that are no discs.

Pieces with a code are scanned in the order of the kit; what has no code is only prompted, when its turn comes.
Each variant of an item (an older print, another language) has a code of its own, so it is refused by name.
"""

from collections.abc import Sequence

from tracelink.identity.reading import PlantRead
from tracelink.ledger.closed_sets import PrintStatus
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.outcome import Decision, PutAside, Refused, Spooled, Verdict, Word
from tracelink.station.common.queries import HoldNotice
from tracelink.station.common.queries_line import KitItem, KitPiece
from tracelink.station.common.refusals import hold_words
from tracelink.station.line.sealing import fill_count, ready
from tracelink.station.line.state import Job, LineState


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


def is_last(state: LineState, context: ScanContext) -> bool:
    """Say whether the piece that comes next finishes the unit."""
    assert state.job is not None
    return position(state) + 1 == len(scanned(state.job.gtin, context))


def matched(state: LineState, job: Job, spooled: Spooled, context: ScanContext) -> Decision:
    """Return the match of one more piece: what to add without a scan, and what comes next."""
    finished = bool(spooled.fact["unit"])
    sentences = [f"Add: {name}." for name in _prompts(job.gtin, position(state), context)]
    if not finished:
        sentences.append(f"Now {scanned(job.gtin, context)[position(state) + 1].called}.")
    elif state.units_in_carton + 1 >= job.carton_size:
        sentences.append("Carton is full: scan CLOSE, or the next carton label.")
    count = fill_count(state, job, 1 if finished else 0)
    return Decision(Verdict(Word.MATCH, " ".join(sentences), count), (), spooled)


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
        raise Refused(
            FindingCode.DISC_IN_HAND,
            f'A disc is waiting for its sleeve, and "{found.name}" comes later. Scan the sleeve, or STOP.',
            subject=found.code,
            expected="a sleeve",
        )
    right_item(found, wanted(state, context), position(state), job.gtin, context)
    notice = context.queries.hold_on(found.code)
    if notice is not None:
        raise _held(found, notice)
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
        raise Refused(
            FindingCode.DUPLICATE_NUMBER,
            f"Sleeve number {number} is in carton {use.carton} already. Put this unit aside for quality and scan "
            "STOP until it is taken apart.",
            subject=number,
            expected="a number not seen before",
            found=f"a second sleeve {number}",
        )


def _held(found: KitItem, notice: HoldNotice) -> Refused:
    return Refused(
        FindingCode.ON_HOLD,
        f'"{found.name}" {found.code} is {hold_words(notice, found.code)}. Put it aside and scan STOP.',
        subject=found.code,
    )


def known_item(reading: PlantRead, context: ScanContext) -> KitItem:
    """Return the item of a code, or refuse what the ledger does not know."""
    code = reading.code.text
    found = context.queries.kit_item(code)
    if found is None:
        raise Refused(FindingCode.UNKNOWN_CODE, f"Kit item {code} is not in the system.", subject=code)
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
        code, what = FindingCode.WRONG_TITLE, f'"{found.name}" of "{other.title}" {other.catalogue_number}'
    elif found.status == PrintStatus.SUPERSEDED:
        code, what = FindingCode.SUPERSEDED_ITEM, f'"{found.name}", an older print'
    elif found.code not in codes:
        code, what = FindingCode.WRONG_VARIANT, f'"{found.name}", which is not in this kit'
    elif codes.index(found.code) < done:
        code, what = FindingCode.SECOND_COPY, f'a second copy of "{found.name}"'
    else:
        code, what = FindingCode.WRONG_ITEM, f'"{found.name}"'
    raise Refused(
        code,
        f"You scanned {what}. The unit in hand needs {wants.called}.",
        subject=found.code,
        expected=wants.item or wants.called,
        found=found.code,
        aside=PutAside("it", wants.called),
    )

"""Cartons of which a count differs: nothing of them goes on before the count is cleared, and what it opened is closed.

Theory of operation
-------------------
A count by hand changes no kept count: a slip of the hand must not. So a carton whose last count differs is barred until
a count agrees, or another person counts the same. Then what both counted is its content (`CountConfirmed`). The
investigation that the count opened, or that was open then, bars the carton as long as it is open, whatever is counted
after: where the missing disc is may change what else is believed.
"""

from collections.abc import Iterable, Sequence

from tracelink.ledger.kinds.balance import CountConfirmed, Counted
from tracelink.station.common.forms import ScanContext
from tracelink.station.common.missing_units import missing_units
from tracelink.station.common.outcome import Refused
from tracelink.station.common.queries_balance import BalanceQueries, CartonCount
from tracelink.station.common.station_facts import Carton
from tracelink.station.sentences import counting_sentences as say


def refuse_doubtful(carton: str, context: ScanContext) -> None:
    """Refuse a carton of which a count differs, or whose investigation is open."""
    found = _doubt(carton, context.queries)
    if found is not None:
        raise found


def refuse_doubtful_in(parent: str, context: ScanContext) -> None:
    """Refuse a pallet, or the loose cartons of a shipment, for a carton of which a count differs."""
    for carton in context.queries.cartons_miscounted(parent):
        refuse_doubtful(carton, context)


def doubtful(code: str, queries: BalanceQueries) -> str | None:
    """Return the carton that bars a carton or a pallet from going on; None if none does."""
    cartons = (code, *queries.cartons_miscounted(code))
    return next((carton for carton in cartons if _doubt(carton, queries) is not None), None)


def _doubt(carton: str, queries: BalanceQueries) -> Refused | None:
    counts = queries.carton_counts(carton)
    if differing(counts):
        return say.not_confirmed(carton)
    for each in counts:
        if each.missing and each.investigation is not None:
            return say.carton_investigated(carton, each.investigation, each.lot)
    return None


def differing(counts: Iterable[CartonCount]) -> list[CartonCount]:
    """Return the last count of each lot, where any of them differs; empty if all agree."""
    last = list({each.lot: each for each in counts}.values())
    return last if any(each.missing for each in last) else []


def confirmed(carton: Carton, lots: Sequence[Counted], context: ScanContext) -> CountConfirmed | str:
    """Return what follows when a count repeats one of another person, or why nothing does, in words to add.

    Args:
        carton: closed, and now counted less than it holds by the records.
        lots: what was counted of each lot.
        context: the ledger, with who counts.
    """
    before = differing(context.queries.carton_counts(carton.sscc))
    people = {each.person for each in before if each.missing}
    if not before or any(map(context.person.is_badge_of, people)):
        return say.SECOND_PERSON_COUNTS
    missing = _units([(_piece(each.lot, context), each.expected - each.quantity) for each in lots])
    if missing != units_missing(before):
        return say.SECOND_PERSON_COUNTS
    by_lot = {each.lot: each.expected - each.quantity for each in lots if each.expected != each.quantity}
    lost, what = missing_units(carton, by_lot, context)
    if lost is None or missing is None:
        return say.content_stays(what)
    first = min(person for person in people if person is not None)
    return CountConfirmed(
        carton.sscc, carton.units, carton.units - missing, first, lost.moves, lost.batch, lost.items
    )


def units_missing(counts: Sequence[CartonCount]) -> int | None:
    """Return how many whole units are missing by the counts of a carton; None if that cannot be told."""
    return _units([(each.piece, each.missing) for each in _told(counts)])


def _told(counts: Sequence[CartonCount]) -> list[CartonCount]:
    """Return counts so that the missing discs of each piece are told once: lots counted together share theirs."""
    told: list[CartonCount] = []
    for each in counts:
        if not (each.together and any(one.piece == each.piece and one.seq == each.seq for one in told)):
            told.append(each)
    return told


def _units(missing: Sequence[tuple[int, int]]) -> int | None:
    """Return how many whole units are missing; None if none, or not as many of each disc, or some lot has too many."""
    sums: dict[int, int] = {}
    for piece, discs in missing:
        if discs < 0:
            return None
        sums[piece] = sums.get(piece, 0) + discs
    found = set(sums.values())
    return found.pop() if len(found) == 1 and 0 not in found else None


def _piece(lot: str, context: ScanContext) -> int:
    found = context.queries.lot(lot)
    assert found is not None
    return found.part.piece

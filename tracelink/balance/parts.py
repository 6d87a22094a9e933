"""The balance of a part lot, and of a reel or tray: issued against placed, joined, thrown away, taken out and left.

Every term is a recorded count, as in the balance of a lot of discs; what is left on a reel is the kept count until somebody
counts it: then the difference stays with its sign.
"""

from dataclasses import dataclass

from tracelink.balance.lot import COUNTED, KEPT, SCANNED, BalanceLine, LotBalance, Term


@dataclass(frozen=True, slots=True)
class ReelBooks:
    """What was recorded of the parts on a reel."""

    reel: str
    taped: tuple[tuple[str, int], ...]
    """(part lot, parts) that were put on it."""
    placed: int
    """Parts that machines placed."""
    joined: int
    """Parts that were joined by hand."""
    thrown_away: int
    used: int
    """Parts that left it, by the count that is kept."""
    taken_out: tuple[tuple[str, int], ...]
    """(where to, parts) that were taken out of pieces again."""
    in_pieces: int
    """Parts in pieces now, piece by piece of those with a label, and by the stretch of those without."""
    counts: tuple[tuple[int, int, int], ...]
    """(entry, parts shown, parts counted) of each count of what is left."""


@dataclass(frozen=True, slots=True)
class PartLotBooks:
    """What was recorded of a lot of parts."""

    part_lot: str
    received: int
    failed: int
    """Pieces scrapped in the incoming test."""
    taped: tuple[tuple[str, int], ...]
    """(reel, parts) that were put on it."""
    taken: int
    """Pieces on reels, by the count that is kept."""
    is_rejected: bool


def reel_balance(books: ReelBooks) -> LotBalance:
    """Return the balance of a reel: what it held, and what is in pieces."""
    held = sum(parts for _, parts in books.taped)
    shown = held - books.used
    last = books.counts[-1] if books.counts else None
    missing = 0 if last is None else last[1] - last[2]
    went = [
        Term("placed", books.placed, SCANNED),
        Term("joined by hand", books.joined, SCANNED),
        Term("thrown away", books.thrown_away, SCANNED),
        Term("left on it", shown - missing, KEPT if last is None else COUNTED),
    ]
    on_reel = BalanceLine(
        "on the reel",
        tuple(Term(f"of part lot {lot}", parts, SCANNED) for lot, parts in books.taped),
        tuple(term for term in went if term.quantity or term.basis == COUNTED),
        () if last is None or not missing else (last[0],),
    )
    out = [Term(f"taken out to {place}", parts, SCANNED) for place, parts in books.taken_out]
    in_pieces = BalanceLine(
        "in pieces",
        tuple(
            term
            for term in (
                Term("placed", books.placed, SCANNED),
                Term("joined by hand", books.joined, SCANNED),
            )
            if term.quantity
        ),
        (*out, Term("in pieces now", books.in_pieces, KEPT)),
        (),
    )
    return LotBalance(books.reel, (on_reel, in_pieces))


def part_lot_balance(books: PartLotBooks) -> LotBalance:
    """Return the balance of a part lot: what came in against what is on reels, failed and left."""
    left = books.received - books.failed - books.taken
    name = "rejected" if books.is_rejected else "on no reel"
    went = [
        Term("failed the incoming test", books.failed, SCANNED),
        *(Term(f"on {reel}", parts, SCANNED) for reel, parts in books.taped),
        Term(name, left, KEPT),
    ]
    line = BalanceLine(
        "part lot",
        (Term("received", books.received, SCANNED),),
        tuple(term for term in went if term.quantity),
        (),
    )
    return LotBalance(books.part_lot, (line,))

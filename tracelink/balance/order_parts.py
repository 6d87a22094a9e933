"""The balance of a build order: of each part what was issued to it against what is placed, thrown away, taken out and left.

A reel is issued as it was when the order first took parts off it, and what it gave to other orders afterwards is a term of its
own. Every term is a recorded count; a difference stays, with its sign.
"""

from __future__ import annotations

from dataclasses import dataclass

from tracelink.balance.lot import COUNTED, KEPT, SCANNED, BalanceLine, LotBalance, Term


@dataclass(frozen=True, slots=True)
class IssuedReel:
    """What a build order took off one reel or tray."""

    reel: str
    issued: int
    """Parts that were on it when the order first took some."""
    in_pieces: int
    """Parts in pieces of the order now."""
    thrown_away: int
    elsewhere: int
    """Parts that other orders took after that."""
    taken_out: tuple[tuple[str, int], ...]
    """(where to, parts) that were taken out of pieces of the order again."""
    count: tuple[int, int] | None
    """(entry, parts missing) of the last count of what is left; None if nobody counted."""
    left: int
    """Parts left on it: as counted, or by the count that is kept."""


@dataclass(frozen=True, slots=True)
class JoinedKind:
    """Built pieces of one kind that were joined into pieces of the order."""

    part: str
    joined: int
    inside: int
    """Those that are still in one."""
    taken_out: tuple[tuple[str, int], ...]
    """(where to, pieces)."""


@dataclass(frozen=True, slots=True)
class OrderBooks:
    """What was recorded of a build order."""

    build: str
    ordered: int
    built: int
    """Pieces that a machine counted, or that are handled by their own labels."""
    reels: tuple[tuple[str, IssuedReel], ...]
    """(part and revision, reel), by part."""
    joined: tuple[JoinedKind, ...]


def order_balance(books: OrderBooks) -> LotBalance:
    """Return the balance of a build order: its pieces, then each part, then what was joined."""
    pieces = BalanceLine(
        "pieces",
        (Term("ordered", books.ordered, SCANNED),),
        (Term("built", books.built, SCANNED), Term("not built yet", books.ordered - books.built, KEPT)),
        (),
    )
    of_parts: dict[str, list[IssuedReel]] = {}
    for part, reel in books.reels:
        of_parts.setdefault(part, []).append(reel)
    lines = [_of_part(part, reels) for part, reels in of_parts.items()]
    return LotBalance(books.build, (pieces, *lines, *(_joined(kind) for kind in books.joined)))


def _of_part(part: str, reels: list[IssuedReel]) -> BalanceLine:
    out: dict[str, int] = {}
    for reel in reels:
        for place, parts in reel.taken_out:
            out[place] = out.get(place, 0) + parts
    went = [
        Term("in pieces now", sum(reel.in_pieces for reel in reels), KEPT),
        *(Term(f"taken out to {place}", parts, SCANNED) for place, parts in sorted(out.items())),
        Term("thrown away", sum(reel.thrown_away for reel in reels), SCANNED),
        Term("taken by other orders", sum(reel.elsewhere for reel in reels), SCANNED),
        *(Term(f"left on {reel.reel}", reel.left, KEPT if reel.count is None else COUNTED) for reel in reels),
    ]
    return BalanceLine(
        part,
        tuple(Term(f"issued on {reel.reel}", reel.issued, SCANNED) for reel in reels),
        tuple(term for term in went if term.quantity or term.basis == COUNTED),
        tuple(reel.count[0] for reel in reels if reel.count is not None and reel.count[1]),
    )


def _joined(kind: JoinedKind) -> BalanceLine:
    out = tuple(Term(f"taken out to {place}", pieces, SCANNED) for place, pieces in kind.taken_out)
    return BalanceLine(
        f"{kind.part}: joined",
        (Term("joined", kind.joined, SCANNED),),
        (*out, Term("in units now", kind.inside, KEPT)),
        (),
    )

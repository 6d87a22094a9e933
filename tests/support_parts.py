"""Random small assembly halls, and a view of them part by part.

A hall has reels and trays made of part lots; stretches of boards took parts of them, counted or not, with some thrown away;
boards are labelled, joined into units, and units packed. `ways` follows every single part through every way it may have gone.
"""

import itertools
from dataclasses import dataclass, field

from support_genealogy import AT
from support_memory import MemoryRecords

from tracelink.genealogy.model.facts import ContainerFact, LotFact, NestFact
from tracelink.genealogy.model.part_facts import (
    BUILD,
    REEL,
    PartLotFact,
    PartMoveFact,
    ReelItemFact,
    SinglePiece,
)
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.parts.piece_places import place_of_pieces

ORDER = "N1"
LOTS = ("M1", "M2", "M3")


@dataclass
class Hall:
    """What was recorded, and what is needed to try every way."""

    boards: int
    records: MemoryRecords
    holds: dict[str, int] = field(default_factory=dict)
    """Reel -> parts on it."""
    takes: dict[str, list[tuple[int, list[int], int | None, int]]] = field(default_factory=dict)
    """Reel -> (first board, parts of each board, first position or None, thrown away) of each stretch, in order."""

    def lot_of(self, reel, position):
        """The part lot of a position; of a tray in the order in which it was filled."""
        return next(
            one.part_lot
            for one in self.records.items_on_reels
            if one.reel == reel and one.first <= position <= one.last
        )


def hall(rng, boards=4):
    """Reels are filled, boards take stretches of them, are labelled, joined and packed, in any order."""
    made = Hall(boards, MemoryRecords())
    records = made.records
    records.part_lots = [PartLotFact(lot, "EX-1", "1", "SL", "31", 99, "accepted") for lot in LOTS]
    for number in range(1, rng.randint(2, 3) + 1):
        _fill(rng, made, f"F{number}")
    seq = 10
    board = dict.fromkeys(made.holds, 0)
    labelled = []
    for _ in range(rng.randint(4, 9)):
        seq += 10
        reel = rng.choice(list(made.holds))
        if rng.random() < 0.55 and board[reel] < boards:
            board[reel] = _take(rng, made, reel, board[reel], seq)
        else:
            number = rng.randint(1, boards)
            if number not in labelled:
                labelled.append(number)
                _label(rng, made, number, seq)
    records.lots.append(LotFact(ORDER, "", 1, "EX-2, board", "", boards, "", kind=BUILD))
    records.journal_head = (seq + 10, "")
    _describe(records)
    return made


def _fill(rng, made, reel):
    position = 0
    for _ in range(rng.randint(1, 3)):
        quantity = rng.randint(1, 3)
        lot = rng.choice(LOTS)
        made.records.items_on_reels.append(ReelItemFact(reel, position + 1, position + quantity, lot))
        position += quantity
    made.holds[reel] = position
    made.takes[reel] = []
    made.records.lots.append(LotFact(reel, "", 1, "EX-1, part", "", position, "", kind=REEL))


def _take(rng, made, reel, done, seq):
    """The next boards take one or two parts each; a tray never says which, a reel does unless nobody counted."""
    left = made.holds[reel] - sum(sum(shares) + thrown for _, shares, _, thrown in made.takes[reel])
    each = rng.randint(1, 2)
    # What the first board had from the reel before, which this one was joined to.
    lead = rng.randint(0, each - 1)
    boards = min(rng.randint(1, made.boards - done), (left + lead) // each)
    if not boards:
        return done
    shares = [each - lead, *(each for _ in range(boards - 1))]
    parts = sum(shares)
    thrown = rng.randint(0, min(1, left - parts))
    # Reel 1 is counted, tray 2 is not; the third is as it comes.
    counts = reel == "F1"
    used = made.holds[reel] - left
    first = used + 1 if counts else None
    last = used + parts + thrown if counts else None
    target = place_of_pieces(ORDER, done + 1, done + boards)
    common = {"reel": reel, "source": DiscPlace.COUNTER.value, "first": first, "last": last, "at": AT}
    made.records.part_moves.append(
        PartMoveFact(
            seq=seq,
            line=0,
            quantity=parts,
            target=target,
            build=ORDER,
            from_piece=done + 1,
            to_piece=done + boards,
            per_piece=each,
            lead=lead,
            **common,
        )
    )
    if thrown:
        nothing = dict.fromkeys(("build", "from_piece", "to_piece", "per_piece", "lead"))
        made.records.part_moves.append(
            PartMoveFact(seq=seq, line=1, quantity=thrown, target=DiscPlace.SCRAP.value, **common, **nothing)
        )
    made.takes[reel].append((done + 1, shares, first, thrown))
    return done + boards


def _label(rng, made, number, seq):
    """A board gets into a unit, some of which are packed."""
    made.records.pieces.append(SinglePiece(f"U{number}", ORDER, number, seq))
    unit = f"U9{rng.randint(1, 2)}"
    made.records.nests.append(NestFact(f"U{number}", unit, seq, None))
    if rng.random() < 0.5 and not made.records.parents_of(unit):
        made.records.nests.append(NestFact(unit, "952", seq + 1, None))


def _describe(records):
    places = {move.target for reel in ("F1", "F2", "F3") for move in records.movements_of(reel)}
    places |= {f"U{number}" for number in (*range(1, 9), 91, 92)}
    kind = {"U": "piece", "N": "boards"}
    records.containers = [
        ContainerFact(place, kind[place[0]], "", "") for place in sorted(places) if place[0] in kind
    ]
    records.containers.append(ContainerFact("952", "carton", "closed", ""))


def ways(made, reel):
    """Every way the parts of a reel may have gone: a set of places, one for each position.

    A place is a board as long as that is known of it alone: every way to share the parts of a stretch out is tried.
    """
    states = {("reel",) * made.holds[reel]}
    for first_board, shares, first, thrown in made.takes[reel]:
        reached, parts = set(), sum(shares)
        boards = [first_board + place for place, share in enumerate(shares) for _ in range(share)]
        for state in states:
            here = [
                position
                for position, place in enumerate(state, 1)
                if place == "reel" and (first is None or first <= position < first + parts + thrown)
            ]
            for gone in itertools.combinations(here, parts + thrown):
                for bad in itertools.combinations(gone, thrown):
                    kept = [position for position in gone if position not in bad]
                    exact = first is not None and not thrown
                    for order in [tuple(kept)] if exact else _shared_out(kept, shares):
                        after = list(state)
                        for position in bad:
                            after[position - 1] = "scrap"
                        for board, position in zip(boards, order, strict=True):
                            after[position - 1] = f"board {board}"
                        reached.add(tuple(after))
        states = reached
    return states


def _shared_out(parts, shares):
    """Every way to give each board so many of the parts, whatever their order on it."""
    if not shares:
        yield ()
        return
    for own in itertools.combinations(parts, shares[0]):
        rest = [part for part in parts if part not in own]
        for others in _shared_out(rest, shares[1:]):
            yield (*own, *others)


def place_now(made, reel, place):
    """The place that the records have for where a part is, or None for a part of no labelled board: those share theirs."""
    if not place.startswith("board "):
        return {"reel": DiscPlace.COUNTER.value, "scrap": DiscPlace.SCRAP.value}[place]
    number = int(place.removeprefix("board "))
    piece = next((one for one in made.records.pieces if one.number == number), None)
    if piece is not None:
        return piece.code
    move = next(
        move
        for move in made.records.part_moves
        if move.reel == reel and move.build is not None and move.from_piece <= number <= move.to_piece
    )
    return move.target

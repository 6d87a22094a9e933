"""Today's board as one screen of text."""

from collections.abc import Iterable, Iterator

from tracelink.facts.day_board import AtStation, Board
from tracelink.ledger.count_words import grouped, signed
from tracelink.ledger.time_words import moment
from tracelink.report.format.plain import visible

_COUNTED = 42
"""Characters for what is counted."""

_MOST = 8
"""Rows of one block; how many more there are is said."""


def board_text(board: Board, at: str) -> str:
    """Return the board for people.

    Args:
        board: what to show.
        at: when it was read, local time.
    """
    kind = "All stations" if board.area == "all" else f"Stations: {board.area}"
    parts = [f"{kind}   day {board.day}   read {moment(at)}", ""]
    parts += _block(
        "Now",
        (line for each in board.stations for line in _station(each)),
        most=40,
    )
    parts += _block(
        f"Counts of {board.day}",
        (f"{each.what:<{_COUNTED}}{grouped(each.quantity):>7}" for each in board.counts),
        most=20,
    )
    parts += _block(
        f"Stops of {board.day} by reason",
        (
            f"{each.times:>7} {each.finding}; last {each.at[11:16]} at {each.station}: {each.sentence}"
            for each in board.stops
        ),
    )
    parts += _block(
        "Holds",
        (f"{each.hold} because of {each.cause}, {each.things} held: {each.reason}" for each in board.holds),
    )
    parts += _block(
        "Investigations",
        (
            f"{each.number} of {each.subject}, difference "
            f"{'not known' if each.difference is None else signed(each.difference)}: {each.reason}"
            for each in board.investigations
        ),
    )
    parts += _block(
        "Lots waiting for a result",
        (
            f'{each.lot} "{each.title}" disc {each.piece}, {each.status}, {each.pressed} pressed; '
            f"{each.judged} of {each.samples} samples judged, {each.bad} bad"
            for each in board.waiting
        ),
    )
    return "\n".join(parts)


def _station(each: AtStation) -> Iterator[str]:
    """Yield what a station does, and what it waits for with its big word."""
    yield f"{each.station} {each.name}: {each.doing}" + (f" ({each.person})" if each.person else "")
    yield f"  {each.word:<4} {each.waits_for}"


def _block(title: str, lines: Iterable[str], most: int = _MOST) -> list[str]:
    shown = [visible(line) for line in lines]
    rest = [f"  and {len(shown) - most} more"] if len(shown) > most else []
    return [f"{title}:", *(f"  {line}" for line in shown[:most] or ["none"]), *rest, ""]

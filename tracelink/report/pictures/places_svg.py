"""Where the discs in question are now: one bar for each kind of place, least full and most lined."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tracelink.genealogy.containment.held import BACK_LOOSE, TOTAL, UNACCOUNTED, PlaceTotal
from tracelink.ledger.closed_sets import DiscPlace
from tracelink.ledger.count_words import OF_DISCS, PieceWords, grouped, signed
from tracelink.report.format import svg
from tracelink.report.format.plain import imprint

_WIDTH = 1000.0
_LEFT = 24.0
_BARS = (270.0, 660.0)
_COLUMNS = (("{many} there", 760.0), ("least affected", 870.0), ("most affected", 976.0))
_ROW, _BAR = 22.0, 14.0
_WAY = (
    DiscPlace.COUNTER,
    "spindle",
    "carton open",
    "carton closed",
    "carton broken",
    "loading",
    "shipped",
    DiscPlace.RETURNED,
    DiscPlace.QUARANTINE,
    "sample",
    DiscPlace.SET_UP,
    DiscPlace.SCRAP,
    DiscPlace.DESTROYED,
    DiscPlace.LOST,
)
"""The order in which discs come to places, from the press to the customer and back; others stand after them."""

_NAMES = {
    "spindle stacked": "on spindles",
    "carton open": "in open cartons at a line",
    "carton closed": "in closed cartons in the plant",
    "carton broken": "in broken cartons: not claimed",
    "carton returned": "in cartons that came back",
    "loading": "being loaded: not left yet",
    "shipped": "shipped: left the plant",
    "sample in lab": "samples at the lab",
    "destroyed": "destroyed",
}


def places_svg(
    places: Sequence[PlaceTotal], *, title: str, head: tuple[int, str], at: str, words: PieceWords = OF_DISCS
) -> str:
    """Draw the places of a scope.

    Args:
        places: as a scope has them: the total last.
        title: one line above the picture.
        head: last journal sequence looked at, and its hash.
        at: when it was drawn, RFC 3339 with offset.
        words: what the pieces are called.

    Returns:
        A whole SVG that needs nothing else.
    """
    lines = in_order(place for place in places if place.place != TOTAL)
    totals = [place for place in places if place.place == TOTAL]
    largest = max((place.most for place in lines), default=0)
    top = 68.0
    parts = [svg.text(_LEFT, 22, title, font_size=14, font_weight="bold"), *_headings(top - 16, words)]
    for number, place in enumerate(lines):
        parts += _row(place, top + _ROW * number, largest, words)
    foot = top + _ROW * len(lines)
    parts += _sum(lines, totals, foot)
    notes = _notes(lines, head, at, words)
    notes_y = foot + 2 * _ROW + 22
    parts += [
        svg.full(_LEFT, notes_y - 10, 26, 12),
        svg.text(_LEFT + 32, notes_y, "affected at least", font_size=11),
        svg.hatched(_LEFT + 160, notes_y - 10, 26, 12),
        svg.text(_LEFT + 192, notes_y, "and up to here at most", font_size=11),
        *svg.paragraph(_LEFT, notes_y + 20, notes, font_size=11),
    ]
    return svg.picture(_WIDTH, notes_y + 20 + 15 * len(notes), title, parts)


def added_up(lines: Iterable[PlaceTotal]) -> int:
    """The discs of all lines together, to be held against the total."""
    return sum(line.pieces for line in lines if line.place != TOTAL)


def place_name(place: PlaceTotal, words: PieceWords = OF_DISCS) -> str:
    """The place in words; a status that only repeats the kind is left out."""
    if place.place == UNACCOUNTED:
        return words.not_on
    return _NAMES.get(place.place) or " ".join(dict.fromkeys(place.place.split()))


def in_order(places: Iterable[PlaceTotal]) -> list[PlaceTotal]:
    """Places in the order in which discs come to them; what is unaccounted, and the total, last."""
    return sorted(places, key=_order)


def _order(place: PlaceTotal) -> tuple[int, str]:
    if place.place in (UNACCOUNTED, TOTAL):
        return len(_WAY) + 1 + (place.place == TOTAL), ""
    found = (number for number, start in enumerate(_WAY) if place.place.startswith(start))
    return next(found, len(_WAY)), place.place


def _headings(y: float, words: PieceWords) -> list[str]:
    return [
        svg.text(_LEFT, y, "place", font_size=11),
        *(
            svg.text(x, y, name.format(many=words.many), font_size=11, text_anchor="end")
            for name, x in _COLUMNS
        ),
        svg.line(_LEFT, y + 6, _WIDTH - _LEFT, y + 6),
    ]


def _row(place: PlaceTotal, y: float, largest: int, words: PieceWords) -> list[str]:
    left, right = _BARS
    scale = (right - left) / largest if largest else 0.0
    parts = [svg.text(_LEFT, y + 15, place_name(place, words))]
    if place.most > place.least:
        parts.append(svg.hatched(left, y + 3, place.most * scale, _BAR))
    if place.least > 0:
        parts.append(svg.full(left, y + 3, place.least * scale, _BAR))
    pieces = signed(place.pieces) if place.place in (BACK_LOOSE, UNACCOUNTED) else grouped(place.pieces)
    numbers = (pieces, grouped(place.least), grouped(place.most))
    return parts + _numbers(numbers, y + 15)


def _sum(lines: Sequence[PlaceTotal], totals: Sequence[PlaceTotal], y: float) -> list[str]:
    parts = [svg.line(_LEFT, y, _WIDTH - _LEFT, y), svg.line(_LEFT, y + 3, _WIDTH - _LEFT, y + 3)]
    for total in totals:
        difference = added_up(lines) - total.pieces
        words = f"total (lines add up to {grouped(added_up(lines))}, difference {signed(difference)})"
        parts.append(svg.text(_LEFT, y + 21, words, font_weight="bold"))
        x = _COLUMNS[0][1]
        parts.append(svg.text(x, y + 21, grouped(total.pieces), text_anchor="end", font_weight="bold"))
        # Apart from the columns: they do not add up to it.
        affected = f"affected in all: {grouped(total.least)} to {grouped(total.most)}"
        parts.append(svg.text(_LEFT, y + 21 + _ROW, affected, font_weight="bold"))
    return parts


def _numbers(numbers: Sequence[str], y: float) -> list[str]:
    return [
        svg.text(x, y, number, text_anchor="end") for number, (_, x) in zip(numbers, _COLUMNS, strict=True)
    ]


def counts_note(words: PieceWords) -> str:
    """Say what of the lines adds up, and what does not."""
    return f"{words.one.capitalize()} counts add up. Least and most do not: a {words.one} that may be in two places is in both lines."


def _notes(lines: Sequence[PlaceTotal], head: tuple[int, str], at: str, words: PieceWords) -> list[str]:
    notes = [counts_note(words)]
    if any(not line.tight for line in lines):
        notes.append("Some bounds may be wider than the records force; see the gaps.")
    notes = [line for note in notes for line in svg.broken(note, _WIDTH - 2 * _LEFT, 11)]
    return [*notes, imprint(head, at)]

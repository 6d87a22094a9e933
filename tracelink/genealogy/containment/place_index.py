"""Which of many lots some places concern, so that a question about a pallet costs what the pallet holds.

A lot whose records agree says nothing about places that its discs never were in: it adds no disc, for certain. A lot
with movements that conflict, with discs that came back loose or with samples from nobody knows where has something to
say about any place, so it is asked each time and about all of them.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping


class PlaceIndex:
    """The places that lots were ever in.

    Args:
        ever: lot -> the places its discs were in at any time, for lots that say nothing about other places.
        always: the lots that are to be asked about any places.
        order: all lots, in the order in which they are asked.
    """

    def __init__(
        self, ever: Mapping[str, Iterable[str]], always: Collection[str], order: Iterable[str]
    ) -> None:
        self._always = tuple(always)
        self._order = {lot: number for number, lot in enumerate(order)}
        self._lots: dict[str, list[str]] = {}
        for lot, places in ever.items():
            for place in places:
                self._lots.setdefault(place, []).append(lot)

    def within(self, places: Iterable[str]) -> Iterator[tuple[str, frozenset[str]]]:
        """Yield each lot to be asked, with those of the places that it is to be asked about."""
        wanted = frozenset(places)
        concerned: dict[str, list[str]] = {}
        for place in wanted:
            for lot in self._lots.get(place, ()):
                concerned.setdefault(lot, []).append(place)
        for lot in sorted({*concerned, *self._always}, key=self._order.__getitem__):
            yield lot, frozenset(concerned[lot]) if lot in concerned else wanted

"""What a built piece was built of, as far as that is known for the single piece: orders, reels, part lots and equipment."""

from __future__ import annotations

from collections.abc import Iterator

from tracelink.genealogy.commoncause.step_exposure import Factor, StepExposure
from tracelink.genealogy.model.built_of import BuiltOf
from tracelink.genealogy.model.part_facts import BUILD, PART_LOT, REEL
from tracelink.genealogy.model.records import Records
from tracelink.identity.plantcode import CodeKind


class PartExposure:
    """Looks up what units are built of.

    Args:
        records: the records.
        steps: what pieces went through.
    """

    def __init__(self, records: Records, steps: StepExposure) -> None:
        self._records = records
        self._steps = steps

    def of_piece(self, piece: str, seq: int) -> Iterator[tuple[Factor, tuple[int, int]]]:
        """Yield what a piece was built of before an entry, and where it lies in the life of that.

        Args:
            piece: its serial label.
            seq: the entry.
        """
        for built in self._records.built_of(piece, seq):
            at = built.positions.first if built.positions else 0
            if built.lot[0] == CodeKind.REEL.value:
                yield (REEL, built.lot), (at, 0)
                yield from (((PART_LOT, lot), (seq, 0)) for lot in self._part_lots(built))
                continue
            yield (BUILD, built.lot), (at, 0)
            yield from ((factor, (step, at)) for factor, step in self._steps.of_disc(built.lot, at))

    def _part_lots(self, built: BuiltOf) -> list[str]:
        """The part lots of which the parts are for certain; nobody knows which of several lots of a tray they are of."""
        items = self._records.reel_items(built.lot)
        if built.positions:
            items = [item for item in items if item.positions & built.positions]
        lots = list(dict.fromkeys(item.part_lot for item in items))
        return lots if built.positions or len(lots) == 1 else []

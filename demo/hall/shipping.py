"""Units of the hall are packed, put on pallets and shipped."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from measure import Scale
from plantdata import PREFIX

from hall.bench import Bench
from hall.hallplan import CARTON, ORDERS, PALLET
from tracelink.identity.gs1.sscc import Sscc

PACK_S = 20


@dataclass(slots=True)
class Shipping:
    """Cartons and pallets of the hall."""

    scale: Scale
    packing: Bench
    gate: Bench
    cartons: dict[str, list[int]] = field(default_factory=dict)
    """Units in each."""
    pallets: dict[str, list[str]] = field(default_factory=dict)
    """Cartons on each."""
    sent: dict[str, str] = field(default_factory=dict)
    """The order that a pallet left for."""

    def pack(self, units: Sequence[tuple[int, str, int]]) -> int:
        """Pack units, as many to a carton as belong into it.

        Args:
            units: number, label, and when each may be used.

        Returns:
            When all cartons are there.
        """
        for first in range(0, len(units), CARTON):
            some = units[first : first + CARTON]
            carton = str(Sscc.build("2", PREFIX, len(self.cartons) + 1))
            begin = max(self.packing.last + PACK_S, *(there for _number, _label, there in some))
            said = ["PACK", carton, *(label for _number, label, _there in some)]
            # A carton that is not full is closed by its own label.
            self.packing.do(begin, *said, *([carton] if len(some) < CARTON else []))
            self.cartons[carton] = [number for number, _label, _there in some]
        return self.packing.last + 1

    def stack(self, at: int) -> None:
        """Put all cartons on pallets."""
        size, all_cartons = self.scale.pack(PALLET), list(self.cartons)
        for first in range(0, len(all_cartons), size):
            pallet = str(Sscc.build("3", PREFIX, len(self.pallets) + 1))
            self.pallets[pallet] = all_cartons[first : first + size]
            self.gate.do(at, "PALLET", pallet, *self.pallets[pallet], "CLOSE", "ACCEPT", pallet)

    def units_on(self, pallet: str) -> list[int]:
        """Return the units on a pallet."""
        return [number for carton in self.pallets[pallet] for number in self.cartons[carton]]

    def share_out(self) -> list[list[str]]:
        """Return the pallets of each order; the rest stays."""
        each, pallets = max(1, len(self.pallets) // 4), list(self.pallets)
        return [pallets[place * each : (place + 1) * each] for place in range(len(ORDERS))]

    def ship(self, at: int) -> None:
        """Each customer gets some pallets, one vehicle an hour."""
        for place, (order, pallets) in enumerate(zip(ORDERS, self.share_out(), strict=True)):
            self.gate.do(at + 3600 * place, "SHIP", order, *pallets, "DEPART")
            self.sent |= dict.fromkeys(pallets, order)

"""Parts of the hall: what comes in, what is tested, and what is taped on reels and poured into trays."""

from dataclasses import dataclass

from plantdata import code

from hall.bench import Bench
from hall.hallplan import (
    BEARING,
    CAPACITOR,
    CARTRIDGE,
    CONNECTOR,
    CRYSTAL,
    DRIVER,
    FOOT,
    IN_ARM,
    IN_UNIT,
    MOTOR,
    NEW_FOOT,
    ON_BOARD,
    PARTS,
    PLATTER,
    RESISTOR,
    SCREW,
    TUBE,
)

_SAMPLES = {number: sample for number, _name, sample in PARTS}
_TAKEN = dict((*ON_BOARD, *IN_ARM, *IN_UNIT))
SPARE = 12
"""Pieces of a lot that are left over."""
REWORK_DRIVERS = 4


@dataclass(frozen=True, slots=True)
class Lot:
    """A part lot that comes in."""

    number: int
    part: str
    quantity: int
    revision: str = "1"

    @property
    def code(self) -> str:
        """Code on its card."""
        return code("M", self.number)


@dataclass(frozen=True, slots=True)
class Reel:
    """A reel, or a tray, and the lots it is made of."""

    number: int
    part: str
    made_of: tuple[tuple[Lot, int], ...]

    @property
    def code(self) -> str:
        """Code on its label."""
        return code("F", self.number)

    @property
    def quantity(self) -> int:
        """Parts on it when it is new."""
        return sum(quantity for _lot, quantity in self.made_of)


class Parts:
    """What the store has for so many boards and units.

    The second connector reel is the bad one: its first positions are of a lot whose pins break, the others of a good one.
    A reel of the rest of the bad lot was made and lies in the store.
    """

    def __init__(self, boards: int, units: int) -> None:
        """Args: boards: to be placed. units: to be joined."""
        self.rejected = Lot(801, MOTOR, units)
        first, bad = 2 * (boards * 35 // 100) + 1, 2 * (boards * 30 // 100)
        self.bad_pieces = bad * 2 // 3
        connectors = Lot(806, CONNECTOR, first + SPARE)
        self.bad_lot = Lot(807, CONNECTOR, self.bad_pieces + 40)
        good = Lot(808, CONNECTOR, 2 * boards)
        self.connectors = (
            Reel(805, CONNECTOR, ((connectors, first),)),
            Reel(806, CONNECTOR, ((self.bad_lot, self.bad_pieces), (good, bad - self.bad_pieces))),
            Reel(807, CONNECTOR, ((good, 2 * boards - first - bad + 10),)),
        )
        self.in_store = Reel(808, CONNECTOR, ((self.bad_lot, 40),))
        self.reels: dict[str, Reel] = {}
        lots = [connectors, self.bad_lot, good]
        for place, part in enumerate((RESISTOR, CAPACITOR, DRIVER, CRYSTAL), 1):
            lots.append(Lot(801 + place, part, _TAKEN[part] * boards + SPARE))
            self.reels[part] = Reel(800 + place, part, ((lots[-1], _TAKEN[part] * boards + SPARE // 2),))
        self.drivers = Reel(809, DRIVER, ((self.reels[DRIVER].made_of[0][0], REWORK_DRIVERS),))
        for place, part in enumerate((MOTOR, PLATTER, SCREW, TUBE, BEARING, CARTRIDGE, FOOT), 811):
            pieces = units // 2 if part == FOOT else units
            lots.append(Lot(place, part, _TAKEN[part] * pieces + SPARE))
            self.reels[part] = Reel(place, part, ((lots[-1], lots[-1].quantity),))
        feet = Lot(818, FOOT, _TAKEN[FOOT] * units // 2 + SPARE, NEW_FOOT)
        self.new_feet = Reel(818, FOOT, ((feet, feet.quantity),))
        self.lots = sorted([*lots, feet], key=lambda lot: lot.number)

    def receive(self, store: Bench, at: int) -> int:
        """Everything comes in, is tested and laid out. One lot is not accepted, and one is brought too early.

        Returns:
            When it is there.
        """
        self._come_in(store, at, self.rejected, failed=1)
        store.stopped("part-lot-rejected")
        for lot in self.lots:
            if lot is self.bad_lot:
                store.do(at, *_receipt(lot), "TAPE", self.connectors[1].code, lot.code)
                store.stopped("not-accepted")
                store.do(at, "CANCEL", *_test(lot, 0))
            else:
                self._come_in(store, at, lot)
        taped = (*self.reels.values(), *self.connectors, self.in_store, self.drivers, self.new_feet)
        for reel in taped:
            word = "FILL" if reel.part in dict((*IN_ARM, *IN_UNIT)) else "TAPE"
            for lot, quantity in reel.made_of:
                store.do(at, word, reel.code, lot.code, f"#{quantity}")
        return store.last + 1

    def _come_in(self, store: Bench, at: int, lot: Lot, failed: int = 0) -> None:
        store.do(at, *_receipt(lot), *_test(lot, failed))


def _receipt(lot: Lot) -> tuple[str, ...]:
    supplier, date_code = f'"SL-{lot.number}', '"2507'
    return (
        *("RECEIVE", lot.code, f'"{lot.part}', f'"{lot.revision}'),
        *(supplier, date_code, f"#{lot.quantity}"),
    )


def _test(lot: Lot, failed: int) -> tuple[str, ...]:
    return ("TESTLOT", lot.code, f"#{min(_SAMPLES[lot.part], lot.quantity)}", f"#{failed}")

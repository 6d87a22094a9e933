"""Boards of the hall: the placing machine, the solder oven, the board test, and rework."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from plantdata import code

from hall.bench import Bench, serial
from hall.hallplan import BOARD, CAPACITOR, CONNECTOR, CRYSTAL, DRIVER, ON_BOARD, OVEN, PANEL, RESISTOR, SLOTS
from hall.parts import Parts, Reel

BUILD = code("N", 801)
FIRST_SERIAL = 310_001
BATCHES = 8
"""So often is the counter read, four times a day."""
BATCH_S = 1800
TEST_S = 8
DROPPED = 3
"""Connectors of the bad reel that the machine picked and threw away."""
PROGRAMME = '"board 1.4'
WEAK, LOST = 0.1, 0.7
"""Shares of the order: the board that is repaired, and the one that cannot be."""
_SLOT_OF = {part: SLOTS[place] for place, (part, _quantity) in enumerate(ON_BOARD)}


@dataclass(slots=True)
class Boards:
    """The build order of the boards, as it goes on."""

    quantity: int
    parts: Parts
    machine: Bench
    oven: Bench
    tester: Bench
    rework: Bench
    ready: list[tuple[int, int]] = field(default_factory=list)
    """Boards that passed, and when each may be used."""
    connectors_of: dict[int, list[tuple[str, int]]] = field(default_factory=dict)
    """The reels and positions that a board's connectors came off: what really happened."""
    weak: int = field(init=False)
    """The board that is repaired."""
    lost: int = field(init=False)
    """The board that cannot be."""
    _connectors: list[tuple[str, int]] = field(init=False)
    """Reels and positions in the order in which they are placed."""
    _spliced: list[Reel] = field(init=False)
    """The connector reels that were in the machine so far."""

    def __post_init__(self) -> None:
        """Lay out the connectors in the order in which they are placed."""
        bad = self.parts.connectors[1]
        # The three that were thrown away were the very first of the bad reel.
        self._connectors = [
            (reel.code, position)
            for reel in self.parts.connectors
            for position in range(DROPPED + 1 if reel is bad else 1, reel.quantity + 1)
        ]
        self._spliced = [self.parts.connectors[0]]
        self.weak, self.lost = (max(1, round(share * self.quantity)) for share in (WEAK, LOST))

    def serial(self, number: int) -> str:
        """Return the serial label of a board, counted from 1."""
        return serial(FIRST_SERIAL + number - 1)

    def batches(self) -> Iterator[tuple[int, int, int]]:
        """Yield place, first and last board of what is done between two readings of the counter."""
        panels, first = self.quantity // PANEL, 1
        for place in range(BATCHES):
            last = panels * (place + 1) // BATCHES * PANEL
            yield place, first, last
            first = last + 1

    def set_up(self, at: int) -> None:
        """Set the machine up. A wrong reel is brought to the first slot, and stopped."""
        said = ("BUILD", BUILD, f'"{BOARD}', self.serial(1), f"#{self.quantity}", f"#{PANEL}", "SETUP", BUILD)
        wrong, right = self.parts.reels[CAPACITOR], self.parts.reels[RESISTOR]
        self.machine.do(at, *said, "LOAD", _SLOT_OF[RESISTOR], wrong.code)
        self.machine.stopped("wrong-part")
        self.machine.do(at, right.code)
        for part in (CAPACITOR, DRIVER, CRYSTAL):
            self.machine.do(at, "LOAD", _SLOT_OF[part], self.parts.reels[part].code)
        self.machine.do(at, "LOAD", _SLOT_OF[CONNECTOR], self.parts.connectors[0].code)

    def check(self, at: int) -> None:
        """Look once more, in the morning, whether each slot has the reel that was booked."""
        for part, slot in _SLOT_OF.items():
            self.machine.do(at, "CHECK", slot, self._reel(part).code)

    def _reel(self, part: str) -> Reel:
        return self._spliced[-1] if part == CONNECTOR else self.parts.reels[part]

    def make(self, at: int, place: int, first: int, last: int) -> None:
        """Place, solder and test some boards.

        Args:
            at: when the machine is done with them.
            place: of the batch, from 0.
            first: first board.
            last: last board.
        """
        self._place(at, first, last)
        step, soldered = code("X", 401 + place), max(at, self.machine.last) + 60
        said = ("BEGIN", step, OVEN, "TAKE", step, BUILD, f"#{first}", f"#{last}")
        self.oven.do(soldered, *said)
        out = self.oven.do(soldered + 300, "READ", step, '"peak temperature=243 °C', "END", step)
        for number in range(first, last + 1):
            self._test(max(out + 60, self.tester.last + TEST_S), number)

    def _place(self, at: int, first: int, last: int) -> None:
        taken = [self._connectors.pop(0) for _ in range(2 * (last - first + 1))]
        for number in range(first, last + 1):
            self.connectors_of[number] = taken[2 * (number - first) : 2 * (number - first + 1)]
        for reel in self.parts.connectors:
            if reel not in self._spliced and any(label == reel.code for label, _position in taken):
                self.machine.do(at, "SPLICE", _SLOT_OF[CONNECTOR], reel.code)
                self._spliced.append(reel)
                if reel is self.parts.connectors[1]:
                    self.machine.do(at, "DROP", reel.code, f"#{DROPPED}")
        self.machine.do(at, "PLACED", f"#{last}")

    def _test(self, at: int, number: int) -> None:
        label = self.serial(number)
        if number not in (self.weak, self.lost):
            self.ready.append((number, self.tester.do(at, "PASS", label, PROGRAMME)))
            return
        symptom, position = ('"no rotation', '"U1') if number == self.weak else ('"cracked', '"-')
        found = self.tester.do(at, "FAIL", label, PROGRAMME, symptom, position)
        self.tester.stopped("test-failed")
        if number == self.weak:
            drivers = self.parts.drivers.code
            said = ("OUT", label, f'"{DRIVER}', '"scrap', '"no output', "JOIN", label, drivers)
            again = self.rework.do(found + 120, *said)
            self.ready.append((number, self.tester.do(again + 60, "PASS", label, PROGRAMME)))

    def end(self, at: int) -> None:
        """The order is done: what is left on each reel is counted, and one connector is missing."""
        self.machine.do(at, "ENDRUN")
        for reel in self.parts.reels.values():
            if reel.part in _SLOT_OF:
                used = dict(ON_BOARD)[reel.part] * self.quantity
                self.machine.do(at, "LEFT", reel.code, f"#{reel.quantity - used}")
        for reel in self.parts.connectors[:2]:
            self.machine.do(at, "LEFT", reel.code, "#0")
        self.machine.do(at, "LEFT", self.parts.connectors[2].code, f"#{len(self._connectors) - 1}")
        self.machine.stopped("count-differs")

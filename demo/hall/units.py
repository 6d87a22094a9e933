"""Units of the hall: arms, units of board, arm and loose parts, the final test, and what fails there."""

from dataclasses import dataclass, field

from plantdata import code

from hall.bench import Bench, serial
from hall.boards import Boards
from hall.hallplan import ARM, FOOT, IN_ARM, IN_UNIT, MOTOR, PLATTER, SCREW, UNIT
from hall.parts import Parts

ARMS, FIRST_DAYS, SECOND_DAYS = (code("N", number) for number in (802, 803, 804))
"""Build orders: of the arms, and of the units of each day."""
FIRST_ARM, FIRST_UNIT = 320_001, 390_001
NOT_BEGUN = 4
"""Units of the first day's order that nobody began before the bill of material changed."""
ARM_S, UNIT_S = 25, 45
PROGRAMME = '"final 2.1'
FAST = 3
"""The unit whose motor runs fast."""
MISSING_SCREWS = 2


@dataclass(slots=True)
class Units:
    """Arms and units, as they are joined."""

    quantity: int
    parts: Parts
    boards: Boards
    arm_bench: Bench
    bench: Bench
    tester: Bench
    rework: Bench
    arms: list[int] = field(default_factory=list)
    """When each arm may be used."""
    ready: list[tuple[int, int]] = field(default_factory=list)
    """Units that passed, and when each may be used."""
    board_in: dict[int, int] = field(default_factory=dict)
    """The board of each unit: what really happened."""
    joined: int = 0

    def label(self, number: int) -> str:
        """Return the serial label of a unit, counted from 1."""
        first_days = self.quantity // 2
        return serial(FIRST_UNIT + number - 1 + (NOT_BEGUN if number > first_days else 0))

    def make_arms(self, at: int) -> None:
        """Join all arms."""
        self.arm_bench.do(at, "BUILD", ARMS, f'"{ARM}', serial(FIRST_ARM), f"#{self.quantity}", "#1")
        trays = [self.parts.reels[part].code for part, _quantity in IN_ARM]
        for place in range(self.quantity):
            made = self.arm_bench.do(at + ARM_S * place, "JOIN", serial(FIRST_ARM + place), *trays)
            self.arms.append(made)

    def begin_first(self, at: int) -> None:
        """Begin the order of the first day."""
        self._begin(at, FIRST_DAYS, 1, self.quantity // 2 + NOT_BEGUN)

    def begin_second(self, at: int) -> None:
        """Another bill of material holds: the order of the day before is refused, and the rest goes by a new one."""
        last = serial(FIRST_UNIT + self.quantity // 2)
        self.bench.do(at, "JOIN", last)
        self.bench.stopped("bill-changed")
        self.bench.do(at, "CANCEL")
        self._begin(at, SECOND_DAYS, self.quantity // 2 + 1, self.quantity - self.quantity // 2)

    def _begin(self, at: int, build: str, first: int, quantity: int) -> None:
        self.bench.do(at, "BUILD", build, f'"{UNIT}', self.label(first), f"#{quantity}", "#1")

    def join(self, at: int, last: int) -> None:
        """Join and test units as far as there are boards.

        Args:
            at: not before this second.
            last: the last unit to be joined.
        """
        while self.joined < last and self.boards.ready:
            board, there = self.boards.ready.pop(0)
            self.joined += 1
            self._join(max(at, there, self.arms[self.joined - 1], self.bench.last + UNIT_S), board)

    def _join(self, at: int, board: int) -> None:
        number, label = self.joined, self.label(self.joined)
        self.board_in[number] = board
        own = [self.boards.serial(board), serial(FIRST_ARM + number - 1)]
        trays = [self.parts.reels[part].code for part in (MOTOR, PLATTER, SCREW)]
        self.bench.do(at, "JOIN", label, *own, *trays)
        if number > self.quantity // 2:
            if number == self.quantity // 2 + 1:
                self.bench.do(at, self.parts.reels[FOOT].code)
                self.bench.stopped("wrong-revision")
            done = self.bench.do(at, self.parts.new_feet.code)
        else:
            done = self.bench.do(at, self.parts.reels[FOOT].code)
        self._test(done + 30, number, label)

    def _test(self, at: int, number: int, label: str) -> None:
        if number == FAST:
            found = self.tester.do(at, "FAIL", label, PROGRAMME, '"runs fast', '"motor')
            self.tester.stopped("test-failed")
            said = ("OUT", label, f'"{MOTOR}', '"supplier', '"speed not held', "JOIN", label)
            at = self.rework.do(found + 300, *said, self.parts.reels[MOTOR].code)
        self.ready.append((number, self.tester.do(at + 10, "PASS", label, PROGRAMME)))

    def end(self, store: Bench, at: int) -> None:
        """What is left in the trays is counted, and two screws are missing."""
        half = self.quantity // 2
        wanted = {
            part: each * (half if part == FOOT else self.quantity) for part, each in (*IN_ARM, *IN_UNIT)
        }
        for part, used in wanted.items():
            tray = self.parts.reels[part]
            left = tray.quantity - used - (part == MOTOR)
            missing = MISSING_SCREWS if part == SCREW else 0
            store.do(at, "LEFT", tray.code, f"#{left - missing}")
            if missing:
                store.stopped("count-differs")
        new = self.parts.new_feet
        store.do(at, "LEFT", new.code, f"#{new.quantity - dict(IN_UNIT)[FOOT] * (self.quantity - half)}")

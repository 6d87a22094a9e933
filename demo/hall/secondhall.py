"""On the Monday and Tuesday after the ten days: a second hall builds turntables, of boards, arms and loose parts.

Parts come in, are tested and taped on reels; a placing machine puts them on boards, which are soldered, tested and joined
with arms and loose parts into units. They are tested, packed and shipped on the Wednesday. Some are dropped at the lab for three
weeks. The hall has people, stations, numbers and labels of its own, so that nothing of the ten days is touched.
"""

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from clockwork import day_start, local_time
from drift import Drift
from plantfile import as_toml
from stock import PHASE_2_DAY, Plant
from writer import file_name, write_log

from hall.bench import Bench
from hall.boards import BATCH_S, BATCHES, Boards
from hall.droptest import DropTest
from hall.hallplan import (
    ARM_BENCH,
    BOARD_TEST,
    FINAL_TEST,
    GATE,
    HANA,
    MACHINE,
    PACKING,
    PANEL,
    REWORK,
    SCREW,
    SOLDER,
    STATIONS,
    STORE,
    TILO,
    ULLA,
    UNIT_BENCH,
    VITO,
    WERA,
    YANN,
    ZITA,
    plan,
)
from hall.parts import Parts
from hall.shipping import Shipping
from hall.units import Units

UNITS, LEAST_UNITS = 240, 28
"""As in the full plant, and in the smallest."""
SPARE_BOARDS = 8
MONDAY, TUESDAY, WEDNESDAY = (day_start(PHASE_2_DAY + days) for days in (1, 2, 3))
HOUR = 3600
DROPS_BEGIN = TUESDAY + 19 * HOUR
BEFORE = local_time(MONDAY + 6 * HOUR)
"""When the hall, its parts and bills of material are named."""


@dataclass(frozen=True, slots=True)
class SecondHall:
    """What the story needs of it."""

    plan: Path
    logs: tuple[Path, ...]
    """One of each station."""
    bad_reel: str
    bad_lot: str
    last_reel: str
    """The connector reel of which one part is missing."""
    screws: str
    """The tray of which two are missing."""
    unit: str
    """A turntable with connectors of the bad lot, which breaks."""
    dropped: Path
    """The log of the drop test, once it is looked at."""
    noticed: str
    """When the first of them was seen to be broken."""


class _Hall:
    """All benches of the hall, and what is made at them."""

    def __init__(self, plant: Plant) -> None:
        self.quantity = max(LEAST_UNITS, plant.scale.strokes(UNITS) // PANEL * PANEL)
        boards = self.quantity + SPARE_BOARDS
        self.store, self.gate = Bench(STORE, TILO), Bench(GATE, ZITA)
        machine, oven, board_test = Bench(MACHINE, ULLA), Bench(SOLDER, ULLA), Bench(BOARD_TEST, VITO)
        arm_bench, bench, tester = Bench(ARM_BENCH, WERA), Bench(UNIT_BENCH, YANN), Bench(FINAL_TEST, VITO)
        packing, rework = Bench(PACKING, TILO), Bench(REWORK, WERA)
        self.benches = (
            *(self.store, machine, oven, board_test, arm_bench, bench, tester, rework),
            *(packing, self.gate),
        )
        self.parts = Parts(boards, self.quantity)
        self.boards = Boards(boards, self.parts, machine, oven, board_test, rework)
        self.units = Units(self.quantity, self.parts, self.boards, arm_bench, bench, tester, rework)
        self.shipping = Shipping(plant.scale, packing, self.gate)
        self.drops = DropTest(Bench(plant.stations["Lab"].code, HANA))

    def work(self) -> None:
        """Let the hall work its two days, and ship on the third."""
        self.parts.receive(self.store, MONDAY + 7 * HOUR)
        self.units.make_arms(MONDAY + 8 * HOUR)
        self.boards.set_up(MONDAY + 8 * HOUR + 1800)
        self.units.begin_first(MONDAY + 9 * HOUR)
        for place, first, last in self.boards.batches():
            begin = MONDAY if place < BATCHES // 2 else TUESDAY
            if place == BATCHES // 2:
                self.boards.check(begin + 7 * HOUR)
                self.units.begin_second(begin + 7 * HOUR)
            self.boards.make(begin + 9 * HOUR + BATCH_S * (place % (BATCHES // 2)), place, first, last)
            self.units.join(begin + 9 * HOUR, self.quantity // 2 if begin == MONDAY else self.quantity)
        self.boards.end(TUESDAY + 12 * HOUR)
        self.units.end(self.store, TUESDAY + 18 * HOUR)
        self.drops.begin(DROPS_BEGIN, [self.units.label(number) for number in self.kept()])
        self.shipping.pack(self._to_pack())
        self.shipping.stack(WEDNESDAY + 7 * HOUR)
        self.shipping.ship(WEDNESDAY + 9 * HOUR)

    def kept(self) -> list[int]:
        """Return the units that the lab keeps: two of the first, two of the last, and those between that break."""
        return [1, 2, *self.broken(), self.quantity - 1, self.quantity]

    def broken(self) -> tuple[int, int]:
        """Return two units with connectors of the bad lot."""
        _first, one, *_, other = [number for number in self.units.board_in if self.bad_connectors(number)]
        return one, other

    def bad_connectors(self, unit: int) -> int:
        """Return how many connectors of the bad lot a unit really has."""
        reel, last = self.parts.connectors[1].code, self.parts.bad_pieces
        board = self.units.board_in[unit]
        return sum(label == reel and position <= last for label, position in self.boards.connectors_of[board])

    def off_bad_reel(self, unit: int) -> int:
        """Return how many connectors a unit really has off the bad reel."""
        reel, board = self.parts.connectors[1].code, self.units.board_in[unit]
        return sum(label == reel for label, _position in self.boards.connectors_of[board])

    def _to_pack(self) -> list[tuple[int, str, int]]:
        kept = self.kept()
        return [
            (number, self.units.label(number), there)
            for number, there in sorted(self.units.ready)
            if number not in kept
        ]


def prepare(out: Path, plant: Plant, drift: Drift) -> SecondHall:
    """Write the plant file, the logs, and what really happened.

    Args:
        out: the demo's folder.
        plant: after its last day.
        drift: what the lab scanned last.
    """
    hall = _Hall(plant)
    hall.work()
    folder = out / "hall"
    folder.mkdir(exist_ok=True)
    ordered = [
        sum(len(hall.shipping.units_on(pallet)) for pallet in pallets)
        for pallets in hall.shipping.share_out()
    ]
    file = folder / "hall.toml"
    file.write_text(as_toml(plan(ordered)), encoding="utf-8", newline="\n")
    logs = []
    names = {station: name for station, _area, name in STATIONS}
    for bench in hall.benches:
        logs.append(folder / f"{file_name(names[bench.code])}.jsonl")
        write_log(logs[-1], bench.code, bench.scans)
    drops = hall.drops.bench
    earlier = json.loads(drift.judging.read_text(encoding="utf-8").splitlines()[-1])["end"]
    logs.append(folder / "drop-test-begun.jsonl")
    write_log(logs[-1], drops.code, drops.scans, earlier + 1)
    begun, kept = len(drops.scans), [hall.units.label(number) for number in hall.kept()]
    broken = [hall.units.label(number) for number in hall.broken()]
    noticed = hall.drops.look(DROPS_BEGIN, kept, broken)
    dropped = folder / "drop-test.jsonl"
    write_log(dropped, drops.code, drops.scans[begun:], earlier + begun + 1)
    truth = json.dumps(_truth(hall), indent=2) + "\n"
    (folder / "built.json").write_text(truth, encoding="utf-8", newline="\n")
    parts = hall.parts
    return SecondHall(
        file,
        tuple(logs),
        parts.connectors[1].code,
        parts.bad_lot.code,
        parts.connectors[2].code,
        parts.reels[SCREW].code,
        broken[0],
        dropped,
        local_time(noticed),
    )


def _truth(hall: _Hall) -> dict[str, Any]:
    """What really happened, which no record says."""
    units = hall.units
    where = {number: carton for carton, numbers in hall.shipping.cartons.items() for number in numbers}
    on = {carton: pallet for pallet, cartons in hall.shipping.pallets.items() for carton in cartons}
    return {
        "bad_reel": hall.parts.connectors[1].code,
        "bad_lot": hall.parts.bad_lot.code,
        "benches": [bench.code for bench in hall.benches],
        "stops": {bench.code: [list(stop) for stop in bench.stops] for bench in hall.benches if bench.stops},
        "broken": [units.label(number) for number in hall.broken()],
        "kept": [units.label(number) for number in hall.kept()],
        "units": [
            {
                "unit": units.label(number),
                "board": hall.boards.serial(board),
                "off_the_bad_reel": hall.off_bad_reel(number),
                "of_the_bad_lot": hall.bad_connectors(number),
                "carton": where.get(number),
                "pallet": on.get(where.get(number, "")),
                "order": hall.shipping.sent.get(on.get(where.get(number, ""), "")),
            }
            for number, board in units.board_in.items()
        ],
    }

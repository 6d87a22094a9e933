"""Logs of several stations merged by time, in which steady streams of lines go on while others scan and book between."""

import heapq
import random
from datetime import datetime

from support_pins import COST, KEY, PINS
from support_plant import DOCK, LAB, LINE, LINE_2, MATRICES, PRESS, PRESS_2, Floor, code, n, place_of, stamper
from support_streams import BEGUN, Log, LogWriter, RandomDay, record

from tracelink.ledger import pins
from tracelink.ledger.kinds.access import PinSet
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.kinds.lab import HeldItem, HoldPlaced
from tracelink.ledger.times import instant

LINE_SCANS, OTHER_SCANS = 110, 25


def merged(*logs: Log) -> Log:
    """Merge logs by their times; the scans of a station stay in their order."""
    return list(heapq.merge(*logs, key=lambda each: instant(each[1].at)))


class LineDay(RandomDay):
    """One line packs; a set now and then, and now and then from a spindle of the other line."""

    def __init__(self, rng: random.Random, station: str) -> None:
        super().__init__(rng)
        self.lines, self.quiet = (station,), True
        self.packs_sets = rng.random() < 0.3
        self.calm = rng.random() < 0.5
        """Nothing but packing happens here."""
        self.at = BEGUN.replace(second=rng.randint(0, 2), microsecond=500_000 * rng.randint(0, 1))

    def _step(self) -> None:
        if self.calm:
            self._pack(self.lines[0])
        else:
            super()._step()

    def _time_passes(self) -> None:
        if not self.calm:
            super()._time_passes()

    def _next_spindle(self, station: str) -> str:
        found = super()._next_spindle(station)
        return f"K{self.rng.choice((100, 101, 112, 113, 500, 501))}" if self.rng.random() < 0.15 else found

    def open_line(self, *, spindle: int = 100, carton: int = 1, station: str = LINE) -> None:
        if self.packs_sets:
            cards = ("K200", "K300") if station == LINE else ("K201", "K301")
            self.scan(station, "P1", "CLEAR", "P2", "B2", *cards, f"carton {carton}")
        else:
            super().open_line(spindle=spindle, carton=carton, station=station)

    def pairs(self, count: int, station: str = LINE, after: float = 3) -> None:
        if not self.packs_sets:
            super().pairs(count, station, after)
            return
        for _ in range(max(1, count // 2)):
            self.scan(station, "disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2", after=after)


class OtherDay(LogWriter):
    """A station beside the lines: each step is one of its acts."""

    def __init__(self, rng: random.Random, station: str, acts: list[list[str]]) -> None:
        super().__init__()
        self.station, self.acts, self.rng = station, acts, rng

    def write(self) -> Log:
        self.scan(self.station, "P1")
        while len(self.log) < OTHER_SCANS and self.acts:
            self.scan(self.station, *self.acts.pop(0), after=self.rng.choice((0, 1, 3, 20, 60)))
        return self.log


def lab_acts(rng: random.Random) -> list[list[str]]:
    spindle = f"K{rng.choice((100, 101, 112, 113, 200, 201, 300))}"
    subjects = (spindle, "B1", "B2", "L1", "L2", "carton 1", "carton 501", "carton 2", "K123", "C1")
    every = [
        *(["HOLD", rng.choice(subjects), '"looks wrong'] for _ in range(3)),
        *(["LIFT", f"H{number}", '"checked', "P2"] for number in (1, 1, 2)),
        *(["SAMPLE", "L1", f"S{600 + at}", f"#{rng.randint(1, 56)}", f"K{100 + at % 4}"] for at in range(6)),
        ["SAMPLE", "L1", "S690", "#170", "K112"],
        ["REJECT", "L1", '"clicks'],
        ["OVERRULE", "L1", '"agreed', "P2"],
    ]
    return rng.sample(every, rng.randint(0, len(every)))


def press_acts(rng: random.Random, press: str, lot: int, card: int) -> list[list[str]]:
    place = place_of(lot)
    a, b = MATRICES[2 * place], MATRICES[2 * place + 1]
    tools = stamper(a), stamper(b), "C1", f"E{2 * place + 1}", f"E{2 * place + 2}"
    stacks = [["STACK", f"K{card + at}", f"#{14 * (at + 1)}"] for at in range(4)]
    between = [["SCRAP", "#1"], ["CHANGE", "C2", "#30"], ["STOP", "#60"]]
    acts = [["SETUP", f"L{lot}", *tools], ["START", f'"{a}', f'"{b}']]
    for stack in stacks:
        acts += [stack, *([rng.choice(between)] if rng.random() < 0.5 else [])]
    return acts


def dock_acts(rng: random.Random) -> list[list[str]]:
    cartons = [f"carton {number}" for number in (1, 2, 3, 501, 502)]
    add = rng.sample(cartons, 3)
    return [
        ["PALLET", "pallet 1", *add],
        ["CLOSE"],
        ["ACCEPT", "pallet 1"],
        ["SHIP", "O1", "pallet 1"],
        ["DEPART"],
    ]


def with_pins_keyed(rng: random.Random, log: Log) -> Log:
    """Let whoever has a PIN key it after the badge, mostly the right one."""
    found = LogWriter()
    for station, scan in log:
        found.at = datetime.fromisoformat(scan.at)
        found.scan(station, scan.raw, after=0)
        for number, digits in PINS.items():
            if scan.raw.endswith(code("P", number)) and rng.random() < 0.95:
                found.scan(station, f"#{digits if rng.random() < 0.95 else 11111}", after=0)
    return found.log


def merged_day(rng: random.Random, *, keyed: bool) -> Log:
    """A day of two lines, a lab, two presses and a dock, each with its own log."""
    days = [LineDay(rng, line).write(LINE_SCANS) for line in (LINE, LINE_2)]
    others = [
        (LAB, lab_acts(rng)),
        (PRESS, press_acts(rng, PRESS, 5, 500)),
        (PRESS_2, press_acts(rng, PRESS_2, rng.choice((6, 8)), 600)),
        (DOCK, dock_acts(rng)),
    ]
    days += [OtherDay(rng, *each).write() for each in others if rng.random() < 0.7]
    if keyed:
        days = [with_pins_keyed(rng, log) for log in days]
    return merged(*days)


def give_pins(floor: Floor) -> None:
    """Give Ada and Ben PINs, at a time that is always the same."""
    floor.ledger._memory.pin_key = lambda: KEY
    for number, digits in PINS.items():
        badge = code("P", number)
        record(floor, PinSet(badge, True, pins.make_verifier(KEY, badge, digits, bytes([number]) * 16, COST)))


def random_hold(rng: random.Random, number: int) -> list[EntryBody]:
    """A hold that a command places on one thing."""
    held = rng.choice((n("K100"), n("K112"), n("B1"), n("B2"), n("carton 1"), n("L2")))
    return [HoldPlaced(code("H", number), held, (HeldItem(held, None, None),))]

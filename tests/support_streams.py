"""Logs of packing lines with steady streams in them, played with and without going on unjudged."""

import random
from collections.abc import Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache
from itertools import zip_longest

from support_histories import MISTAKES
from support_judged import copied
from support_plant import LAB, LINE, LINE_2, START, Floor, code, gtin, n, raw

from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.packs import RawScan
from tracelink.ledger.plant import change_entries as changes
from tracelink.ledger.times import utc_seconds
from tracelink.services.floor.logged_scans import book_some
from tracelink.store.database.tables import TABLES
from tracelink.store.stations.booking import Booking

Log = list[tuple[str, RawScan]]
"""Stations and their scans, in the order of time."""

BEGUN = datetime.fromisoformat("2031-03-03T09:00:00+01:00")
RECORDED = "2031-03-03T20:00:00Z"
_STACKS = 24
DISCS_ON_STACK = 14
CARTON_SIZE = 12


@cache
def _pressed() -> Floor:
    floor = Floor.copy()
    floor.press(1, strokes=_STACKS * DISCS_ON_STACK, stacks=_STACKS, first_card=100)
    floor.press(2, strokes=24, stacks=2, first_card=200)
    floor.press(3, strokes=24, stacks=2, first_card=300)
    floor.press(4, strokes=24, stacks=2, first_card=400)
    record(
        floor,
        *(changes.ProductChanged(gtin(nr), None, None, CARTON_SIZE, utc_seconds(START)) for nr in (1, 2)),
    )
    return floor


def pressed() -> Floor:
    """A plant with stacks of product 1 (K100 ...), and some of products 2 and 3; the clock of its ledger stands still."""
    floor = copied(_pressed())
    floor.ledger._now = lambda: RECORDED
    return floor


@cache
def booked_before(station: str) -> int:
    """Return how many scans such a plant has of a station."""
    [(number,)] = _pressed().read("station", "last_number", code=station)
    return number


@contextmanager
def every_scan_judged(monkeypatch):
    """Nothing goes on unjudged while the block runs."""
    with monkeypatch.context() as patch:
        patch.setattr(Booking, "begin_stream", lambda _booking, _code, _coming: None)
        yield


@dataclass
class Played:
    """What came of a log."""

    outcomes: dict[str, int]
    told: list[tuple[str, int, str, str]]
    """Station, number, word and sentence of each scan that was judged."""
    rows: dict[str, list[str]]
    """Of every table that has any."""
    judged: int

    @property
    def unjudged(self) -> int:
        return sum(self.outcomes.values()) - self.judged


def play(floor: Floor, log: Log, chunks: list[int], between: Sequence[Sequence[EntryBody]] = ()) -> Played:
    """Book a log in transactions of some scans each, and record what commands did after the first of them."""
    outcomes, told, rest = {}, [], list(log)

    def tell(station, scan, verdict):
        told.append((station, scan.number, verdict.word.value, verdict.sentence))

    for size, bodies in zip_longest([*chunks, len(log)], between, fillvalue=()):
        some, rest = rest[: size or 0], rest[size or 0 :]
        if some:
            with floor.ledger.writing() as booking:
                for name, count in book_some(booking, some, tell).items():
                    outcomes[name] = outcomes.get(name, 0) + count
        record(floor, *bodies)
    with floor.ledger.reading() as conn:
        # Written by hand: compiling a statement for each table would take most of the time.
        found = {name: sorted(map(repr, conn.exec_driver_sql(f'SELECT * FROM "{name}"'))) for name in TABLES}
    return Played(outcomes, told, {name: rows for name, rows in found.items() if rows}, len(told))


def record(floor: Floor, *bodies: EntryBody) -> None:
    """Record changes of the plant, as two people decided."""
    with floor.ledger.writing() as booking:
        for body in bodies:
            booking.record(body, Stamp(START, "2031-03-03T07:30:00Z", person=code("P", 1)), "as agreed")


class LogWriter:
    """Writes what stations scan, one scan after the other."""

    def __init__(self) -> None:
        self.at = BEGUN
        self.log: Log = []
        self.numbers: dict[str, int] = {}

    def scan(self, station: str, *lines: str, after: float = 3) -> None:
        """Scan lines, each some seconds after the one before."""
        for line in lines:
            self.at += timedelta(seconds=after)
            number = self.numbers[station] = self.numbers.get(station, booked_before(station)) + 1
            self.log.append((station, RawScan(number, self.at.isoformat(), raw(line))))

    def pairs(self, count: int, station: str = LINE, after: float = 3) -> None:
        """Scan a disc of product 1 and its sleeve, some times."""
        for _ in range(count):
            self.scan(station, "disc 1.1", "sleeve 1", after=after)

    def open_line(self, *, spindle: int = 100, carton: int = 1, station: str = LINE) -> None:
        """Two people clear the line, and open what product 1 needs."""
        self.scan(station, "P1", "CLEAR", "P2", "B1", f"K{spindle}", f"carton {carton}")


class RandomDay(LogWriter):
    """A day at a line with all that ends a stream, and a lab, another line and quality between."""

    def __init__(self, rng: random.Random) -> None:
        super().__init__()
        self.rng = rng
        self._carton = {LINE: 1, LINE_2: 501}
        self._spindle = {LINE: 100, LINE_2: 100 + _STACKS // 2}
        self._left = dict.fromkeys(self._carton, (CARTON_SIZE, DISCS_ON_STACK))
        """Units that the carton takes and discs on the spindle, if nothing went wrong."""
        self.quiet = rng.random() < 0.4
        """Nobody else scans."""
        self.lines: tuple[str, ...] = (LINE,) if self.quiet else (LINE, LINE_2)

    def write(self, scans: int) -> Log:
        for station in self.lines:
            self.open_line(spindle=self._spindle[station], carton=self._carton[station], station=station)
        while len(self.log) < scans:
            self._step()
        return self.log

    def _step(self) -> None:
        rng = self.rng
        station = self.lines[0] if self.quiet or rng.random() < 0.8 else self.lines[1]
        chance = rng.random()
        if chance < 0.6:
            self._pack(station)
        elif chance < 0.7 and not self.quiet:
            self.scan(LAB, *self._lab())
        elif chance < 0.85:
            self.scan(station, *self._other(station), *rng.choice((["STOP"], ["STOP"], [])))
        else:
            self.scan(station, *self._again(station))

    def _pack(self, station: str) -> None:
        """Mostly no more than there is, and what is full or empty is mostly changed."""
        rng = self.rng
        if rng.random() < 0.1:
            self._time_passes()
        units = rng.randint(1, 14)
        room, discs = self._left[station]
        if rng.random() < 0.8:
            units = max(1, min(units, room, discs))
        self.pairs(units, station, rng.choice((0, 0.5, 1, 3, 3, 3, 40)))
        room, discs = self._left[station] = room - units, discs - units
        if room < 1 and rng.random() < 0.9:
            self.scan(station, "CLOSE", self._next_carton(station))
        if discs < 1 and rng.random() < 0.9:
            self.scan(station, self._next_spindle(station))

    def _next_carton(self, station: str) -> str:
        self._carton[station] += 1
        self._left[station] = CARTON_SIZE, self._left[station][1]
        return f"carton {self._carton[station]}"

    def _next_spindle(self, station: str) -> str:
        self._spindle[station] += 1
        self._left[station] = self._left[station][0], DISCS_ON_STACK
        return f"K{self._spindle[station]}"

    def _again(self, station: str) -> list[str]:
        """What brings a line back to packing, whatever happened."""
        start = ["STOP", "P1", "STOP", "CLOSE", self._next_carton(station), self._next_spindle(station)]
        return start if self.rng.random() < 0.5 else ["STOP", "P1", "CLOSE", "CLEAR", "P2", "B1", *start[4:]]

    def _time_passes(self) -> None:
        """Mostly forwards; a clock may be set back too, which no one log can hold and two of one station can."""
        self.at += timedelta(
            minutes=self.rng.choice((1, 20, 45, 61, 240)), days=self.rng.choice((0,) * 8 + (1, 3, 40))
        )
        if self.rng.random() < 0.2:
            self.at -= timedelta(minutes=self.rng.choice((2, 30, 300)))

    def _other(self, station: str) -> list[str]:
        return self.rng.choice(
            [["STOP"]] * 3
            + [["NOREAD"], ["NOREAD", "NOREAD"], ["CHECK", "P2"], ["CHECK", "P1"], ["UNDO"], ["UNDO", "UNDO"]]
            + [["P2"], ["P1"], ["disc 1.1"], ["sleeve 1"], ["disc 1.1", "disc 1.1"], ["CLEAR", "P2"]]
            + [["disc 1.1", "sleeve 2", "STOP"], ["sleeve 2", "STOP", "RECHECK"], ["disc 2.1"], ["REJECT"]]
            + [["B6"], ["B1"], ["B2", "K200", "K300"], ["disc 2.1", "sleeve 2", "disc 2.2", "sleeve 2"]]
            + [["B3", "K400"], ["disc 3.1", f"sleeve 3 no {self.rng.randint(1, 50)}"], ["SIGNOFF"], ["P1", "STOP"]]
            + [["MANUAL"], ["TAKEOUT"], ["HANDOVER", "P2"], ["STOP", "STOP"], ["shows disc 1.1", "sleeve 1"]]
            + [[self.rng.choice(MISTAKES)]] * 4
            + [["NOREAD", "NOREAD", "MANUAL", '"EX-101-A', '"EX-101-B', "P2", "sleeve 1", "sleeve 1"]]
            + [["CLOSE", self._next_carton(station)], [self._next_spindle(station)]] * 3
        )  # fmt: skip

    def _lab(self) -> list[str]:
        rng = self.rng
        self._sample = getattr(self, "_sample", 500) + 1
        subject = rng.choice(
            (f"K{rng.randint(100, 104)}", "B1", "L1", f"carton {self._carton[LINE]}", "K102")
        )
        return rng.choice(
            [
                ["P1", "HOLD", subject, '"looks wrong'],
                ["P1", "LIFT", f"H{rng.randint(1, 3)}", '"checked', "P2"],
            ]
            + [
                [
                    "P1",
                    "SAMPLE",
                    "L1",
                    f"S{self._sample}",
                    f"#{rng.randint(1, 56)}",
                    f"K{rng.randint(100, 104)}",
                ]
            ]
            * 2
            + [["P1", "L1"], ["P1", "REJECT", "L1", '"clicks'], ["P1", "OVERRULE", "L1", '"agreed', "P2"]]
        )


def random_changes(rng: random.Random, log: Log) -> list[EntryBody]:
    """Changes of what was set up, each from the time of some scan on."""
    second = code("P", 2)

    def since() -> str:
        # What stops a line for good should not always do so at its beginning.
        return utc_seconds(log[max(rng.randrange(len(log)), rng.randrange(len(log)))][1].at)

    ways = (
        lambda: changes.SettingChanged("run_length", rng.choice((1, 2, 3, 5, 9)), since()),
        lambda: changes.SettingChanged("check_units", rng.choice((0, 2, 4, 7)), since()),
        lambda: changes.SettingChanged("sign_off_minutes", rng.choice((0, 1, 5, 60)), since()),
        lambda: changes.SettingChanged("double_read_seconds", rng.choice((0, 2, 5)), since()),
        lambda: changes.SettingChanged("clock_ahead_days", rng.choice((1, 30)), since()),
        lambda: changes.SettingChanged("clock_back_minutes", rng.choice((1, 60)), since()),
        lambda: changes.ProductChanged(gtin(1), None, None, rng.choice((2, 4, 12)), since()),
        lambda: changes.ProductChanged(gtin(1), "Paper Comet Arithmetic II", None, None, since()),
        lambda: changes.RolesChanged(code("P", 2), rng.choice((("line",), ("lab",))), since(), second),
        lambda: changes.BadgeWithdrawn(code("P", 2), since(), None, 0),
        lambda: changes.PrintSuperseded(n("B1"), since()),
        lambda: changes.StationClosed(rng.choice((LINE, LINE_2)), since()),
    )
    return [rng.choice(ways)() for _ in range(rng.choice((0, 0, 1, 2, 4, 8)))]

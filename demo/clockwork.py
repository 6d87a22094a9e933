"""Time in the demo plant: working hours, people who do one thing after another, and stations that note scans.

Theory of operation
-------------------
Every job of the plant is a generator that yields the time at which it wants to go on. The clock always wakes the
one that is due first. What a job hands to another (a stack, a carton, a sample) it hands over only after it has
waited for its own station's last scan, so that in the merged logs a thing is never used before it was made.
"""

import heapq
import itertools
import random
from collections.abc import Generator
from dataclasses import dataclass, field
from datetime import datetime, timedelta, timezone
from functools import cache

Job = Generator[int, None, None]
"""Yields the second at which it goes on."""

MONDAY = datetime(2025, 2, 24, tzinfo=timezone(timedelta(hours=1)))
"""Second 0: the start of the week in which only the tool room works.

In the past, and before summer time begins there. The recording clock of a ledger cannot be set, not even for a story:
the demo's records are loaded later and say so."""

SUMMER = datetime(2025, 3, 30, 2, tzinfo=MONDAY.tzinfo)
"""When the clocks are put forward."""

HOUR = 3600
DAY = 24 * HOUR
OPENS, CLOSES = 6 * HOUR, 22 * HOUR
"""Two shifts of eight hours, weekdays."""

MID_SHIFT = 14 * HOUR
PRESS_DAYS = 10

HAND_OVER = 5
"""Seconds between the last scan of a job and the moment when somebody else may use what it made."""


@cache
def day_start(day: int) -> int:
    """Return midnight of a pressing day.

    Args:
        day: 0 to 9, weekdays only; -5 to -1 are the days of the tool room before.
    """
    week, weekday = divmod(day + 5, 5)
    return week * 7 * DAY + weekday * DAY


def moment(day: int, hour: float) -> int:
    """Return the second of an hour (0 to 24, may be a fraction) of a pressing day."""
    return day_start(day) + int(hour * HOUR)


def local_time(second: int) -> str:
    """Return a second as local time with its offset, as stations note it; in summer the clocks are an hour ahead."""
    at = MONDAY + timedelta(seconds=second)
    return (at if at < SUMMER else at.replace(tzinfo=timezone(timedelta(hours=2)))).isoformat()


def working_hours() -> list[tuple[int, int]]:
    """Return first and last second of each pressing day's work."""
    return [(day_start(day) + OPENS, day_start(day) + CLOSES) for day in range(PRESS_DAYS)]


NEVER = day_start(PRESS_DAYS + 5)
"""After everything."""


def next_open(second: int) -> int:
    """Return `second` if the plant works then, else when it opens next."""
    for start, end in working_hours():
        if second < end:
            return max(second, start)
    return NEVER


def after_work(second: int, seconds: int) -> int:
    """Return when `seconds` of working time have passed since `second`; nights and weekends do not count."""
    for start, end in working_hours():
        begin = max(second, start)
        if begin >= end:
            continue
        if begin + seconds <= end:
            return begin + seconds
        seconds -= end - begin
    return NEVER


def is_late_shift(second: int) -> bool:
    """Return whether it is the shift from 14:00 on."""
    return second % DAY >= MID_SHIFT


class Clock:
    """Wakes the jobs of the plant in the order of time."""

    def __init__(self) -> None:
        self.now = 0
        self._queue: list[tuple[int, int, Job]] = []
        self._ticket = itertools.count()

    def start(self, job: Job, second: int) -> None:
        """Begin a job at a time."""
        heapq.heappush(self._queue, (second, next(self._ticket), job))

    def run(self, end: int) -> None:
        """Let all jobs work until a time; those that are not done then are left where they are."""
        while self._queue and self._queue[0][0] < end:
            self.now, _ticket, job = heapq.heappop(self._queue)
            wake = next(job, None)
            if wake is not None:
                self.start(job, max(wake, self.now + 1))


@dataclass(frozen=True, slots=True)
class Noted:
    """One scan of a station."""

    second: int
    raw: str


@dataclass(slots=True)
class Station:
    """A station: its scans so far, and who is signed on."""

    code: str
    area: str
    name: str
    crew: tuple[str, ...]
    """Badges of the early and the late shift, as scanned."""
    clock: Clock
    dice: random.Random
    scans: list[Noted] = field(default_factory=list)
    last: int = 0
    """Second of the last scan."""
    signed_on: str = ""

    def scan(self, *raws: str, pace: int = 0) -> None:
        """Note scans one after the other, a few seconds apart, none before the present.

        Args:
            raws: lines as the reader sends them.
            pace: seconds before each; 0 takes two to five.
        """
        for raw in raws:
            self.last = max(self.last + (pace or self.dice.randint(2, 5)), self.clock.now)
            self.scans.append(Noted(self.last, raw))

    def sign_on(self, badge: str = "") -> None:
        """Scan a badge if somebody else was signed on: the crew of this shift, or a person named."""
        wanted = badge or self.crew[is_late_shift(self.clock.now)]
        if wanted != self.signed_on:
            self.scan(wanted)
            self.signed_on = wanted

    def rest(self) -> int:
        """Return when what these scans made may be used elsewhere."""
        return max(self.last, self.clock.now) + HAND_OVER

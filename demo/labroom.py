"""The lab: draws what the presses call for, measures, listens, and releases lots for quality."""

import heapq
from itertools import count

from clockwork import DAY, HOUR, Job, local_time, moment
from incidents import LISTENER_AWAY, UNRELATED
from plantdata import QUALITY, LotPlan
from stock import Plant, Sample

from tracelink.identity.rawlines import raw_act, raw_plant

MINUTE = 60
_AWAY_FROM, _BACK = (moment(*when) for when in LISTENER_AWAY)
DRIFT_LOTS = frozenset({10})
"""Lots whose discs get heavier, slowly and well inside what is usual."""
_DRIFT_FROM = moment(7, 6.0)


class Lab:
    """The lab's bench and what waits there."""

    def __init__(self, plant: Plant) -> None:
        self.plant = plant
        self.station = plant.stations["Lab"]
        self.dice = plant.dice("lab")
        self._to_draw: list[Sample] = []
        self._due: list[tuple[int, int, Job]] = []
        self._ticket = count()

    def draw(self, sample: Sample) -> None:
        """Ask for a sample to be drawn; it says so itself when that is done."""
        self._to_draw.append(sample)

    def pressed(self, plan: LotPlan) -> None:
        """Ask for a decision on a lot that is pressed."""
        self._at(self.plant.clock.now + 2 * HOUR, self._release(plan))

    def work(self) -> Job:
        """Draw samples as they are called for, and do in between what is due."""
        clock = self.plant.clock
        while True:
            if self._to_draw:
                yield from self._draw(self._to_draw.pop(0))
            elif self._due and self._due[0][0] <= clock.now and 6 * HOUR <= clock.now % DAY < 22 * HOUR:
                yield from heapq.heappop(self._due)[2]
            else:
                yield clock.now + 20

    def _at(self, second: int, job: Job) -> None:
        heapq.heappush(self._due, (second, next(self._ticket), job))

    def _scan(self, *raws: str) -> int:
        self.station.sign_on()
        self.station.scan(*raws)
        return self.station.rest()

    def _draw(self, sample: Sample) -> Job:
        yield self._scan(
            raw_act("SAMPLE"), raw_plant(sample.lot.code), raw_plant(sample.code), f"#{sample.stroke}"
        )
        now = self.plant.clock.now
        sample.drawn, sample.second = True, now
        self._at(now + 30 * MINUTE, self._measure(sample, now))
        self._at(self._listening(sample, now), self._judge(sample))

    @staticmethod
    def _listening(sample: Sample, now: int) -> int:
        if sample.first_off:
            return now + 15 * MINUTE
        return _BACK if _AWAY_FROM <= now < _BACK else now + 90 * MINUTE

    def _measure(self, sample: Sample, drawn: int) -> Job:
        mass = 141.0 + self.dice.gauss(0, 0.7)
        if sample.lot.number in DRIFT_LOTS and drawn > _DRIFT_FROM:
            mass += 2.4 * (drawn - _DRIFT_FROM) / (3 * DAY)
        warp = abs(self.dice.gauss(0.6, 0.18))
        for value in (f"mass={mass:.1f} g", f"warp={warp:.2f} mm"):
            yield self._scan(raw_act("MEASURE"), raw_plant(sample.code), f'"{value}')

    def _judge(self, sample: Sample) -> Job:
        if sample.defect is None:
            yield self._scan(raw_act("GOOD"), raw_plant(sample.code))
        else:
            yield self._scan(raw_act("BAD"), raw_plant(sample.code), f'"{sample.defect}')
            sample.judged_at = local_time(self.station.last)

    def _release(self, plan: LotPlan) -> Job:
        if self.plant.is_suspended(plan.product):
            return
        late = self.plant.clock.now % DAY >= 14 * HOUR
        self.station.sign_on(QUALITY[late])
        reason = "first-offs good, samples good"
        if _AWAY_FROM <= self.plant.clock.now < _BACK:
            reason = "first-offs good, mass and warp within limits; listening to follow"
        if plan.number == UNRELATED[0]:
            reason += f"; one sample with {UNRELATED[2]}, its stack looked through by hand"
        self.station.scan(raw_act("RELEASE"), raw_plant(plan.code), f'"{reason}')
        yield self.station.rest()
        self.plant.released.add(plan.code)

"""A press: sets lots up, presses, stacks, throws out, changes what is worn, and calls for samples."""

from clockwork import Job, after_work, moment, next_open
from incidents import LOST_STACK, SCRATCH, SCRATCH_DEFECT, SWAPPED_LOT, UNRELATED
from labroom import MINUTE, Lab
from plantdata import LotPlan, code
from stock import Plant, Sample, Spindle, Stamper

from tracelink.identity.rawlines import raw_act, raw_plant

CYCLE_S = 25
"""Seconds a stroke of a 12-inch press (see the guide, sources)."""
STACK = 100
SAMPLE_EVERY = 500
"""Strokes; common practice is first-off, last-off and one in N."""
SCRAP_SHARE = 0.022
"""Of all strokes; common practice says 2 to 10 % for black."""
REST_MINUTES = 180
"""Before sleeving; one works rests 140 g discs 3 hours (see the guide, sources)."""
COMPOUND_STROKES = 4300
"""Strokes that a delivery of compound lasts on one press; a choice of this plant."""
DISC_G = 160
"""Grams of compound to a disc, trim included; a choice of this plant."""
HOPPER_DISCS = 156
"""Discs to a filling of a press's hopper, 25 kg; a choice of this plant."""
WORN_SHARE = 0.9
"""Share of its limit from which a stamper is not mounted again."""


class Press:
    """One press and its queue of lots."""

    def __init__(self, plant: Plant, lab: Lab, number: int) -> None:
        self.plant = plant
        self.lab = lab
        self.station = plant.stations[f"Press {number}"]
        self.dice = plant.dice(f"press {number}")
        self.compound = 10 * number
        self.compound_left = plant.scale.strokes(COMPOUND_STROKES)

    def work(self, queue: tuple[LotPlan, ...]) -> Job:
        """Run the lots of the queue one after the other."""
        for plan in queue:
            yield next_open(max(self.plant.clock.now + 20 * MINUTE, moment(*plan.not_before)))
            yield from _Run(self, plan).work()

    def compound_code(self) -> str:
        """Return the compound lot in the silo."""
        return code("C", self.compound)


class _Run:
    """One lot on the press."""

    def __init__(self, press: Press, plan: LotPlan) -> None:
        self.press, self.plan, self.plant = press, plan, press.plant
        self.station, self.dice, self.lab = press.station, press.dice, press.lab
        self.strokes = self.plant.scale.strokes(plan.strokes)
        self.counter = 0
        self.stacked = 0
        """Counter at the last stack."""
        self.drawn = 0
        """Samples since then."""
        self.stacks = 0
        self.first_offs = {1}
        self.mounted: dict[str, Stamper] = {}
        self.suspect_from: int | None = None
        """First stroke since the last stack that turns out suspect."""

    def work(self) -> Job:
        yield from self._set_up()
        beat = self.plant.clock.now
        next_stack = self._next_stack()
        while self.counter < self.strokes:
            stroke = min(next_stack, self._next_sample(), self._next_change(), self.strokes)
            beat = after_work(beat, self.plant.scale.seconds(CYCLE_S) * (stroke - self.counter))
            yield max(beat, next_open(self.plant.clock.now))
            self._press_up_to(stroke)
            if self._is_sample(stroke):
                yield from self._sample(stroke)
            if stroke in {next_stack, self.strokes}:
                yield from self._stack(stroke)
                next_stack = self._next_stack()
            if stroke < self.strokes and self._change(stroke):
                beat = after_work(beat, 8 * MINUTE)
                yield self.station.rest()
        self.station.sign_on()
        self.station.scan(raw_act("STOP"), f"#{self.strokes}")
        yield self.station.rest()
        self._put_back()
        self.plant.pressed.add(self.plan.code)
        self.lab.pressed(self.plan)

    def _matrix(self, side: str) -> str:
        return self.plan.product.matrix(self.plan.piece, side)

    def _set_up(self) -> Job:
        scan = self.station.scan
        self.mounted = {side: self.plant.stampers[self._matrix(side)].pop(0) for side in "AB"}
        self.station.sign_on()
        scan(raw_act("SETUP"), raw_plant(self.plan.code))
        if self.plan.number == SWAPPED_LOT:
            scan(raw_plant(self.mounted["B"].code))
            what = "side B stamper is scanned for side A at set-up"
            self.plant.stops(
                self.station, "pair-swapped", what, lot=self.plan.code, stamper=self.mounted["B"].code
            )
        scan(*(raw_plant(self.mounted[side].code) for side in "AB"), raw_plant(self.press.compound_code()))
        scan(*(raw_plant(self.plan.product.label(self.plan.piece, side)) for side in "AB"))
        yield next_open(self.station.rest() + 12 * MINUTE)
        self.station.sign_on()
        scan(raw_act("START"), f'"{self._matrix("A")}', f'"{self._matrix("B").lower()}')
        yield self.station.rest()

    def _next_stack(self) -> int:
        size = self.plant.scale.pack(STACK)
        return self.counter + size + self.dice.randint(-size // 20, size // 20)

    def _next_sample(self) -> int:
        every = self.plant.scale.strokes(SAMPLE_EVERY)
        later = [stroke for stroke in self.first_offs if stroke > self.counter]
        if self.plan.number == UNRELATED[0]:
            later += [s for s in (self._unrelated(), self._unrelated() + 1) if s > self.counter]
        return min([*later, (self.counter // every + 1) * every])

    def _unrelated(self) -> int:
        return self.plant.scale.strokes(UNRELATED[1])

    def _next_change(self) -> int:
        left = [stamper.limit - stamper.life for stamper in self.mounted.values()]
        return self.counter + max(1, min([*left, self.press.compound_left]))

    def _press_up_to(self, stroke: int) -> None:
        """Count strokes on everything that wears, and see when discs begin to be suspect."""
        made = stroke - self.counter
        for stamper in self.mounted.values():
            stamper.life += made
        self.press.compound_left -= made
        bad = self.plant.bad
        if bad in self.mounted.values() and bad is not None:
            good = self.plant.scale.strokes(SCRATCH.last_good)
            if bad.life > good and self.suspect_from is None:
                self.suspect_from = stroke - min(made, bad.life - good) + 1
        self.counter = stroke

    def _is_sample(self, stroke: int) -> bool:
        every = self.plant.scale.strokes(SAMPLE_EVERY)
        worn = any(stamper.life >= stamper.limit for stamper in self.mounted.values())
        planned = stroke in self.first_offs or stroke % every == 0 or stroke == self.strokes
        unrelated = self.plan.number == UNRELATED[0] and 0 <= stroke - self._unrelated() <= 1
        return worn or planned or unrelated

    def _sample(self, stroke: int) -> Job:
        fresh = any(not stamper.approved for stamper in self.mounted.values())
        sample = Sample(self.plant.next_code("S"), self.plan, stroke, fresh, self._defect(stroke))
        for stamper in self.mounted.values():
            stamper.approved = True
        self.lab.draw(sample)
        while not sample.drawn:
            yield next_open(self.plant.clock.now + 20)
        self.drawn += 1
        bad = self.plant.bad
        if bad is not None and bad in self.mounted.values():
            self.plant.bad_samples.append((sample, bad.life))

    def _defect(self, stroke: int) -> str | None:
        bad = self.plant.bad
        if bad is not None and bad in self.mounted.values():
            return SCRATCH_DEFECT if bad.life >= self.plant.scale.strokes(SCRATCH.onset) else None
        unrelated = self.plan.number == UNRELATED[0] and stroke == self._unrelated()
        return UNRELATED[2] if unrelated else None

    def _stack(self, stroke: int) -> Job:
        count = stroke - self.stacked - self.drawn
        self.stacked, self.drawn = stroke, 0
        if count < 1:
            return
        self.stacks += 1
        card = self.plant.next_code("K")
        self.station.sign_on()
        self.station.scan(raw_act("STACK"), raw_plant(card), f"#{stroke}")
        thrown = min(count - 1, sum(self.dice.random() < SCRAP_SHARE for _ in range(count)))
        if thrown:
            self.station.scan(raw_act("SCRAP"), f"#{thrown}")
        self._note_onset(card)
        suspect, self.suspect_from = self.suspect_from is not None, None
        ready = self.station.last + (REST_MINUTES + 10) * MINUTE
        spindle = Spindle(
            card, self.plan.code, self.plan.product, self.plan.piece, count - thrown, ready, suspect
        )
        yield self.station.rest()
        if (self.plan.number, self.stacks) == LOST_STACK:
            self.plant.lost_spindle = card
            return
        self.plant.racks[self.plan.product.gtin, self.plan.piece].append(spindle)

    def _note_onset(self, card: str) -> None:
        bad = self.plant.bad
        onset = self.plant.scale.strokes(SCRATCH.onset)
        if bad is not None and bad in self.mounted.values() and bad.life >= onset:
            self.plant.onset_spindle = self.plant.onset_spindle or card

    def _change(self, stroke: int) -> bool:
        """Change every stamper that is worn and the compound that is used up; return whether any was."""
        new = []
        for side, stamper in self.mounted.items():
            if stamper.life >= stamper.limit:
                self.plant.worn.append(stamper)
                self.mounted[side] = self.plant.stampers[self._matrix(side)].pop(0)
                self.first_offs.add(stroke + 1)
                new.append(self.mounted[side].code)
        if self.press.compound_left <= 0:
            self.press.compound += 1
            self.press.compound_left = self.plant.scale.strokes(COMPOUND_STROKES)
            new.append(self.press.compound_code())
        if new:
            self.station.sign_on()
        for component in new:
            self.station.scan(raw_act("CHANGE"), raw_plant(component), f"#{stroke}")
        return bool(new)

    def _put_back(self) -> None:
        for side, stamper in self.mounted.items():
            if stamper.life < WORN_SHARE * stamper.limit:
                self.plant.stampers[self._matrix(side)].insert(0, stamper)
            else:
                self.plant.worn.append(stamper)

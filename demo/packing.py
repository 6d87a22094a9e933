"""A packing line: clears, opens sleeves and stacks, packs disc by disc, and meets what goes wrong there."""

from clockwork import DAY, HOUR, Job, day_start, is_late_shift, moment, working_hours
from incidents import LEFT_BEHIND, PACKING_PLAN, SUPERSEDED
from labroom import MINUTE
from plantdata import BLUE, PRODUCTS, Product
from pressroom import STACK
from reasons import END_OF_SHIFT
from stock import PHASE_2_DAY, Carton, Plant, Spindle
from unitwork import UnitWork

from tracelink.identity.rawlines import raw_act, raw_plant, raw_sscc

BEGINS, LAST_JOB, ENDS = int(6.5 * HOUR), 20 * HOUR, int(20.25 * HOUR)
"""Of a day's packing; a job ends with its carton."""
JOB_UNITS = 900
"""Units after which a line packs something else; a choice of this plant."""
STACKS_TO_BEGIN = 4


class Line:
    """One packing line."""

    def __init__(self, plant: Plant, number: int) -> None:
        self.plant = plant
        self.number = number
        self.station = plant.stations[f"Packing line {number}"]
        self.mates = plant.stations[f"Packing line {3 - number}"].crew
        self.units = UnitWork(plant, self.station)
        self.last: Product | None = None

    def work(self) -> Job:
        """Pack what has waited longest, job after job."""
        for opens, _closes in working_hours():
            start = opens - opens % DAY
            yield start + BEGINS
            if self.number == 1 and start == day_start(PHASE_2_DAY):
                yield from self._try_held_stack()
            while self.plant.clock.now < start + LAST_JOB:
                product = self._next_product()
                if product is None:
                    yield self.plant.clock.now + 5 * MINUTE
                else:
                    yield from self._job(product, start + ENDS)

    def _next_product(self) -> Product | None:
        ready = [product for product in PRODUCTS if self._may_begin(product)]
        # Editions with nearly the same artwork follow each other, because they share their inserts.
        follows = [product for product in ready if self.last and LEFT_BEHIND.get(product) == self.last]
        return min(follows or ready, key=self.plant.oldest, default=None)

    def _may_begin(self, product: Product) -> bool:
        if product.gtin in self.plant.packing or self.plant.is_suspended(product):
            return False
        ready, allowed = self.plant.ready_discs(product), self._allowed(product)
        if allowed <= 0 or ready <= 0:
            return False
        enough = min(STACKS_TO_BEGIN * self.plant.scale.pack(STACK), allowed)
        # What is left of a product that is pressed is packed too, however little it is.
        return ready >= enough or (
            ready == self.plant.waiting_discs(product) and self.plant.is_pressed(product)
        )

    def _allowed(self, product: Product) -> int:
        """How many units of a product may still be packed today."""
        if product.edition:
            return self.plant.edition - len(self.plant.numbered_in)
        limits = [
            units for when, units in PACKING_PLAN.get(product, ()) if moment(*when) <= self.plant.clock.now
        ]
        if product not in PACKING_PLAN:
            return self.plant.scale.strokes(JOB_UNITS)
        return self.plant.scale.strokes(max(limits, default=0)) - self.plant.packed[product.gtin]

    def _job(self, product: Product, ends: int) -> Job:
        self.plant.packing.add(product.gtin)
        self._open(product)
        left = min(self._allowed(product), self.plant.scale.strokes(JOB_UNITS))
        while left > 0 and self.plant.ready_discs(product) > 0 and self.plant.clock.now < ends:
            carton = self._fill(product, min(left, self.plant.carton_size(product)))
            left -= carton.units
            yield self.station.rest()
            self.plant.cartons[product.gtin].append(carton)
        self.last = product
        self.plant.packing.discard(product.gtin)

    def _clear(self) -> None:
        self.station.sign_on()
        self.station.scan(raw_act("CLEAR"), self.mates[is_late_shift(self.plant.clock.now)])

    def _open(self, product: Product) -> None:
        self._clear()
        if product == SUPERSEDED and not self.plant.packed[product.gtin]:
            self.station.scan(raw_plant(product.superseded_batch))
            what = "sleeves of a superseded print are fetched first"
            self.plant.stops(self.station, "superseded-sleeve", what, batch=product.superseded_batch)
        self.station.scan(raw_plant(product.batch))
        self.units.begin(product)

    def _fill(self, product: Product, size: int) -> Carton:
        """Fill one carton and close it, full or with what there is."""
        self.station.sign_on()
        sscc = self.plant.next_sscc("carton")
        self.units.open_stacks()
        self.station.scan(raw_sscc(sscc))
        self.units.new_carton()
        taken: list[Spindle] = []
        units = 0
        while units < size and self.plant.ready_discs(product) > 0:
            taken += self.units.pack_one(sscc)
            units += 1
        self.station.scan(raw_act("CLOSE"))
        if units < self.plant.carton_size(product):
            self.station.scan(END_OF_SHIFT.scan)
        lots = frozenset(spindle.lot for spindle in taken)
        suspect = any(spindle.suspect for spindle in taken)
        return Carton(sscc, product, units, lots, suspect, sscc == self.plant.held_carton)

    def _try_held_stack(self) -> Job:
        """On the morning of the hold somebody begins where the line stopped: with a stack that is held now."""
        spindle = next(each for each in self.plant.racks[BLUE.gtin, 1] if each.suspect)
        self._clear()
        self.station.scan(raw_plant(BLUE.batch), raw_plant(spindle.code))
        what = "a stack on hold is brought to the line"
        self.plant.stops(self.station, "on-hold", what, spindle=spindle.code)
        yield self.station.rest()

"""The dock gates: build pallets, accept what is released, ship what is ordered."""

from clockwork import DAY, HOUR, Job, day_start, local_time, moment, working_hours
from labroom import MINUTE
from plantdata import BLUE, COMET, ORDERS, PRODUCTS, STUCK_ORDER, Order, Product
from stock import PHASE_2_DAY, Carton, Pallet, Plant

from tracelink.identity.rawlines import raw_act, raw_plant, raw_sscc

BEGINS, ENDS = int(6.5 * HOUR), int(21.5 * HOUR)
SHORT_PALLETS = 18 * HOUR
"""Hour of the day from which the rest of a product goes on a pallet of its own."""


class Gate:
    """One gate of the dock; only gate 1 builds and accepts."""

    def __init__(self, plant: Plant, number: int) -> None:
        self.plant = plant
        self.number = number
        self.station = plant.stations[f"Dock, gate {number}"]
        self.open = [order for order in ORDERS if order.gate == number]
        self.is_stuck = False
        """Whether a vehicle stands here loaded and may not leave."""

    def work(self) -> Job:
        """Look every few minutes what there is to do."""
        for opens, _closes in working_hours():
            start = opens - opens % DAY
            yield start + BEGINS
            if start == day_start(PHASE_2_DAY):
                yield moment(PHASE_2_DAY, 7 + self.number / 2)
                yield from self._try_held_pallets()
            while self.plant.clock.now < start + ENDS:
                if self.number == 1:
                    yield from self._build_and_accept()
                yield from self._ship_what_is_due()
                yield self.plant.clock.now + 5 * MINUTE

    def _build_and_accept(self) -> Job:
        for product in PRODUCTS:
            if not self.plant.is_suspended(product):
                yield from self._build(product)
        for pallet in self.plant.pallets:
            released = pallet.lots <= self.plant.released
            if released and not pallet.accepted and not self.plant.is_suspended(pallet.product):
                self.station.sign_on()
                self.station.scan(raw_act("ACCEPT"), raw_sscc(pallet.sscc))
                yield self.station.rest()
                pallet.accepted = True

    def _build(self, product: Product) -> Job:
        free = [carton for carton in self.plant.cartons[product.gtin] if not carton.held]
        size = self.plant.scale.pack(product.pallet)
        short = self.plant.clock.now % DAY >= SHORT_PALLETS and self.plant.is_finished(product)
        if len(free) < size and not (short and free):
            return
        yield from self._stack_cartons(product, free[:size])

    def _stack_cartons(self, product: Product, cartons: list[Carton]) -> Job:
        for carton in cartons:
            self.plant.cartons[product.gtin].remove(carton)
        sscc = self.plant.next_sscc("pallet")
        self.station.sign_on()
        self.station.scan(raw_act("PALLET"), raw_sscc(sscc))
        self.station.scan(*(raw_sscc(carton.sscc) for carton in cartons), raw_act("CLOSE"))
        yield self.station.rest()
        units = sum(carton.units for carton in cartons)
        lots = frozenset(lot for carton in cartons for lot in carton.lots)
        suspect = any(carton.suspect for carton in cartons)
        self.plant.pallets.append(Pallet(sscc, product, units, lots, suspect, cartons))

    def _ready_for(self, order: Order) -> list[Pallet]:
        return [
            p for p in self.plant.pallets if p.product == order.product and p.accepted and p.order is None
        ]

    def _ship_what_is_due(self) -> Job:
        for order in list(self.open):
            is_due = moment(*order.due) <= self.plant.clock.now
            if self.is_stuck or not is_due or self.plant.is_suspended(order.product):
                continue
            pallets = self._ready_for(order)[: order.pallets]
            rest = pallets and self.plant.is_finished(order.product)
            if len(pallets) == order.pallets or rest:
                self.open.remove(order)
                yield from self._ship(order, pallets)

    def _ship(self, order: Order, pallets: list[Pallet]) -> Job:
        self.is_stuck = order == STUCK_ORDER
        # The second pallet is left for the morning.
        loaded = pallets[:1] if self.is_stuck else pallets
        for pallet in loaded:
            pallet.order = order
        self.station.sign_on()
        self.station.scan(raw_act("SHIP"), raw_plant(order.code), *(raw_sscc(p.sscc) for p in loaded))
        if not self.is_stuck:
            self.station.scan(raw_act("DEPART"))
            self.plant.departed[order.code] = local_time(self.station.last)
        yield self.station.rest()

    def _try_held_pallets(self) -> Job:
        """On the morning of the hold: accept one, load another, let the vehicle go that has one on it."""
        self.station.sign_on()
        if self.number == 1:
            self._try_accepting()
        else:
            self._try_shipping()
        yield self.station.rest()

    def _try_accepting(self) -> None:
        pallet = next(p for p in self.plant.pallets if p.product == BLUE and p.suspect)
        self.station.scan(raw_act("ACCEPT"), raw_sscc(pallet.sscc))
        self._held("a pallet on hold is to be accepted", pallet)
        self.station.scan(raw_act("CANCEL"))

    def _try_shipping(self) -> None:
        waiting = next(p for p in self.plant.pallets if p.product == COMET and p.suspect and p.order is None)
        self.station.scan(raw_sscc(waiting.sscc))
        self._held("a pallet on hold is to be loaded", waiting)
        loaded = next(p for p in self.plant.pallets if p.order == STUCK_ORDER)
        self.station.scan(raw_act("DEPART"))
        self._held("a vehicle is to leave with a pallet that was held after it was loaded", loaded)

    def _held(self, what: str, pallet: Pallet) -> None:
        self.plant.stops(self.station, "on-hold", what, pallet=pallet.sscc)

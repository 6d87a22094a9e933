"""What the demo plant has in hand while it works: tools, stacks, cartons, pallets, and the next free numbers."""

import itertools
import random
from collections import Counter, defaultdict
from dataclasses import dataclass, field

from clockwork import NEVER, Clock, Station, day_start
from measure import Scale
from plantdata import (
    BLUE,
    COMET,
    LOTS,
    MILLS,
    STATIONS,
    LotPlan,
    Order,
    Product,
    badge_scan,
    carton_sscc,
    code,
    pallet_sscc,
    station_code,
)

PHASE_2_DAY = 9
"""Pressing day (from 0) on whose morning the hold stands."""


@dataclass(slots=True)
class Stamper:
    """A stamper: what it may still press."""

    code: str
    matrix: str
    limit: int
    """Strokes after which it is retired."""
    life: int = 0
    """Strokes made."""
    approved: bool = False
    """Whether a first-off of it was judged."""


@dataclass(slots=True)
class Sample:
    """A disc for the lab."""

    code: str
    lot: LotPlan
    stroke: int
    first_off: bool
    """Of a fresh stamper: judged at once."""
    defect: str | None
    """What the lab will find."""
    drawn: bool = False
    second: int = 0
    """When it was drawn."""
    judged_at: str = ""
    """Local time of a judgement as bad."""


@dataclass(slots=True)
class Spindle:
    """A stack of discs."""

    code: str
    lot: str
    product: Product
    piece: int
    remaining: int
    ready: int
    """Second from which it may be packed: cooled and carried over."""
    suspect: bool
    """Whether some of its strokes turn out suspect."""


@dataclass(slots=True)
class Carton:
    """A closed carton."""

    sscc: str
    product: Product
    units: int
    lots: frozenset[str]
    suspect: bool
    held: bool = False
    """Put aside because of a number seen twice."""


@dataclass(slots=True)
class Pallet:
    """A closed pallet."""

    sscc: str
    product: Product
    units: int
    lots: frozenset[str]
    suspect: bool
    cartons: list[Carton]
    accepted: bool = False
    order: Order | None = None


@dataclass(frozen=True, slots=True)
class Incident:
    """A scan that a station will stop."""

    station: Station
    scan: int
    """Its number at the station."""
    second: int
    finding: str
    """Code of the finding."""
    what: str
    codes: dict[str, str]


@dataclass(slots=True)
class Plant:
    """All of it together."""

    seed: int
    scale: Scale
    clock: Clock
    stations: dict[str, Station] = field(default_factory=dict)
    """By name."""
    stampers: dict[str, list[Stamper]] = field(default_factory=lambda: defaultdict(list))
    """On the shelf, by matrix number, those to take first in front."""
    worn: list[Stamper] = field(default_factory=list)
    """To be retired."""
    racks: dict[tuple[str, int], list[Spindle]] = field(default_factory=lambda: defaultdict(list))
    """Stacks by product and disc, oldest first."""
    cartons: dict[str, list[Carton]] = field(default_factory=lambda: defaultdict(list))
    """Closed and not on a pallet, by product."""
    pallets: list[Pallet] = field(default_factory=list)
    released: set[str] = field(default_factory=set)
    """Lots that quality released."""
    pressed: set[str] = field(default_factory=set)
    """Lots whose press was stopped."""
    packing: set[str] = field(default_factory=set)
    """Products that a line is packing now."""
    packed: Counter[str] = field(default_factory=Counter)
    """Units packed, by product."""
    incidents: list[Incident] = field(default_factory=list)
    """Every scan that a station will stop, in the order of booking it at that station."""
    bad: Stamper | None = None
    """The stamper that is scratched."""
    bad_samples: list[tuple[Sample, int]] = field(default_factory=list)
    """Samples pressed with it, and its life then."""
    onset_spindle: str = ""
    """The stack during which the scratch began."""
    lost_spindle: str = ""
    """The stack whose card got lost."""
    held_carton: str = ""
    """The carton with the first copy of a repeated number."""
    departed: dict[str, str] = field(default_factory=dict)
    """When each order left, local time by code."""
    numbered_in: dict[int, str] = field(default_factory=dict)
    """Carton (SSCC) of each number of the numbered edition."""
    _numbers: dict[str, "itertools.count[int]"] = field(init=False)

    def __post_init__(self) -> None:
        starts = {"K": 601, "S": 2001, "carton": 100, "pallet": 10}
        self._numbers = {name: itertools.count(first) for name, first in starts.items()}
        for area, name, crew in STATIONS:
            badges = tuple(badge_scan(person) for person in crew)
            self.stations[name] = Station(
                station_code(name), area, name, badges, self.clock, self.dice(f"pace {name}")
            )

    def dice(self, purpose: str) -> random.Random:
        """Return dice of their own for a purpose, so that a change in one place moves nothing elsewhere."""
        return random.Random(f"{self.seed} {purpose}")

    def next_code(self, letter: str) -> str:
        """Return a spindle card (K) or sample tag (S) not used before."""
        return code(letter, next(self._numbers[letter]))

    def next_sscc(self, what: str) -> str:
        """Return a carton or pallet label not used before."""
        return (carton_sscc if what == "carton" else pallet_sscc)(next(self._numbers[what]))

    def stops(self, station: Station, finding: str, what: str, **codes: str) -> None:
        """Note that the scan just made will be stopped.

        Args:
            station: where.
            finding: code of the finding.
            what: the incident in words.
            codes: the things it is about, by what they are.
        """
        scan = len(station.scans)
        self.incidents.append(Incident(station, scan, station.last, finding, what, codes))

    def carton_size(self, product: Product) -> int:
        """Return how many units go into a carton."""
        return self.scale.pack(product.carton)

    @property
    def edition(self) -> int:
        """How many copies the numbered edition has."""
        return self.scale.strokes(MILLS.edition)

    def is_suspended(self, product: Product) -> bool:
        """Return whether nobody touches this product because of the hold on the scratched stamper's discs."""
        return self.clock.now >= day_start(PHASE_2_DAY) and product in {COMET, BLUE}

    def is_finished(self, product: Product) -> bool:
        """Return whether no more of a product will be packed."""
        if product.edition and len(self.numbered_in) >= self.edition:
            return True
        return self.is_pressed(product) and self.waiting_discs(product) == 0

    def is_pressed(self, product: Product) -> bool:
        """Return whether every lot of a product is pressed."""
        return all(plan.code in self.pressed for plan in LOTS if plan.product == product)

    def hold_carton(self, product: Product, sscc: str) -> str:
        """Put a carton aside, wherever it stands, and return its SSCC."""
        self.held_carton = sscc
        for carton in self.cartons[product.gtin]:
            carton.held = carton.held or carton.sscc == sscc
        return sscc

    def waiting_discs(self, product: Product) -> int:
        """Return how many units of a product are on stacks, cooled or not."""
        return min(
            sum(spindle.remaining for spindle in self.racks[product.gtin, piece])
            for piece in range(1, product.discs + 1)
        )

    def ready_discs(self, product: Product) -> int:
        """Return how many units of a product could be packed now."""
        now = self.clock.now
        return min(
            sum(spindle.remaining for spindle in self.racks[product.gtin, piece] if spindle.ready <= now)
            for piece in range(1, product.discs + 1)
        )

    def oldest(self, product: Product) -> int:
        """Return since when the oldest stack of a product waits."""
        ready = [s.ready for piece in range(1, product.discs + 1) for s in self.racks[product.gtin, piece]]
        return min(ready, default=NEVER)

"""What the demo plant is: products, people, stations, lots and orders, all invented.

Numbers follow the GS1 rules with the prefix 952, which GS1 reserves for examples.
"""

from dataclasses import dataclass
from functools import cache

from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.identity.rawlines import raw_plant

PREFIX = "9520777"
PLANT = "Invented Pressing Works"


@cache
def code(letter: str, number: int) -> str:
    """Return a plant code with its check character."""
    return PlantCode.build(CodeKind(letter), number).text


@cache
def gtin(number: int) -> str:
    """Return the GTIN-13 of the plant's product with this number, 1 to 99,999."""
    body = f"{PREFIX}{number:05d}"
    return body + gs1_check_digit(body)


def carton_sscc(serial: int) -> str:
    """Return a carton's SSCC."""
    return str(Sscc.build("0", PREFIX, serial))


def pallet_sscc(serial: int) -> str:
    """Return a pallet's SSCC."""
    return str(Sscc.build("1", PREFIX, serial))


@dataclass(frozen=True, slots=True)
class Product:
    """A product, with sizes as in the full plant."""

    number: int
    """Place in the plant's list, from 1."""
    short: str
    """Two letters that name the dice of its stampers; shown nowhere."""
    title: str
    carton: int
    """Units to a carton; 20 in one delivery account, 25 and 30 are common practice (see the guide, sources)."""
    pallet: int
    """Cartons to a pallet; a choice of this plant."""
    discs: int = 1
    edition: int = 0
    """Copies of a numbered edition, 0 if it has no numbers."""
    cut: int = 0
    """The number of the product whose stampers it shares, 0 if it has its own."""
    copper: bool = False
    """Whether it was cut in copper, so that stampers grow straight from the master."""
    items: tuple[str, ...] = ()
    """What else is scanned into a unit, in order; a kit."""
    prompt: str = ""
    """What is added to a unit without a code."""

    @property
    def gtin(self) -> str:
        """Its GTIN-13."""
        return gtin(self.number)

    @property
    def catalogue(self) -> str:
        """Its catalogue number."""
        return f"EX {100 + self.number}"

    def matrix(self, piece: int, side: str) -> str:
        """Return the matrix number of a side (A or B) of a disc: the sides of disc 2 are C and D."""
        letter = "ABCD"[2 * (piece - 1) + "AB".index(side)]
        return f"EX-{100 + (self.cut or self.number)}-{letter}1"

    @property
    def batch(self) -> str:
        """The sleeve batch in use."""
        return code("B", 10 * self.number + 1)

    @property
    def superseded_batch(self) -> str:
        """The sleeve batch of the print before."""
        return code("B", 10 * self.number)

    def item(self, place: int) -> str:
        """Return the code of an item of its kit, counted from 1."""
        return code("I", 10 * self.number + place)

    def label(self, piece: int, side: str) -> str:
        """Return the label lot of a side of a disc."""
        return code("E", 10 * self.number + 2 * piece + "AB".index(side))


HERON, COMET, BLUE, BRASS, MILLS, LEDGER, GRAVEL, MOTH, SALT = PRODUCTS = (
    Product(1, "CH", "Clockwork Heron Sleeps", 25, 20),
    Product(2, "PC", "Paper Comet Arithmetic", 20, 16),
    # Same cut as the first edition, other labels and another print of nearly the same artwork.
    Product(3, "PB", "Paper Comet Arithmetic (Blue)", 20, 16, cut=2),
    Product(4, "BU", "Brass Umbrella Weather", 20, 12, discs=2),
    Product(
        5,
        "NP",
        "Nine Pale Windmills",
        20,
        16,
        edition=500,
        items=("insert", "download card"),
        prompt="hype sticker",
    ),
    Product(6, "FL", "The Ferryman's Idle Ledger", 25, 20),
    Product(7, "GA", "Gravel Road Almanac", 30, 16),
    Product(8, "MP", "Moth Parliament", 25, 20),
    Product(9, "SS", "Salt Stair Signals", 30, 16, copper=True),
)


@dataclass(frozen=True, slots=True)
class LotPlan:
    """A lot that a press will run."""

    number: int
    product: Product
    piece: int
    strokes: int
    """As in the full plant."""
    not_before: tuple[int, float] = (0, 6)
    """Day and hour."""

    @property
    def code(self) -> str:
        """Code on the lot card."""
        return code("L", 4700 + self.number)


BAD_FIRST = LotPlan(7, COMET, 1, 3400, (2, 6))
"""The lot during which the stamper is scratched."""
BAD_SECOND = LotPlan(14, BLUE, 1, 1600, (8, 8.75))
"""The lot on which the scratched stamper is mounted again."""

PRESS_QUEUES = (
    (
        LotPlan(1, HERON, 1, 7000),
        LotPlan(2, BRASS, 1, 5000),
        LotPlan(3, MILLS, 1, 530),
        LotPlan(4, MOTH, 1, 5000),
        LotPlan(5, HERON, 1, 4500),
    ),
    (
        LotPlan(6, LEDGER, 1, 4400),
        BAD_FIRST,
        LotPlan(8, BRASS, 2, 5000),
        LotPlan(9, SALT, 1, 4000),
        LotPlan(10, GRAVEL, 1, 5000),
    ),
    (
        LotPlan(11, GRAVEL, 1, 8000),
        LotPlan(12, SALT, 1, 6000),
        LotPlan(13, LEDGER, 1, 4000),
        BAD_SECOND,
        LotPlan(15, MOTH, 1, 3000),
    ),
)
"""What each press runs, in order; strokes of a press add up to what 25 s a stroke allow in ten days."""

LOTS = tuple(plan for queue in PRESS_QUEUES for plan in queue)


@dataclass(frozen=True, slots=True)
class Order:
    """A customer's order, and from which gate and when it leaves."""

    number: int
    consignee: str
    country: str
    product: Product
    pallets: int
    gate: int
    due: tuple[int, float]
    """Day and hour from which it is loaded."""

    @property
    def code(self) -> str:
        """Code of the order."""
        return code("O", 20800 + self.number)


ALDER, BIRCH, CEDAR, DOGWOOD, ELM, FIR = (
    ("Example Alder Wholesale", "DE"),
    ("Example Birch Records", "FR"),
    ("Example Cedar Trading", "US"),
    ("Example Dogwood Distribution", "GB"),
    ("Example Elm Import", "JP"),
    ("Example Fir Mail Order", "PL"),
)

STUCK_ORDER = Order(5, *ELM, COMET, 2, 2, (8, 19.0))
"""One pallet is loaded on the evening before the hold, the other is tried after it."""

ORDERS = (
    Order(1, *ALDER, HERON, 6, 1, (3, 9.0)),
    Order(2, *CEDAR, HERON, 4, 2, (4, 10.0)),
    Order(3, *BIRCH, COMET, 4, 1, (5, 9.0)),
    Order(4, *DOGWOOD, COMET, 4, 2, (5, 15.0)),
    STUCK_ORDER,
    Order(6, *FIR, LEDGER, 5, 1, (3, 14.0)),
    Order(7, *BIRCH, LEDGER, 3, 1, (8, 10.0)),
    Order(8, *ALDER, GRAVEL, 8, 1, (5, 14.0)),
    Order(9, *CEDAR, GRAVEL, 5, 2, (6, 9.0)),
    Order(10, *DOGWOOD, SALT, 6, 2, (7, 9.0)),
    Order(11, *ALDER, BRASS, 8, 1, (7, 13.0)),
    Order(12, *ELM, BRASS, 6, 2, (7, 15.0)),
    Order(13, *FIR, MILLS, 1, 1, (7, 9.0)),
    Order(14, *BIRCH, MOTH, 5, 1, (8, 14.0)),
    Order(15, *ALDER, SALT, 5, 1, (9, 9.0)),
    Order(16, *FIR, MOTH, 3, 1, (9, 10.0)),
    Order(17, *BIRCH, GRAVEL, 3, 1, (9, 13.0)),
)

PEOPLE = (
    ("Ada", ("tool",)),
    ("Bero", ("press",)),
    ("Cleo", ("press",)),
    ("Dov", ("press",)),
    ("Edda", ("press",)),
    ("Finn", ("press",)),
    ("Gita", ("press",)),
    ("Hana", ("lab",)),
    ("Ivo", ("lab",)),
    ("June", ("quality", "lab", "line", "dock")),
    ("Kofi", ("quality", "lab")),
    ("Lena", ("line",)),
    ("Milo", ("line",)),
    ("Nadia", ("line",)),
    ("Otis", ("line",)),
    ("Pia", ("dock",)),
    ("Quin", ("dock",)),
    ("Sena", ("process",)),
    ("Tilo", ("assembly",)),
    ("Ulla", ("assembly", "process")),
    ("Vito", ("assembly",)),
    ("Wera", ("assembly",)),
    ("Yann", ("assembly",)),
    ("Zita", ("dock",)),
)
"""Everybody with a badge; badge numbers count from 301."""


def badge(name: str) -> str:
    """Return the code on somebody's badge."""
    return code("P", 301 + [person for person, _roles in PEOPLE].index(name))


def badge_scan(name: str) -> str:
    """Return the scan of somebody's badge."""
    return raw_plant(badge(name))


STATIONS = (
    ("tool", "Tool room", ("Ada", "Ada")),
    ("press", "Press 1", ("Bero", "Cleo")),
    ("press", "Press 2", ("Dov", "Edda")),
    ("press", "Press 3", ("Finn", "Gita")),
    ("lab", "Lab", ("Hana", "Ivo")),
    ("line", "Packing line 1", ("Lena", "Milo")),
    ("line", "Packing line 2", ("Nadia", "Otis")),
    ("dock", "Dock, gate 1", ("Pia", "Quin")),
    ("dock", "Dock, gate 2", ("Quin", "Pia")),
)
"""Area, name, and who works there in the early and the late shift."""

QUALITY = (badge_scan("June"), badge_scan("Kofi"))
"""Who decides on lots, in the early and the late shift."""


SPARE_LINE = code("W", 30)
"""A third packing line, where nobody works in the ten days."""
SPARE_GATE = code("W", 31)
"""A third gate of the dock, for small orders and returns."""


def station_code(name: str) -> str:
    """Return the code of a station by its name."""
    return code("W", 11 + [each for _area, each, _crew in STATIONS].index(name))

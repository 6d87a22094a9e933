"""A small invented plant for tests: codes, a plant file, and a ledger with shorthand for scanning."""

from dataclasses import dataclass, field
from typing import Any

from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.identity.rawlines import raw_act, raw_disc, raw_plant, raw_sleeve, raw_sscc
from tracelink.identity.sscc import Sscc
from tracelink.ledger.entry import Stamp
from tracelink.ledger.plantfile import read_plant_file
from tracelink.station.outcome import Verdict
from tracelink.store.ledger import Ledger

PREFIX = "9520000"
"""GS1 reserves the prefix 952 for examples."""

START = "2031-03-03T08:00:00+01:00"


def code(letter: str, number: int) -> str:
    return PlantCode.build(CodeKind(letter), number).text


def gtin(number: int) -> str:
    body = f"952{number:09d}"
    return body + gs1_check_digit(body)


def carton_sscc(serial: int) -> str:
    return str(Sscc.build("0", PREFIX, serial))


def pallet_sscc(serial: int) -> str:
    return str(Sscc.build("1", PREFIX, serial))


def plant_data() -> dict[str, Any]:
    """Three products: one disc, a two-disc set, a numbered edition; five stations (two lines)."""
    products = [
        {
            "gtin": gtin(1),
            "catalogue_number": "HL-1",
            "title": "Harbour Lights",
            "carton_size": 5,
            "parts": _parts("HL", 1, 1),
        },
        {
            "gtin": gtin(2),
            "catalogue_number": "LT-2",
            "title": "Low Tide",
            "carton_size": 3,
            "parts": _parts("LT", 2, 2),
        },
        {
            "gtin": gtin(3),
            "catalogue_number": "NG-3",
            "title": "Night Garden",
            "carton_size": 4,
            "numbered": True,
            "parts": _parts("NG", 3, 1),
        },
    ]
    roles = ["tool", "press", "lab", "line", "dock", "quality"]
    areas = ["tool", "press", "lab", "line", "dock", "line", "press"]
    discs = [(1, 1), (2, 1), (2, 2), (3, 1)]
    labels = [(g, p, s) for g, p in discs for s in "AB"]
    return {
        "plant": {
            "name": "Invented Pressing",
            "company_prefix": PREFIX,
            "matrix_pattern": "[A-Z]{2}-[0-9]{3}-[A-D]",
            "matrix_example": "HL-001-A",
        },
        "person": [
            {"code": code("P", 1), "name": "Ada", "roles": roles},
            {"code": code("P", 2), "name": "Ben", "roles": ["line", "quality"]},
            {"code": code("P", 3), "name": "Cleo", "roles": ["press"]},
        ],
        "station": [
            {"code": code("W", place), "area": area, "name": f"{area} {place}"}
            for place, area in enumerate(areas, 1)
        ],
        "product": products,
        "lot": [
            {"code": code("L", n), "gtin": gtin(g), "piece": p, "quantity": 20}
            for n, (g, p) in enumerate(discs, 1)
        ]
        + [
            {"code": code("L", 4 + n), "gtin": gtin(g), "piece": p, "quantity": 20}
            for n, (g, p) in enumerate(discs, 1)
        ],
        "material": [
            {"code": code("C", 1), "what": "compound", "detail": "black"},
            {"code": code("C", 2), "what": "compound", "detail": "black, second lot"},
        ]
        + [
            {
                "code": code("E", n),
                "what": "label",
                "detail": "print 1",
                "gtin": gtin(g),
                "piece": p,
                "side": s,
            }
            for n, (g, p, s) in enumerate(labels, 1)
        ],
        "sleeves": [
            {"code": code("B", 1), "gtin": gtin(1), "quantity": 100},
            {"code": code("B", 2), "gtin": gtin(2), "quantity": 100},
            {"code": code("B", 3), "gtin": gtin(3), "quantity": 100, "first_number": 1, "last_number": 100},
            {"code": code("B", 4), "gtin": gtin(1), "quantity": 100, "superseded": True},
        ],
        "sscc": [
            {"what": "carton", "extension": "0", "first_serial": 1, "last_serial": 1000},
            {"what": "pallet", "extension": "1", "first_serial": 1, "last_serial": 100},
        ],
        "order": [
            {"code": code("O", n), "consignee": f"Shop {n}", "country": "DE", "gtin": gtin(n), "quantity": 50}
            for n in (1, 2, 3)
        ],
    }


def _parts(prefix: str, number: int, discs: int) -> list[dict[str, str]]:
    sides = "ABCD"
    return [
        {
            "matrix_a": f"{prefix}-{number:03d}-{sides[2 * d]}",
            "matrix_b": f"{prefix}-{number:03d}-{sides[2 * d + 1]}",
        }
        for d in range(discs)
    ]


TOOL, PRESS, LAB, LINE, DOCK, LINE_2, PRESS_2 = (code("W", n) for n in range(1, 8))
MATRICES = ("HL-001-A", "HL-001-B", "LT-002-A", "LT-002-B", "LT-002-C", "LT-002-D", "NG-003-A", "NG-003-B")
"""One lacquer, father, mother and two stampers each: tools 10 n + 1 ... 10 n + 5 for matrix n = 0 ... 7."""


def stamper(matrix: str, which: int = 1) -> str:
    return code("T", 10 * MATRICES.index(matrix) + 3 + which)


@dataclass
class Floor:
    """A ledger with the small plant, scanned by shorthand: words are acts, letters and numbers plant codes."""

    ledger: Ledger
    at: str = START
    verdicts: list[Verdict] = field(default_factory=list)

    @classmethod
    def new(cls, place: str) -> "Floor":
        ledger = Ledger.create(place)
        with ledger.writing() as booking:
            for body in read_plant_file(plant_data(), new_ledger=True):
                booking.record(body, Stamp(START, "2031-03-03T07:00:00Z"))
        return cls(ledger)

    def scan(self, station: str, *lines: str) -> Verdict:
        """Scan lines one after the other and return the last verdict."""
        for line in lines:
            self.verdicts.append(self.ledger.scan(station, raw(line), self.at))
        return self.verdicts[-1]

    def tools(self) -> None:
        """Grow every tool of the plant."""
        self.scan(TOOL, "P1")
        for place, matrix in enumerate(MATRICES):
            t = [f"T{10 * place + n}" for n in range(1, 6)]
            side = "A" if matrix[-1] in "AC" else "B"
            self.scan(TOOL, "LACQUER", t[0], f'"{side}', f'"{matrix}', "GROW", t[0], t[1], "GROW", t[1], t[2])
            self.scan(TOOL, "GROW", t[2], t[3], "GROW", t[2], t[4])

    def press(
        self,
        lot: int,
        *,
        strokes: int = 20,
        stacks: int = 2,
        press: str = PRESS,
        first_card: int | None = None,
    ) -> None:
        """Press a lot in equal stacks on spindles 10 lot + 1, ...; lots 1 to 4 are the four discs."""
        place = (lot - 1) % 4
        a, b = MATRICES[2 * place], MATRICES[2 * place + 1]
        card = first_card or 10 * lot + 1
        self.scan(
            press,
            "P1",
            "SETUP",
            f"L{lot}",
            stamper(a),
            stamper(b),
            "C1",
            f"E{2 * place + 1}",
            f"E{2 * place + 2}",
        )
        self.scan(press, "START", f'"{a}', f'"{b}')
        for n in range(stacks):
            self.scan(press, "STACK", f"K{card + n}", f"#{strokes * (n + 1) // stacks}")
        self.scan(press, "STOP", f"#{strokes}")

    def open_line(self, batch: int, spindles: list[int], carton: int, line: str = LINE) -> Verdict:
        """Clear a line by two people and open a sleeve batch, spindles and a carton."""
        self.scan(line, "P1", "CLEAR", "P2", f"B{batch}", *(f"K{n}" for n in spindles))
        return self.scan(line, carton_sscc(carton))

    def match(self, product: int, times: int = 1, line: str = LINE) -> Verdict:
        """Scan disc and sleeve of a one-disc product."""
        for _ in range(times):
            self.scan(line, raw_disc(gtin(product), 1, 1), raw_sleeve(gtin(product)))
        return self.verdicts[-1]


def raw(line: str) -> str:
    """Return what the reader sends: full lines stay, words are act cards, T12 a plant code, digits an SSCC."""
    if line[0] in ']#"':
        return line
    if line.isdigit() and len(line) == 18:
        return raw_sscc(line)
    if line[0].isalpha() and line[1:].isdigit() and len(line) < 8:
        return raw_plant(code(line[0], int(line[1:])))
    if line[0].isalpha() and any(ch.isdigit() for ch in line):
        return raw_plant(line)
    return raw_act(line)

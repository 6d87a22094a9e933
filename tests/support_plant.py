"""A small invented plant for tests: codes, a plant file, and a ledger with shorthand for scanning."""

import re
import weakref
from collections import Counter
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import support_on_server
import support_sql
from sqlalchemy import Engine
from support_notation import Script
from support_plantfile import read_plant_file

from tracelink.identity.checkdigit import gs1_check_digit
from tracelink.identity.gs1.sscc import Sscc
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.identity.rawlines import (
    raw_act,
    raw_carton,
    raw_disc,
    raw_numbered_sleeve,
    raw_picture,
    raw_plant,
    raw_sleeve,
    raw_sscc,
)
from tracelink.ledger.entry import Stamp
from tracelink.station.common.outcome import Verdict, Word
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.ledger import Ledger, utc_now
from tracelink.store.office.board import at_station

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
    """Six products: one disc, a two-disc set, a numbered edition, a numbered set, a kit, a sister edition.

    Two stations of every area.
    """
    products = [
        {
            "gtin": gtin(1),
            "catalogue_number": "EX 101",
            "title": "Paper Comet Arithmetic",
            "carton_size": 5,
            "parts": _parts(1, 1),
        },
        {
            "gtin": gtin(2),
            "catalogue_number": "EX 102",
            "title": "Moth Parliament",
            "carton_size": 3,
            "parts": _parts(2, 2),
        },
        {
            "gtin": gtin(3),
            "catalogue_number": "EX 103",
            "title": "Nine Pale Windmills",
            "carton_size": 4,
            "numbered": True,
            "parts": _parts(3, 1),
        },
        {
            "gtin": gtin(4),
            "catalogue_number": "EX 104",
            "title": "Brass Umbrella Weather",
            "carton_size": 2,
            "numbered": True,
            "parts": _parts(4, 2),
        },
        {
            "gtin": gtin(5),
            "catalogue_number": "EX 105",
            "title": "Salt Stair Signals",
            "carton_size": 3,
            "numbered": True,
            "parts": _parts(5, 2),
        },
        {
            "gtin": gtin(6),
            "catalogue_number": "EX 106",
            "title": "Paper Comet Arithmetic",
            "carton_size": 5,
            "parts": _parts(6, 1),
        },
    ]
    roles = ["tool", "press", "lab", "line", "dock", "quality"]
    areas = ["tool", "press", "lab", "line", "dock", "line", "press", "lab", "dock", "tool"]
    discs = [(1, 1), (2, 1), (2, 2), (3, 1)]
    numbered_set = [(4, 1), (4, 2), (5, 1), (5, 2)]
    labels = [(g, p, s) for g, p in (*discs, *numbered_set) for s in "AB"]
    return {
        "plant": {
            "name": "Invented Pressing",
            "company_prefix": PREFIX,
            "matrix_pattern": "[A-Z]{2}-[0-9]{3}-[A-D]",
            "matrix_example": "EX-101-A",
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
            {"code": code("L", n), "gtin": gtin(g), "piece": p, "quantity": 500}
            for n, (g, p) in enumerate(discs, 1)
        ]
        + [
            {"code": code("L", 4 + n), "gtin": gtin(g), "piece": p, "quantity": 500}
            for n, (g, p) in enumerate((*discs, *numbered_set), 1)
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
            {"code": code("B", 5), "gtin": gtin(4), "quantity": 50, "first_number": 1, "last_number": 50},
            {"code": code("B", 6), "gtin": gtin(1), "quantity": 100},
            {"code": code("B", 7), "gtin": gtin(5), "quantity": 50, "first_number": 1, "last_number": 50},
        ],
        "sscc": [
            {"what": "carton", "extension": "0", "first_serial": 1, "last_serial": 1000},
            {"what": "pallet", "extension": "1", "first_serial": 1, "last_serial": 100},
        ],
        "order": [
            {"code": code("O", n), "consignee": f"Shop {n}", "country": "DE", "gtin": gtin(n), "quantity": 50}
            for n in (1, 2, 3, 4)
        ],
    }


ITEMS = {
    1: ("insert, English", 5, "current"),
    2: ("download card", 5, "current"),
    3: ("insert, first print", 5, "superseded"),
    4: ("insert, French", 5, "current"),
    5: ("poster", 1, "current"),
}
"""Kit items: name, product, status."""


def add_kits(data: dict[str, Any]) -> None:
    """Add the items, and the kit of product 5; ledgers of older schemas have none."""
    data["item"] = [
        {"code": code("I", place), "name": name, "gtin": gtin(g), "status": status}
        for place, (name, g, status) in ITEMS.items()
    ]
    data["product"][4]["kit"] = [
        {"disc": 1},
        {"item": code("I", 1), "name": "insert, English"},
        {"disc": 2},
        {"prompt": "hype sticker front"},
        {"item": code("I", 2), "name": "download card"},
    ]


def _parts(number: int, discs: int) -> list[dict[str, str]]:
    sides = "ABCD"
    return [
        {
            "matrix_a": f"EX-{100 + number}-{sides[2 * d]}",
            "matrix_b": f"EX-{100 + number}-{sides[2 * d + 1]}",
        }
        for d in range(discs)
    ]


TOOL, PRESS, LAB, LINE, DOCK, LINE_2, PRESS_2, LAB_2, DOCK_2, TOOL_2 = (code("W", n) for n in range(1, 11))
STATIONS = {
    "TOOL": TOOL,
    "PRESS": PRESS,
    "LAB": LAB,
    "LINE": LINE,
    "DOCK": DOCK,
    "LINE_2": LINE_2,
    "PRESS_2": PRESS_2,
    "LAB_2": LAB_2,
    "DOCK_2": DOCK_2,
    "TOOL_2": TOOL_2,
}
"""By the names that scripts use."""

MATRICES = tuple(
    f"{title}-{side}"
    for title, sides in {
        "EX-101": "AB",
        "EX-102": "ABCD",
        "EX-103": "AB",
        "EX-104": "ABCD",
        "EX-105": "ABCD",
    }.items()
    for side in sides
)
"""One lacquer, father, mother and two stampers each: tools 10 n + 1 ... 10 n + 5 for matrix n = 0 ... 15."""

DISCS = {1: 1, 2: 2, 3: 1, 4: 2, 5: 2, 6: 1}
"""Discs to a unit, by product."""


def place_of(lot: int) -> int:
    """Lots 1 to 4 and 5 to 8 are the first four discs of the plant, lots 9 to 12 those of the numbered sets."""
    return (lot - 1) % 4 if lot < 9 else lot - 5


def stamper(matrix: str, which: int = 1) -> str:
    return code("T", 10 * MATRICES.index(matrix) + 3 + which)


@dataclass
class Floor:
    """A ledger with the small plant, scanned by shorthand: words are acts, letters and numbers plant codes."""

    ledger: Ledger
    at: str = START
    verdicts: list[Verdict] = field(default_factory=list)

    @classmethod
    def new(cls, place: str, *, carton_size: int | None = None, **settings: int) -> "Floor":
        """A plant without tools, in a file; with other settings, and with another size of every carton."""
        data = plant_data()
        add_kits(data)
        # Most tests are about other things than why a carton is closed short, and their clock stands still.
        data["plant"]["settings"] = {"line_reasons": 0, "double_read_seconds": 0, **settings}
        # Not in `plant_data`, which older ledgers of migration tests must take.
        data["location"] = [{"code": code("Y", n), "name": f"rack {n}"} for n in (1, 2)]
        for product in data["product"] if carton_size else ():
            product["carton_size"] = carton_size
        ledger = Ledger.create(place)
        with ledger.writing() as booking:
            for body in read_plant_file(data, new_ledger=True):
                booking.record(body, Stamp(START, utc_now()))
        return cls(ledger)

    @classmethod
    def copy(cls, **settings: int) -> "Floor":
        """A plant whose tools are all grown, in memory: copied, because growing them takes 200 scans."""
        if support_on_server.IS_ASKED_FOR:
            return cls.there(_on_a_server(tuple(sorted(settings.items()))))
        ledger = Ledger("a ledger in memory", open_engine(ledger_url("sqlite://"), must_exist=False))
        with ledger._engine.connect() as conn:
            _grown(tuple(sorted(settings.items()))).backup(conn.connection.dbapi_connection)
        return cls(ledger)

    @classmethod
    def there(cls, place: str) -> "Floor":
        """A plant in a database of its own on the server, dropped after nobody uses it any more.

        Those in memory need no closing, so tests close none.
        """
        ledger = Ledger.open(place)
        weakref.finalize(ledger, _left, ledger._engine, place).atexit = False
        return cls(ledger)

    def saved(self, file: Path) -> Path:
        """Write the plant to a file: quicker than scanning it all into one."""
        if self.ledger.place.startswith("postgresql"):
            return support_on_server.copied_file(self.ledger.place, file)
        with self.ledger._engine.connect() as conn:
            conn.connection.execute(f"VACUUM INTO '{file}'")
        return file

    def scan(self, station: str, *lines: str) -> Verdict:
        """Scan lines one after the other and return the last verdict."""
        for line in lines:
            self.verdicts.append(self.ledger.scan(station, raw(line), self.at))
        return self.verdicts[-1]

    def waits_for(self, station: str) -> Verdict:
        """Return what whoever comes back to a station is told."""
        with self.ledger.reading() as conn:
            found = at_station(conn, station, self.at)
        return Verdict(Word(found.word), found.waits_for, found.count)

    def play(self, station: str, script: str) -> None:
        """Play a script at a station, in the notation of `support_notation`, and compare the verdicts."""
        Script(self, STATIONS, n, station).play(script)

    def day(self, script: str) -> None:
        """Play a script whose lines say where and when they happen."""
        Script(self, STATIONS, n).play(script)

    def kinds(self) -> list[str]:
        """Return the kind of every entry, in order."""
        return [kind for (kind,) in self.read("journal", "kind", order="seq")]

    def spooled_matches(self) -> int:
        """Return how many matches lie in the spool, not in the journal yet."""
        return sum(spindle is not None for (spindle,) in self.read("spool", "spindle"))

    def discs_by_place(self) -> dict[str, int]:
        """Return how many discs of any lot each place holds."""
        total: Counter[str] = Counter()
        for place, discs in self.read("stock", "place", "quantity"):
            total[place] += discs
        return dict(total)

    def rows(self, query: str) -> list[tuple[Any, ...]]:
        with self.ledger.reading() as conn:
            return support_sql.asked(conn, query)

    def read(self, table: str, *columns: str, order: str = "", **equal: Any) -> list[tuple[Any, ...]]:
        """Return columns of a table, as `support_sql.read`."""
        with self.ledger.reading() as conn:
            return support_sql.read(conn, table, *columns, order=order, **equal)

    def count(self, table: str, **equal: Any) -> int:
        """Return how many rows of a table are so."""
        with self.ledger.reading() as conn:
            return support_sql.count(conn, table, **equal)

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
        """Press a lot in equal stacks on spindles 10 lot + 1, ..."""
        place = place_of(lot)
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


def n(short: str) -> str:
    """Return the full text of a plant code, `n("L1")`; of a label, `n("carton 1")`; of a product, `n("sleeve 1")`."""
    return re.sub(r"^(\](C0|d1|E0)|\]C100)", "", raw(short))


@cache
def _grown(settings: tuple[tuple[str, int], ...]) -> Any:
    floor = Floor.new("sqlite://", **dict(settings))
    floor.tools()
    with floor.ledger._engine.connect() as conn:
        return conn.connection.dbapi_connection


@cache
def _template(settings: tuple[tuple[str, int], ...]) -> str:
    place = support_on_server.shared_server().database()
    floor = Floor.new(place, **dict(settings))
    floor.tools()
    floor.ledger.close()
    return place


def _left(engine: Engine, place: str) -> None:
    engine.dispose()
    support_on_server.let_go(place)


def _on_a_server(settings: tuple[tuple[str, int], ...]) -> str:
    return support_on_server.new_database(_template(settings))


def raw(line: str) -> str:
    """Return what the reader sends.

    Words are act cards, T12 a plant code, 18 digits an SSCC,
    `disc 2.1` disc 1 of product 2, `sleeve 1` its sleeve, `sleeve 3 no 17` a numbered one, `carton 5` and
    `pallet 5` labels, `carton 5 saying 4 of 1` one with content and count,
    `content 4 of 1` the symbol with those alone. `shows disc 2.1 + P1` is a camera's picture of both, `+ bars`
    with bars that no reader read. Everything else stays as it is.
    """
    if line.startswith("shows "):
        shown = line.removeprefix("shows ").split(" + ")
        return raw_picture("a.png", [raw(each) for each in shown if each != "bars"], shown.count("bars"))
    if found := re.fullmatch(r"disc (\d)\.(\d)", line):
        product, piece = map(int, found.groups())
        return raw_disc(gtin(product), piece, DISCS[product])
    if found := re.fullmatch(r"sleeve (\d)(?: no (\S+))?", line):
        product = int(found[1])
        return raw_numbered_sleeve(gtin(product), found[2]) if found[2] else raw_sleeve(gtin(product))
    if found := re.fullmatch(r"(carton|pallet) (\d+)", line):
        sscc = carton_sscc if found[1] == "carton" else pallet_sscc
        return raw_sscc(sscc(int(found[2])))
    if found := re.fullmatch(r"carton (\d+) saying (\d+) of (\d)", line):
        return raw_carton(carton_sscc(int(found[1])), gtin(int(found[3])), int(found[2]), None)
    if found := re.fullmatch(r"content (\d+) of (\d)", line):
        return raw_carton(None, gtin(int(found[2])), int(found[1]), None)
    if line.isdigit() and len(line) == 18:
        return raw_sscc(line)
    if re.fullmatch(r"[A-Z]\d{1,6}", line):
        return raw_plant(code(line[0], int(line[1:])))
    if re.fullmatch(r"[A-Z]\d{6,9}[0-9A-Z]", line):
        return raw_plant(line)
    return raw_act(line) if re.fullmatch(r"[A-Z]{2,14}", line) else line

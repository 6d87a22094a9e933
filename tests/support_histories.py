"""Random plant histories: several stations scanned in turn, legal with high probability, spiced with mistakes.

A worker per station plans its next act from what the ledger says, and queues the scans of it. Workers take
turns one scan at a time, so that acts at different stations interleave and any of them may be half finished
when the history ends. After a refusal the worker mostly recovers as a person would and sometimes does not.
"""

import random
from collections.abc import Callable
from dataclasses import dataclass, field

from support_plant import (
    DISCS,
    DOCK,
    DOCK_2,
    LAB,
    LAB_2,
    LINE,
    LINE_2,
    MATRICES,
    PRESS,
    PRESS_2,
    TOOL,
    TOOL_2,
    Floor,
    place_of,
    raw,
    stamper,
)

from tracelink.ledger.packs import RawScan
from tracelink.station.outcome import Verdict, Word

LOT_OF = {1: [1, 5], 2: [2, 6, 3, 7], 3: [4, 8], 4: [9, 10]}
"""Lots by product."""

BATCH_OF = {1: ["B1", "B6"], 2: ["B2"], 3: ["B3"], 4: ["B5"]}

MISTAKES = [
    "", "]", "]C0", "]C1", "]E0123", "]E09520000000017", "]C0K0000119", "]C0ZZZ", "\x00\x1d", "]d2010952000000001621",
    '"', '"   ', '"any text', "#", "#0", "#7", "#999999", "#٣", "CANCEL", "STOP", "DANCE", "P1", "P2", "P3", "P99",
    "T11", "L1", "K11", "B1", "B4", "S1", "H1", "D1", "O1", "E1", "C1", "W4", "carton 1", "pallet 1", "carton 999999",
    "disc 1.1", "disc 2.2", "disc 4.1", "sleeve 1", "sleeve 2", "sleeve 3 no 1", "sleeve 4 no 400", "sleeve 3 no 07",
    "REJECT", "NOREAD", "CLOSE", "CLEAR", "HOLD", "SETUP",
]  # fmt: skip


@dataclass
class History:
    """One random history on one plant."""

    rng: random.Random
    floor: Floor
    mistakes: float = 0.06
    log: list[tuple[str, str, Verdict]] = field(default_factory=list)
    workers: list["Worker"] = field(default_factory=list)
    fresh: int = 100
    """Numbers for new tags, cards and labels."""

    def run(self, scans: int) -> None:
        while len(self.log) < scans:
            worker = self.rng.choice(self.workers)
            # Bursts: a line scans many times while others scan once.
            for _ in range(self.rng.choice((4, 8, 12) if worker.plan is line_plan else (1, 1, 2, 6))):
                worker.step()

    def number(self) -> int:
        self.fresh += 1
        return self.fresh

    def column(self, query: str) -> list:
        return [row[0] for row in self.floor.rows(query)]

    def pick(self, query: str, otherwise: str) -> str:
        found = self.column(query)
        return str(self.rng.choice(found)) if found else otherwise

    @property
    def matches(self) -> int:
        return sum(1 for _s, _l, verdict in self.log if verdict.word is Word.MATCH)

    def shown(self, last: int = 25) -> str:
        """The end of the history, for a failure message."""
        return "\n".join(f"{s} {line!r} -> {verdict}" for s, line, verdict in self.log[-last:])


@dataclass
class Worker:
    """Somebody at a station."""

    history: History
    station: str
    plan: Callable[["Worker"], list[str]]
    queue: list[str] = field(default_factory=list)

    @property
    def rng(self) -> random.Random:
        return self.history.rng

    def step(self) -> None:
        if not self.queue:
            self.queue = self.plan(self)
        if not self.queue:
            return
        line = self.queue.pop(0)
        if self.rng.random() < self.history.mistakes:
            line = self.rng.choice(MISTAKES)
        self.scan(line)

    def scan(self, line: str) -> None:
        floor = self.history.floor
        text = raw(line)
        verdict = floor.ledger.scan(self.station, text, floor.at)
        self.history.log.append((self.station, text, verdict))
        if verdict.finding == "nobody-signed-on":
            self.queue = ["P1"]
        elif verdict.word is Word.STOP and self.rng.random() < 0.8:
            self.queue = ["STOP"] if self.plan is line_plan else ["CANCEL"]


def history(seed: int) -> History:
    rng = random.Random(seed)
    made = History(rng, Floor.copy(), mistakes=rng.choice((0.0, 0.03, 0.1)))
    places = [
        (TOOL, tool_plan),
        (TOOL_2, tool_plan),
        (PRESS, press_plan),
        (PRESS_2, press_plan),
        (PRESS, press_plan),
        (LAB, lab_plan),
        (LAB_2, lab_plan),
        (DOCK, dock_plan),
        (DOCK_2, dock_plan),
    ]
    made.workers = [Worker(made, station, plan) for station, plan in places]
    # Some lots are pressed already, so that there is something to pack from the start.
    for lot in rng.sample((1, 2, 3, 4, 5, 9, 10), rng.randint(2, 7)):
        made.floor.press(lot, strokes=rng.choice((8, 20)), stacks=3, press=rng.choice((PRESS, PRESS_2)))
    lines = [Worker(made, station, line_plan) for station in (LINE, LINE_2)]
    made.workers += lines * 3
    return made


def tool_plan(worker: Worker) -> list[str]:
    h, rng = worker.history, worker.rng
    new = f"T{h.number()}"
    matrix = rng.choice(MATRICES)
    known = h.pick("SELECT code FROM tool WHERE status = 'in use' AND what <> 'stamper'", "T1")
    return rng.choice(
        [
            ["LACQUER", new, f'"{rng.choice("AB")}', f'"{matrix}'],
            ["COPPER", new, '"a', f'"{matrix.lower()}'],
            ["GROW", known, new],
            ["GROW", known, new],
            [known],
            ["RETIRE", h.pick("SELECT code FROM tool ORDER BY code DESC LIMIT 9", "T1"), '"torn'],
        ]
    )


def press_plan(worker: Worker) -> list[str]:
    h, rng = worker.history, worker.rng
    here = h.floor.rows(f"SELECT code, status, counter FROM lot WHERE press = '{worker.station}' AND status IN ('set up', 'running')")
    if not here:
        planned = [n for n in range(1, 11) if raw(f"L{n}")[3:] in h.column("SELECT code FROM lot WHERE status = 'planned'")]
        lot = rng.choice(planned or [1])
        place = place_of(lot)
        a, b = (stamper(MATRICES[2 * place + side], rng.choice((1, 2))) for side in (0, 1))
        return ["SETUP", f"L{lot}", a, b, rng.choice(("C1", "C2")), f"E{2 * place + 1}", f"E{2 * place + 2}"]
    code, status, counter = here[0]
    place = place_of(int(code[1:-1]))
    a, b = MATRICES[2 * place], MATRICES[2 * place + 1]
    if status == "set up":
        return ["START", f'"{a}', f'"{b}']
    ahead = counter + rng.choice((0, 1, 3, 5, 8))
    component = rng.choice([stamper(a, 1), stamper(a, 2), stamper(b, 1), stamper(b, 2), "C1", "C2", f"E{2 * place + 1}"])
    stack = ["STACK", f"K{h.number()}", f"#{ahead}"]
    return rng.choice([stack, stack, stack, ["SCRAP", "#1"], ["CHANGE", component, f"#{ahead}"], ["STOP", f"#{ahead}"]])


def lab_plan(worker: Worker) -> list[str]:
    h, rng = worker.history, worker.rng
    lot = h.pick("SELECT code FROM lot WHERE status IN ('running', 'pressed')", "L1")
    sample = h.pick("SELECT code FROM sample", "S1")
    subject = h.pick(
        "SELECT code FROM spindle UNION SELECT sscc FROM carton UNION SELECT code FROM lot WHERE counter > 0 "
        "UNION SELECT code FROM sleeve_batch UNION SELECT sscc FROM pallet UNION SELECT code FROM tool",
        "L1",
    )
    held = h.pick("SELECT code FROM hold WHERE lifted_seq IS NULL", "H1")
    draw = ["SAMPLE", lot, f"S{h.number()}", f"#{rng.randint(1, 12)}"]
    release = ["RELEASE", lot, '"listened']
    lift = ["LIFT", held, '"checked', "P2"]
    acts = [
        ["GOOD", sample],
        ["BAD", sample, '"Click'],
        ["REJUDGE", sample, rng.choice(('"good', '"no fill')), '"heard again'],
        ["MEASURE", sample, '"mass=141.25 g'],
        ["REJECT", lot, '"clicks'],
        ["OVERRULE", lot, '"agreed', "P2"],
        ["HOLD", subject, '"looks wrong'],
        [sample],
    ]
    return rng.choice([*[draw] * 3, *[release] * 6, *[lift] * 5, *acts])


def line_plan(worker: Worker) -> list[str]:
    h, rng = worker.history, worker.rng
    desk = h.column(f"SELECT desk FROM station WHERE code = '{worker.station}'")[0]
    product = rng.choice((1, 2, 3, 4))
    job = next((n for n in BATCH_OF if f'"gtin":"{raw(f"sleeve {n}")[3:]}"' in desk), None) if '"job":{' in desk else None
    if '"cleared":true' not in desk or (job is None and rng.random() < 0.2):
        return ["CLEAR", "P2"]
    if job is None:
        return [rng.choice(BATCH_OF[product]), *spindles(h, product), f"carton {h.number()}"]
    if rng.random() < 0.7 and any(f'"piece":{n}' not in desk for n in range(1, DISCS[job] + 1)):
        return spindles(h, job)
    if '"carton":null' in desk:
        return rng.choice([[f"carton {h.number()}"], [f"carton {h.number()}"], ["CLEAR", "P2"]])
    act = rng.choice(["match"] * 16 + ["spindles", "REJECT", "NOREAD", "CLOSE", "CLOSE", "CLOSE", "STOP", "batch", "badge"])
    if act == "match":
        return match(worker, job) * rng.choice((1, 1, 2))
    if act == "badge":
        return [rng.choice(("P1", "P2"))]
    if act == "batch":
        return [rng.choice(BATCH_OF[job])]
    return spindles(h, job) if act == "spindles" else [act]


def spindles(h: History, product: int) -> list[str]:
    """A stack of each disc of a product, most of the time one that has discs."""
    found = []
    for piece in range(1, DISCS[product] + 1):
        full = h.column(
            f"SELECT s.code FROM spindle s JOIN lot l ON l.code = s.lot JOIN stock k ON k.place = s.code WHERE "
            f"l.gtin = '{raw(f'sleeve {product}')[3:]}' AND l.piece = {piece} AND k.quantity > 0"
        )
        if full:
            found.append(h.rng.choice(full))
    return found


def match(worker: Worker, product: int) -> list[str]:
    """The scans of one unit: every disc and its sleeve, always the same number within a unit."""
    h, rng = worker.history, worker.rng
    number = f" no {rng.randint(1, 50)}" if product in (3, 4) else ""
    return [line for piece in range(1, DISCS[product] + 1) for line in (f"disc {product}.{piece}", f"sleeve {product}{number}")]


def dock_plan(worker: Worker) -> list[str]:
    h, rng = worker.history, worker.rng
    loose = h.column("SELECT sscc FROM carton WHERE status = 'closed' AND sscc NOT IN (SELECT child FROM nesting)")
    pallet = h.pick("SELECT sscc FROM pallet WHERE status IN ('open', 'closed')", "pallet 1")
    accepted = h.pick("SELECT sscc FROM pallet WHERE status = 'accepted'", pallet)
    order = f"O{rng.randint(1, 4)}"
    add = rng.sample(loose, min(len(loose), 2))
    full = ["PALLET", f"pallet {h.number() % 100 + 1}", *add, "CLOSE"]
    return rng.choice([full, full, add or ["CLOSE"], ["ACCEPT", pallet], ["ACCEPT", pallet], ["SHIP", order], ["DEPART"], [accepted], [accepted]])


def book(floor: Floor, station: str, line: str, number: int) -> Verdict:
    """Book one scan under a given number, as a replayed log does."""
    with floor.ledger.writing() as booking:
        return booking.book(station, RawScan(number, floor.at, line))

"""Random plant histories: several stations scanned in turn, legal with high probability, spiced with mistakes.

A worker per station plans its next act from what the ledger says, and queues the scans of it. Workers take
turns one scan at a time, so that acts at different stations interleave and any of them may be half finished
when the history ends. After a refusal the worker mostly recovers as a person would and sometimes does not.
"""

import contextlib
import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import support_sql
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
    code,
    gtin,
    place_of,
    raw,
    stamper,
)

from tracelink.errors import RefusedByRule
from tracelink.ledger.entry import Stamp, read_entry
from tracelink.ledger.kinds.registry import read_body
from tracelink.station.common.form_state import FormState
from tracelink.station.common.outcome import Verdict, Word
from tracelink.station.line.state import LineState
from tracelink.station.station_states import read_state, write_state
from tracelink.store.compact.stored_rows import entries_said
from tracelink.store.journal import journal
from tracelink.store.journal.rebuild import _StationStates
from tracelink.store.office import investigations, order_book

LOT_OF = {1: [1, 5], 2: [2, 6, 3, 7], 3: [4, 8], 4: [9, 10], 5: [11, 12]}
"""Lots by product."""

BATCH_OF = {1: ["B1", "B6"], 2: ["B2"], 3: ["B3"], 4: ["B5"], 5: ["B7"]}

MISTAKES = [
    "", "]", "]C0", "]C1", "]E0123", "]E09520000000017", "]C0K0000119", "]C0ZZZ", "\x00\x1d", "]d2010952000000001621",
    '"', '"   ', '"any text', "#", "#0", "#7", "#999999", "#٣", "CANCEL", "STOP", "DANCE", "P1", "P2", "P3", "P99",
    "T11", "L1", "K11", "B1", "B4", "S1", "H1", "D1", "O1", "E1", "C1", "W4", "carton 1", "pallet 1", "carton 999999",
    "disc 1.1", "disc 2.2", "disc 4.1", "sleeve 1", "sleeve 2", "sleeve 3 no 1", "sleeve 4 no 400", "sleeve 3 no 07",
    "REJECT", "NOREAD", "CLOSE", "CLEAR", "HOLD", "SETUP", "UNDO", "MANUAL", "CHECK", "RECHECK", "TAKEOUT", "REOPEN",
    "MERGE", "HANDOVER", "I1", "I2", "I3", "I4", "I5", "disc 6.1", "disc 5.2",
]  # fmt: skip


@dataclass
class DeskShadow:
    """Desks brought back from entries and spool after every single scan, as a crash at that moment would need."""

    desks: _StationStates = field(default_factory=lambda: _StationStates(()))
    seen: int = 0
    """Entries read so far."""

    def require_same_desk(self, station: str, history: "History") -> None:
        with history.floor.ledger.reading() as conn:
            if support_sql.last_entry(conn) > self.seen:
                for row in journal.rows(conn, self.seen):
                    entry = read_entry(row.canonical)
                    self.desks.entry(entry, read_body(entry))
                    self.seen = entry.seq
            spooled, kept = support_sql.spooled_at(conn, station), support_sql.desk_of(conn, station)
        # Of this station alone: the others' desks are not touched by its spool. A desk is never changed, only replaced.
        again = _StationStates(())
        again._states = {station: self.desks._states[station]}
        again._numbers = {station: self.desks._numbers[station]} if station in self.desks._numbers else {}
        for row in spooled:
            again.spooled(row)
        found = (again._numbers[station], write_state(again._states[station]))
        assert found == kept, history.shown()


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
    shadow: DeskShadow = field(default_factory=DeskShadow)

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
        """Discs matched: a recheck says MATCH too, and so does a kit item; a keyed sleeve says DONE."""
        keyed = self.column("SELECT stored FROM journal WHERE kind = 'manual-entry'")
        keyed_sleeves = [entry for entry in entries_said(keyed) if entry.body["waiting_for"] == "sleeve"]
        packed = sum(1 for verdict in self.floor.verdicts if verdict.word is Word.MATCH)
        return (
            len(keyed_sleeves)
            + packed
            + sum(
                1
                for _s, line, verdict in self.log
                if verdict.word is Word.MATCH
                and line[:4] != "]C0I"
                and not verdict.sentence.startswith("Right.")
            )
        )

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
        verdict = floor.ledger.scan(self.station, text, self.time())
        self.history.log.append((self.station, text, verdict))
        self.history.shadow.require_same_desk(self.station, self.history)
        if verdict.finding == "nobody-signed-on":
            self.queue = ["P1"]
        elif (
            verdict.word is Word.STOP
            and verdict.finding not in ("no-read", "clock-back")
            and self.rng.random() < 0.8
        ):
            self.queue = self.recover(verdict)

    def time(self) -> str:
        """The time of the floor; now and then a station that is no line has its clock set back an hour for one scan.

        No line, because its match would be told as a finding; and drawn from no dice, so that the rest stays as it was.
        """
        at = self.history.floor.at
        set_back = self.plan is not line_plan and len(self.history.log) % 40 == 39
        return (datetime.fromisoformat(at) - timedelta(hours=1)).isoformat() if set_back else at

    def recover(self, verdict: Verdict) -> list[str]:
        """What a person does after a refusal: put away what is in hand, and mostly look for what is missing."""
        if self.plan is not line_plan:
            return ["CANCEL"] if self.desk().form else []
        return ["STOP"] if verdict.finding != "line-stopped" or self.rng.random() < 0.5 else []

    def other(self) -> str:
        """Mostly somebody else than who is signed on."""
        return "P2" if (self.desk().person == code("P", 1)) == (self.rng.random() < 0.95) else "P1"

    def desk(self) -> FormState | LineState:
        [[area, desk]] = self.history.floor.rows(
            f"SELECT area, desk FROM station WHERE code = '{self.station}'"
        )
        return read_state(area, desk)


def history(seed: int) -> History:
    rng = random.Random(seed)
    # A third of the plants asks why for rejects and part cartons, as a real one does by default.
    reasons = {"line_reasons": 1} if seed % 3 == 2 else {}
    # At a quarter of them a code read twice is one read: there the clock stands still, and every line is at once.
    floor = Floor.copy(**reasons, **({"double_read_seconds": 2} if seed % 4 == 1 else {}))
    made = History(rng, floor, mistakes=rng.choice((0.0, 0.03, 0.1)))
    places = [
        (TOOL, tool_plan),
        (TOOL_2, tool_plan),
        *[(PRESS, press_plan)] * 2,
        (PRESS_2, press_plan),
        *[(LAB, lab_plan)] * 3,
        *[(LAB_2, lab_plan)] * 2,
        *[(DOCK, dock_plan)] * 3,
        (DOCK_2, dock_plan),
    ]
    # One worker a station, though a busy one takes more turns.
    one = {station: Worker(made, station, plan) for station, plan in places}
    made.workers = [one[station] for station, _plan in places]
    # Some lots are pressed already, so that there is something to pack from the start.
    for lot in rng.choice(
        ((1, 2, 3), (1, 4, 5), (9, 10, 4), (2, 3, 9, 10), (11, 12, 1), (1, 2, 3, 4, 9, 10, 11, 12))
    ):
        made.floor.press(lot, strokes=rng.choice((12, 36)), stacks=4, press=rng.choice((PRESS, PRESS_2)))
    lines = [Worker(made, station, line_plan) for station in (LINE, LINE_2)]
    made.workers += lines * 2
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
    here = h.floor.rows(
        f"SELECT code, status, counter FROM lot WHERE press = '{worker.station}' AND status IN ('set up', 'running')"
    )
    if not here:
        stopped = h.column("SELECT code FROM lot WHERE status = 'pressed' AND decision = 'pending'")
        if stopped and rng.random() < 0.3:
            return resume(h, rng.choice(stopped))
        planned = [
            n
            for n in range(1, 11)
            if raw(f"L{n}")[3:] in h.column("SELECT code FROM lot WHERE status = 'planned'")
        ]
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
    component = rng.choice(
        [stamper(a, 1), stamper(a, 2), stamper(b, 1), stamper(b, 2), "C1", "C2", f"E{2 * place + 1}"]
    )
    stack = ["STACK", f"K{h.number()}", f"#{ahead}"]
    correct = ["CORRECT", f"#{max(1, counter + rng.choice((-2, -1, 1, 2)))}", '"misread', "P2"]
    return rng.choice(
        [
            stack,
            stack,
            stack,
            ["SCRAP", "#1"],
            ["CHANGE", component, f"#{ahead}"],
            ["STOP", f"#{ahead}"],
            correct,
        ]
        + ([["TRIAL", f"#{ahead}"], ["EMPTY", f"#{ahead}"]] if counter < 3 else [])
    )


def resume(h: History, lot: str) -> list[str]:
    """A lot that was taken off goes on."""
    place = place_of(int(lot[1:-1]))
    a, b = (stamper(MATRICES[2 * place + side], h.rng.choice((1, 2))) for side in (0, 1))
    return ["RESUME", lot, a, b, "C1", f"E{2 * place + 1}", f"E{2 * place + 2}", '"it was loose']


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
    close_some(h)
    draw = ["SAMPLE", lot, f"S{h.number()}", *drawn_from(h, lot)]
    release = ["RELEASE", lot, '"listened']
    lift = ["LIFT", held, '"checked', worker.other()]
    acts = [
        ["GOOD", sample],
        ["BAD", sample, '"Click'],
        ["REJUDGE", sample, rng.choice(('"good', '"no fill')), '"heard again'],
        ["MEASURE", sample, '"mass=141.25 g'],
        ["REJECT", lot, '"clicks'],
        ["OVERRULE", lot, '"agreed', "P2"],
        ["HOLD", subject, '"looks wrong'],
        *[count_plan(worker)] * 3,
        [sample],
    ]
    return rng.choice([*[draw] * 3, *[release] * 6, *[lift] * 5, *acts])


def drawn_from(h: History, lot: str) -> list[str]:
    """The stroke of a sample and where it is from: the press, or mostly a place that has discs of the lot."""
    stroke = h.rng.randint(1, 12)
    stacked = h.column(
        f"SELECT target FROM movement WHERE lot = '{lot}' AND source = 'counter' AND \"first\" <= {stroke} "
        f'AND "last" >= {stroke}'
    )
    # The other disc of a set would stay in its carton alone, which `test_what_a_carton_holds_adds_up` takes for a unit.
    single = (
        ""
        if DISCS[next(n for n in LOT_OF if lot in [code("L", one) for one in LOT_OF[n]])] > 1
        else "OR length(place) = 18"
    )
    places = h.column(
        f"SELECT place FROM stock WHERE lot = '{lot}' AND quantity > 0 AND (place LIKE 'K%' OR place LIKE 'return %' {single})"
    )
    if not stacked or not places:
        return [f"#{stroke}"]
    place = h.rng.choice([*stacked, *places])
    return [
        h.rng.choice((f"#{stroke}", '"unknown')),
        f"#{place[7:]}" if place.startswith("return ") else place,
    ]


def close_some(h: History) -> None:
    """Quality closes most of what is under investigation, by command."""
    stamp = Stamp(h.floor.at, "2031-03-03T07:30:00Z", person=code("P", 1))
    for number in h.column("SELECT seq FROM investigation WHERE closed_seq IS NULL"):
        if h.rng.random() < 0.7:
            with h.floor.ledger.writing() as booking:
                investigations.close_one(booking, stamp, number, "found in the bin")


def count_plan(worker: Worker) -> list[str]:
    """Count a spindle, mostly as many as the records say."""
    h, rng = worker.history, worker.rng
    if rng.random() < 0.3:
        carton = h.pick("SELECT sscc FROM carton WHERE status = 'closed' AND units > 0", "carton 1")
        units = h.column(f"SELECT units FROM carton WHERE sscc = '{carton}'") or [1]
        if rng.random() < 0.3:
            # What somebody counted short, counted by somebody else perhaps.
            off = h.floor.rows(
                "SELECT place, quantity FROM stock_count WHERE quantity < expected AND length(place) = 18 ORDER BY seq DESC"
            )
            if off:
                return ["COUNT", off[0][0], f"#{off[0][1]}"]
        return ["COUNT", carton, f"#{units[0] if rng.random() < 0.8 else units[0] - 1}"]
    spindle = h.pick("SELECT code FROM spindle", "K11")
    there = h.column(
        f"SELECT k.quantity - (SELECT COUNT(*) FROM spool p WHERE p.spindle = k.place) FROM stock k WHERE k.place = '{spindle}'"
    )
    found = there[0] if there else 0
    return [
        "COUNT",
        spindle,
        f"#{found if rng.random() < 0.7 else found + rng.choice((-1, 1)) if found else 1}",
    ]


def line_plan(worker: Worker) -> list[str]:
    h, rng = worker.history, worker.rng
    desk = worker.desk()
    if desk.form in ("CLOSE", "REJECT") and rng.random() < 0.9:
        return ['"no more discs']
    if desk.form is not None:
        return ["STOP"]
    if desk.held is not None:
        return held_back(worker, desk)
    if not desk.cleared:
        return ["CLEAR", worker.other()]
    if desk.job is None:
        packable = [n for n in DISCS if len(spindles(h, n)) == DISCS[n]]
        product = rng.choice(packable or [1])
        return [rng.choice(BATCH_OF[product]), *spindles(h, product), f"carton {h.number()}"]
    product = next(n for n in DISCS if gtin(n) == desk.job.gtin)
    wanted = [desk.spindle_for(piece) for piece in range(1, DISCS[product] + 1)]
    if rng.random() < 0.9 and any(
        found is None or found.spindle not in stacks(h, product) for found in wanted
    ):
        fresh = spindles(h, product)
        if len(fresh) == DISCS[product]:
            return fresh
        if desk.half or desk.pending:
            return ["STOP"]
        return ["CLEAR", worker.other()] if desk.carton is None else ["CLOSE"]
    if desk.carton is None:
        return rng.choice([[f"carton {h.number()}"]] * 4 + [["CLEAR", worker.other()]])
    if desk.units_in_carton >= desk.job.carton_size and not desk.half and rng.random() < 0.9:
        return ["CLOSE"]
    act = rng.choice(
        ["match"] * 24
        + ["spindles", "REJECT", "NOREAD", "CLOSE", "STOP", "batch", "badge", "wrong", "UNDO", "UNDO"]
        + ["REOPEN", "MERGE", "CHECK", "HANDOVER", "MANUAL", "MANUAL", "TAKEOUT"]
    )
    if act in MORE:
        return MORE[act](worker, product, desk)
    if act == "REJECT" and desk.pending is None and rng.random() < 0.9:
        return ["NOREAD", "REJECT"]
    if act == "match":
        return match(worker, product, desk)
    if act == "badge":
        return [rng.choice(("P1", "P2", "SIGNOFF"))]
    if act == "batch":
        return [rng.choice(BATCH_OF[product])]
    return spindles(h, product) if act == "spindles" else [act]


def held_back(worker: Worker, desk: LineState) -> list[str]:
    """Recheck every unit, with a slip now and then; a unit that fails is taken out."""
    rng = worker.rng
    product = next(n for n in DISCS if gtin(n) == desk.job.gtin)
    if desk.stopped:
        return ["STOP"]
    if rng.random() < 0.15:
        return takeout(worker, product, desk)
    left = [number for number in desk.held.numbers if number not in desk.held.done_numbers]
    number = f" no {desk.held.number or rng.choice(left)}" if left else ""
    unit = with_sleeves(product, number, pieces(product))
    if desk.held.rechecking and rng.random() < 0.15:
        return keyed_as(worker, product, unit[desk.held.position])
    return unit[desk.held.position :] if desk.held.rechecking else ["RECHECK", *unit]


def with_sleeves(product: int, number: str, of: list[str]) -> list[str]:
    """The scans of some pieces of a unit: every disc has its sleeve behind it."""
    return [
        line
        for piece in of
        for line in ((piece, f"sleeve {product}{number}") if piece[0] == "d" else (piece,))
    ]


def pieces(product: int) -> list[str]:
    """What is scanned of a unit besides its sleeve, in the order of its kit."""
    return (
        ["disc 5.1", "I1", "disc 5.2", "I2"]
        if product == 5
        else [f"disc {product}.{piece}" for piece in range(1, DISCS[product] + 1)]
    )


def takeout(worker: Worker, product: int, desk: LineState) -> list[str]:
    """What the act may ask for is planned from the records, as the verdicts would tell a person."""
    h = worker.history
    if desk.pending is not None or desk.carton is None:
        return ["STOP"]
    lots = [
        h.column(
            f"SELECT k.lot FROM stock k JOIN lot l ON l.code = k.lot WHERE k.place = '{desk.carton}' AND "
            f"l.piece = {piece} AND k.quantity > {sum(1 for each in desk.half[:piece] if each)}"
        )
        for piece in range(1, DISCS[product] + 1)
    ]
    scans = ["TAKEOUT", *(found[0] for found in lots if len(found) > 1)]
    batches = h.column(f"SELECT batch FROM carton_sleeve WHERE carton = '{desk.carton}' AND units > 0")
    scans += batches[:1] if len(batches) > 1 else []
    if product in NUMBERED:
        numbers = h.column(f"SELECT number FROM numbered_sleeve WHERE carton = '{desk.carton}'")
        scans.append(f"sleeve {product} no {worker.rng.choice(numbers or ['1'])}")
    back = [each.spindle for each in desk.spindles] if worker.rng.random() < 0.4 else []
    return [*scans, *back, '"crushed']


def reopen(worker: Worker, product: int, desk: LineState) -> list[str]:
    if desk.half or desk.pending is not None:
        return ["STOP"]
    closed = worker.history.pick(loose_cartons(product), "carton 1")
    return [*(["CLOSE"] if desk.carton else []), "REOPEN", closed, '"count again']


def merge(worker: Worker, product: int, _desk: LineState) -> list[str]:
    return [
        "MERGE",
        worker.history.pick(f"{loose_cartons(product)} AND units BETWEEN 1 AND 2", "carton 1"),
        '"part',
    ]


def loose_cartons(product: int) -> str:
    return (
        f"SELECT sscc FROM carton WHERE status = 'closed' AND gtin = '{gtin(product)}' AND sscc NOT IN "
        "(SELECT child FROM nesting WHERE closed_seq IS NULL)"
    )


def keyed(worker: Worker, product: int, desk: LineState) -> list[str]:
    """Two no-reads, then the piece is keyed and a second person agrees."""
    wanted = pieces(product)[len(desk.half) + desk.items]
    if desk.pending is not None:
        number = f" no {desk.number or worker.rng.randint(1, 50)}" if product in NUMBERED else ""
        wanted = f"sleeve {product}{number}"
    return keyed_as(worker, product, wanted)


def keyed_as(worker: Worker, product: int, wanted: str) -> list[str]:
    """Two no-reads, then what would be scanned is keyed."""
    if wanted[0] == "s":
        text = [f'"{wanted.rpartition(" ")[2]}' if product in NUMBERED else f'"{gtin(product)}']
    elif wanted[0] == "I":
        text = [f'"{code("I", int(wanted[1:]))}']
    else:
        place = place_of(LOT_OF[product][0]) + int(wanted[-1]) - 1
        text = [f'"{MATRICES[2 * place]}', f'"{MATRICES[2 * place + 1]}']
    return ["NOREAD", "NOREAD", "MANUAL", *text, worker.other()]


def wrong(worker: Worker, product: int, _desk: LineState) -> list[str]:
    other = worker.rng.choice([n for n in DISCS if n != product])
    return [f"disc {other}.1"]


NUMBERED = (3, 4, 5)
"""Products with numbers."""

MORE = {
    "REOPEN": reopen,
    "MERGE": merge,
    "MANUAL": keyed,
    "TAKEOUT": takeout,
    "wrong": wrong,
    "CHECK": lambda worker, _product, _desk: ["CHECK", worker.other()],
    "HANDOVER": lambda worker, _product, _desk: ["HANDOVER", worker.other()],
}
"""Acts of a line that take several scans."""


def stacks(h: History, product: int, piece: int | None = None) -> list[str]:
    """Spindles with discs of a product, mostly such as may be packed."""
    usable = "AND l.decision <> 'rejected' AND s.code NOT IN (SELECT i.subject FROM hold_item i JOIN hold h ON h.code = i.hold WHERE h.lifted_seq IS NULL)"
    return h.column(
        "SELECT s.code FROM spindle s JOIN lot l ON l.code = s.lot JOIN stock k ON k.place = s.code "
        f"WHERE l.gtin = '{gtin(product)}' AND l.piece = COALESCE({piece or 'NULL'}, l.piece) AND k.quantity > "
        f"(SELECT COUNT(*) FROM spool p WHERE p.spindle = s.code) {usable if h.rng.random() < 0.95 else ''}"
    )


def spindles(h: History, product: int) -> list[str]:
    """A stack of each disc of a product, where there is one."""
    found = [stacks(h, product, piece) for piece in range(1, DISCS[product] + 1)]
    return [h.rng.choice(codes) for codes in found if codes]


def match(worker: Worker, product: int, desk: LineState) -> list[str]:
    """The scans that finish the unit in hand: every disc and its sleeve, the same number within a unit."""
    h, rng = worker.history, worker.rng
    low = h.fresh % 30 if rng.random() < 0.95 else 0
    number = f" no {desk.number or rng.randint(low + 1, 50)}" if product in NUMBERED else ""
    scans = with_sleeves(product, number, pieces(product)[len(desk.half) + desk.items :])
    return scans[1:] if desk.pending is not None else scans


def dock_plan(worker: Worker) -> list[str]:
    h, rng = worker.history, worker.rng
    here = f"WHERE station = '{worker.station}' AND status ="
    loading = h.column(f"SELECT order_code FROM shipment {here} 'loading'")
    title = rng.choice((1, 1, 2, 2, 3, 4))
    closed = h.column("SELECT sscc FROM pallet WHERE status = 'closed'")
    accepted = h.column("SELECT sscc FROM pallet WHERE status = 'accepted'")
    if closed and rng.random() < 0.4:
        return ["ACCEPT", rng.choice(closed)]
    if rng.random() < (0.08 if loading else 0.3):
        return ["SHIP", f"O{title}"]
    if loading and rng.random() < 0.4:
        return rng.choice([[rng.choice(accepted or ["pallet 1"])]] * 3 + [["DEPART"]])
    opened = h.column(
        f"SELECT n.child FROM pallet p JOIN nesting n ON n.parent = p.sscc {here.replace('status', 'p.status')} 'open'"
    )
    loose = h.column(
        f"SELECT sscc FROM carton WHERE status = 'closed' AND gtin = '{gtin(title)}' AND sscc NOT IN "
        "(SELECT child FROM nesting WHERE closed_seq IS NULL AND parent NOT IN (SELECT code FROM location))"
    )
    add = rng.sample(loose, min(len(loose), 2))
    if h.column(f"SELECT sscc FROM pallet {here} 'open'"):
        return rng.choice([["CLOSE"]] * 3 + [add]) if opened else add
    return ["PALLET", f"pallet {h.number() % 100 + 1}", *add, "CLOSE"] if add else []


def dock_history(seed: int) -> History:
    """Two docks and a lab at work on cartons of two products that are packed and mostly released already."""
    rng = random.Random(seed)
    made = History(rng, _packed(), mistakes=rng.choice((0.0, 0.02, 0.05)))
    made.workers = [Worker(made, DOCK, busy_dock_plan), Worker(made, DOCK_2, busy_dock_plan)] * 3
    made.workers.append(Worker(made, LAB, busy_lab_plan))
    return made


def _packed() -> Floor:
    floor = Floor.copy()
    for lot, product, batch, card, carton in ((1, 1, 1, 11, 1), (4, 3, 3, 41, 11)):
        floor.press(lot, strokes=36, stacks=1)
        floor.open_line(batch, [card], carton)
        for number in range(1, 13):
            floor.scan(
                LINE, f"disc {product}.1", f"sleeve {product} no {number}" if product == 3 else "sleeve 1"
            )
            if number % 2 == 0:
                floor.scan(LINE, "CLOSE", *([f"carton {carton + number // 2}"] if number < 12 else []))
    floor.scan(LAB, "P1", "RELEASE", "L1", '"good', "RELEASE", "L4", '"good')
    assert [verdict for verdict in floor.verdicts if verdict.finding] == []
    return floor


def busy_lab_plan(worker: Worker) -> list[str]:
    h = worker.history
    held = h.column("SELECT code FROM hold WHERE lifted_seq IS NULL")
    if held:
        return ["LIFT", worker.rng.choice(held), '"checked', "P2"]
    rejected = h.column("SELECT code FROM lot WHERE decision = 'rejected'")
    if rejected:
        return ["OVERRULE", rejected[0], '"agreed', "P2"]
    return worker.rng.choice([["L1"]] * 5 + [["REJECT", "L1", '"clicks'], ["HOLD", "carton 3", '"doubtful']])


def busy_dock_plan(worker: Worker) -> list[str]:
    """Mostly what the records allow: building and shipping as at any dock, and everything else a dock does."""
    h, rng = worker.history, worker.rng
    if rng.random() < 0.5:
        return dock_plan(worker)
    if rng.random() < 0.03:
        keep_or_let_go(h, rng.choice((1, 3)))
    if rng.random() < 0.5:
        return loading_plan(worker)
    return rng.choice(possible_acts(h) or [["carton 1"]])


def loading_plan(worker: Worker) -> list[str]:
    """Pick what fits the order that is loaded here, unload some, let it leave."""
    h, rng = worker.history, worker.rng
    ordered = h.column(
        "SELECT o.gtin FROM shipment d JOIN customer_order o ON o.code = d.order_code "
        f"WHERE d.station = '{worker.station}' AND d.status = 'loading'"
    )
    if not ordered:
        return ["SHIP", rng.choice(("O1", "O3"))]
    loose = h.pick(
        f"SELECT sscc FROM carton WHERE status = 'closed' AND units > 0 AND gtin = '{ordered[0]}' AND sscc NOT IN "
        "(SELECT child FROM nesting WHERE closed_seq IS NULL AND parent NOT IN (SELECT code FROM location))",
        "carton 1",
    )
    accepted = h.pick("SELECT sscc FROM pallet WHERE status = 'accepted'", "pallet 1")
    leave = [["DRIVER", '"Dora'], ["DEPART"], ["LEAVEANYWAY", '"agreed']]
    return rng.choice([["PICK", loose, loose], ["PICK", accepted, accepted], *leave])


def possible_acts(h: History) -> list[list[str]]:
    """An act for each thing that is in a state for it."""
    inside = "SELECT n.child FROM nesting n JOIN {} WHERE n.closed_seq IS NULL AND {}"
    outer = "nesting m ON m.child = n.parent AND m.closed_seq IS NULL JOIN shipment d ON d.code = m.parent"
    closed = "SELECT sscc FROM carton WHERE status = 'closed' AND units > 0"
    shipped = (
        inside.format(
            "carton c ON c.sscc = n.child JOIN shipment d ON d.code = n.parent", "d.status = 'shipped'"
        )
        + " UNION "
        + inside.format(outer, "d.status = 'shipped'")
    )
    stacked = inside.format("pallet p ON p.sscc = n.parent", "p.status IN ('open', 'closed')")
    acts: list[list[str]] = []

    def offer(query: str, *acts_of: Callable[[str], list[str]]) -> None:
        found = h.column(query)
        if found:
            acts.extend(act(str(h.rng.choice(found))) for act in acts_of)

    count = h.rng.choice((1, 2, 2, 2))
    offer(stacked, lambda code: ["UNSTACK", code, '"crushed'])
    offer(
        "SELECT sscc FROM pallet WHERE status IN ('closed', 'accepted')",
        lambda code: ["REOPEN", code, '"again'],
        lambda code: ["PUT", code, "Y1"],
    )
    offer(
        closed,
        lambda code: ["OPENCHECK", code, f"#{count}"],
        lambda code: ["PUT", code, "Y2"],
        lambda code: [code],
    )
    if h.rng.random() < 0.3:
        offer(closed, lambda code: ["BREAK", code, '"torn'])
    offer(
        "SELECT sscc FROM carton WHERE status = 'broken'",
        lambda code: ["REPACK", code, f"#{count}", '"counted'],
    )
    offer(
        inside.format("location y ON y.code = n.parent", "1 = 1"),
        lambda code: ["MOVE", code, h.rng.choice(("Y1", "Y2"))],
    )
    offer(
        inside.format("shipment d ON d.code = n.parent", "d.status = 'loading'"),
        lambda code: ["UNLOAD", code, '"no room'],
    )
    offer(shipped, *[lambda code: ["RETURN", code, '"wrong']] * 2)
    offer(
        "SELECT sscc FROM pallet WHERE status = 'shipped'",
        lambda code: ["RETURN", code, '"refused'],
    )
    offer(
        "SELECT sscc FROM carton WHERE status = 'returned'",
        lambda code: ["RESTOCK", code, '"looks new'],
        lambda code: ["DESTROY", code, '"no use', "P2"],
    )
    offer(
        "SELECT number FROM return_line WHERE carton IS NULL AND status = 'quarantine'",
        lambda line: ["DESTROY", f"#{line}", '"no use', "P2"],
        lambda line: ["RESTOCKLOOSE", f"#{line}", f"K{h.number()}", '"looks new'],
    )
    on_pallets = "SELECT parent FROM nesting WHERE closed_seq IS NULL AND parent IN (SELECT sscc FROM pallet)"
    offer(on_pallets, lambda code: ["COUNT", code, f"#{count}"])
    things = h.column(f"SELECT sscc FROM pallet WHERE status IN ('accepted', 'shipped') UNION {closed}")
    if things:
        offer(
            "SELECT code FROM shipment WHERE status = 'shipped'",
            lambda code: ["CORRECTLOAD", code, h.rng.choice(things), '"looked', "P2"],
        )
    # Of numbers that left: some of a return in quarantine, some of cartons still with customers.
    offer(
        "SELECT number FROM numbered_sleeve s JOIN carton c ON c.sscc = s.carton WHERE c.status = 'returned' "
        f"OR s.carton IN ({shipped})",
        lambda number: [f"sleeve 3 no {number}"],
        lambda number: [f"sleeve 3 no {number}"],
    )
    matrix = h.rng.choice((*MATRICES, "EX-101-A", "EX-103-B"))
    mark = h.rng.choice((code("T", 4), code("T", 999), "mark"))
    acts.append(["RETURNLOOSE", f'"{matrix}', f'"{mark}', f"#{count}"])
    acts.append(["RETURNNOMARK", f'"{matrix}', f"#{count}"])
    return acts


def keep_or_let_go(h: History, title: int) -> None:
    """The desk keeps stock for an order, or lets it go."""
    stamp = Stamp(h.floor.at, "2031-03-03T07:30:00Z", person=code("P", 1))
    with h.floor.ledger.writing() as booking, contextlib.suppress(RefusedByRule):
        if h.rng.random() < 0.6:
            order_book.allocate(booking, code("O", title), stamp)
        else:
            order_book.release(booking, code("O", title), stamp, "changed")

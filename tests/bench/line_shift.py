"""A whole shift at a packing line, typed into a terminal: how long from Enter until the verdict stands on the screen.

Run by hand: python tests/bench/line_shift.py [UNITS]
Starts `runout line` on a pseudo-terminal of 80 by 24, types every scan as a wedge scanner would, and waits until
the verdict is drawn before the next one. The shift packs UNITS units (310 unless told otherwise): two products with
a changeover, a wrong sleeve and the recheck it asks for, no-reads, rejects, a keyed disc, a check by a second person,
a shift change, part cartons. Prints what was scanned for which act, and the times.
"""

import fcntl
import os
import pty
import re
import statistics
import struct
import sys
import tempfile
import termios
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import pysqlite3

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_plant import LINE, PRESS_2, Floor, raw

CARTON = 25
STACK = 80
DRAWN = re.compile(rb"\x1b\[2J\x1b\[H(.*)\x1b\[0J\x07*$", re.DOTALL)
"""A whole verdict."""
ROWS, COLUMNS = 24, 80


@dataclass
class Shift:
    """Somebody at the line."""

    terminal: int
    acts: Counter[str] = field(default_factory=Counter)
    """Scans by what they were for."""
    times: list[float] = field(default_factory=list)
    """Seconds a scan, in order."""
    insertions: list[float] = field(default_factory=list)
    """Seconds of a disc and its sleeve together."""
    stops: Counter[str] = field(default_factory=Counter)
    """Sentences of stops, by their first word."""

    def scan(self, line: str, act: str) -> str:
        """Type one scan and wait for its verdict; returns what stands on the screen."""
        began = time.perf_counter()
        os.write(self.terminal, raw(line).encode() + b"\n")
        seen = b""
        while not DRAWN.search(seen):
            piece = os.read(self.terminal, 65536)
            seen += piece
        self.times.append(time.perf_counter() - began)
        self.acts[act] += 1
        found = DRAWN.search(seen)
        assert found is not None
        return " ".join(found[1].decode().split())

    def unit(self, product: int, number: int | None = None) -> None:
        """One disc and its sleeve."""
        start = len(self.times)
        self.scan(f"disc {product}.1", "insertion")
        self.scan(sleeve(product, number), "insertion")
        self.insertions.append(sum(self.times[start:]))


def sleeve(product: int, number: int | None = None) -> str:
    return f"sleeve {product}" if number is None else f"sleeve {product} no {number}"


def plant(folder: str, units: int) -> Path:
    """A ledger with two lots on stacks of 80."""
    floor = Floor.new(f"{folder}/shift.db", carton_size=CARTON, line_reasons=1)
    floor.tools()
    stacks = units // STACK + 2
    floor.press(1, strokes=stacks * STACK, stacks=stacks)
    floor.press(4, strokes=STACK + 20, stacks=1, press=PRESS_2)
    assert [verdict for verdict in floor.verdicts if verdict.finding] == []
    return Path(folder, "shift.db")


def begin(shift: Shift, batch: str, spindle: str, carton: int) -> None:
    for line in ("CLEAR", "P2", batch, spindle, f"carton {carton}"):
        shift.scan(line, "changeover")


def mishap(shift: Shift, done: int, in_carton: int) -> None:
    """What goes wrong now and then, by how many units are done."""
    if done == 40:
        shift.scan("disc 1.1", "wrong sleeve")
        told = shift.scan("sleeve 3 no 1", "wrong sleeve")
        assert f"also the last {in_carton} units" in told, told
        shift.scan("RECHECK", "recheck")
        for _unit in range(in_carton):
            shift.scan("disc 1.1", "recheck")
            shift.scan("sleeve 1", "recheck")
    elif done % 70 == 69:
        shift.scan("disc 1.1", "no read")
        shift.scan("NOREAD", "no read")
        shift.scan("sleeve 1", "no read")
        shift.scan("UNDO", "undo")
    elif done % 90 == 89:
        for line in ("disc 1.1", "REJECT", '"scratched'):
            shift.scan(line, "reject")
    elif done == 100:
        for line in ("CHECK", "P2"):
            shift.scan(line, "check")
    elif done == 130:
        for line in ("NOREAD", "NOREAD", "MANUAL", '"EX-101-A', '"EX-101-B', "P2", "sleeve 1"):
            shift.scan(line, "keyed disc")
        shift.scan("UNDO", "undo")
    elif done == 150:
        for line in ("HANDOVER", "P2", "HANDOVER", "P1"):
            shift.scan(line, "shift change")


def play(shift: Shift, units: int) -> None:
    """The shift: the first product, a part carton, the changeover, the numbered edition."""
    shift.scan("P1", "sign-on")
    numbered = min(80, units // 4)
    carton, stack, in_carton, left = 1, 11, 0, STACK
    begin(shift, "B1", f"K{stack}", carton)
    for done in range(units - numbered):
        mishap(shift, done, in_carton)
        left -= 1 if done % 90 == 89 else 0
        if left <= 0:
            stack, left = stack + 1, STACK
            shift.scan(f"K{stack}", "stack")
        shift.unit(1)
        in_carton, left = in_carton + 1, left - 1
        if in_carton == CARTON:
            carton, in_carton = carton + 1, 0
            shift.scan(f"carton {carton}", "carton")
    shift.scan("CLOSE", "carton")
    if in_carton:
        shift.scan('"end of the job', "carton")
    begin(shift, "B3", "K41", carton + 1)
    for number in range(1, numbered + 1):
        shift.unit(3, number)
        if number % CARTON == 0:
            shift.scan(f"carton {carton + 1 + number // CARTON}", "carton")


def main() -> None:
    units = int(sys.argv[1]) if len(sys.argv) > 1 else 310
    with tempfile.TemporaryDirectory() as folder:
        ledger = plant(folder, units)
        child, terminal = pty.fork()
        if child == 0:
            program = [sys.executable, "-c", "from tracelink.cli import main; main()"]
            os.execv(sys.executable, [*program, "--ledger", str(ledger), "line", "--station", LINE])
        fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", ROWS, COLUMNS, 0, 0))
        attributes = termios.tcgetattr(terminal)
        attributes[3] &= ~termios.ECHO
        termios.tcsetattr(terminal, termios.TCSANOW, attributes)
        # The station says what it waits for before the first scan.
        seen = b""
        while not DRAWN.search(seen):
            seen += os.read(terminal, 65536)
        shift = Shift(terminal)
        play(shift, units)
        os.write(terminal, b"\x04")
        os.waitpid(child, 0)
        packed = packed_by(ledger)
    report(shift, packed)


def packed_by(ledger: Path) -> int:
    """Units in cartons, sealed and spooled."""
    with pysqlite3.connect(ledger) as conn:
        sealed = conn.execute("SELECT COALESCE(SUM(units), 0) FROM carton").fetchone()[0]
        spooled = conn.execute("SELECT COUNT(*) FROM spool WHERE spindle IS NOT NULL").fetchone()[0]
    return int(sealed) + int(spooled)


def report(shift: Shift, packed: int) -> None:
    print(
        f"{len(shift.insertions)} insertions, {len(shift.times)} scans; {packed} units in cartons by the ledger"
    )
    for act, scans in shift.acts.most_common():
        print(f"  {act:<14} {scans:>5} scans")
    for name, times in (("scan", shift.times), ("insertion (disc and sleeve)", shift.insertions)):
        ordered = sorted(times)
        worst = ordered[min(len(ordered) - 1, len(ordered) * 99 // 100)]
        print(
            f"{name}: median {statistics.median(times) * 1000:.1f} ms, 99th {worst * 1000:.1f} ms, "
            f"longest {ordered[-1] * 1000:.1f} ms"
        )


if __name__ == "__main__":
    main()

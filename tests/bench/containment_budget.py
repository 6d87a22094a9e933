"""How long a question takes whose discs were mixed with those of hundreds of stacks, and its certificate and check.

Run by hand: python tests/bench/containment_budget.py [CASE ...]     (all cases unless named)
For each case it prints the seconds for the question, for its certificate and for checking that (by the clock, and of
the processor), next to the number of classes of strokes and of bounds, how many bounds are exact and how many are
confirmed. Records are plain lists, so nothing but genealogy is measured.

    returned300     a lot of 40,000 discs in 1,667 cartons; 300 of them came back into one place and were restocked
    returned1667    the same, and all of them came back
    table400        400 stacks of 100 discs were put on one table, and packed from there
"""

import gc
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_asking import contain
from support_memory import MemoryRecords

from tracelink.cli import COLLECT_AFTER
from tracelink.genealogy.certificate.check_certificate import check, lots_in
from tracelink.genealogy.certificate.check_lot import record_of
from tracelink.genealogy.certificate.write_certificate import certificate_of
from tracelink.genealogy.model.facts import JudgementFact, LotFact, MovementFact, SegmentFact, ToolFact
from tracelink.genealogy.model.shapes import Shape

DISCS = 40_000
CARTON = 24
LOT, STAMPER = "L1", "T1"
RETURNED, TABLE = "returned", "table"
LAST_GOOD, FIRST_BAD = 20_050, 30_050
AT = "2031-03-04T08:00:00+01:00"


class Day:
    """Movements, one after the other."""

    def __init__(self):
        self.moves = []

    def move(self, quantity, source, target, first=None, last=None):
        self.moves.append(
            MovementFact(2 + len(self.moves), 0, LOT, quantity, source, target, first, last, AT)
        )

    def stack(self, size):
        """Stack every disc; return (spindle, discs) of each."""
        stacks = []
        for number, first in enumerate(range(1, DISCS + 1, size)):
            last = min(first + size - 1, DISCS)
            stacks.append((f"K{number}", last - first + 1))
            self.move(last - first + 1, "counter", stacks[-1][0], first, last)
        return stacks

    def pack(self, stacks):
        """Pack what stands there, stack after stack; return (carton, discs) of each."""
        cartons, room = [], 0
        for spindle, stacked in stacks:
            left = stacked
            while left:
                if not room:
                    cartons.append([f"C{len(cartons)}", 0])
                    room = CARTON
                taken = min(left, room)
                self.move(taken, spindle, cartons[-1][0])
                cartons[-1][1] += taken
                left, room = left - taken, room - taken
        return cartons


def returned(every):
    day = Day()
    back = day.pack(day.stack(400))[::every][: 300 if every > 1 else None]
    for carton, discs in back:
        day.move(discs, carton, RETURNED)
    for carton, discs in back:
        day.move(discs, RETURNED, carton)
    return day.moves


def table():
    day = Day()
    for spindle, discs in day.stack(100):
        day.move(discs, spindle, TABLE)
    day.pack([(TABLE, DISCS)])
    return day.moves


CASES = {"returned300": lambda: returned(5), "returned1667": lambda: returned(1), "table400": table}


def records_of(moves):
    return MemoryRecords(
        tools=[ToolFact(STAMPER, "stamper", None, "M1", "A", "")],
        lots=[LotFact(LOT, "9520000012342", 1, "Moth Parliament", "W1", DISCS, "")],
        segments=[SegmentFact(LOT, 1, DISCS, "W1", STAMPER, "T9", 0, 0, "B1", "E1", "E2", 1)],
        judgements=[
            JudgementFact("S1", LOT, LAST_GOOD, True, None, 9000),
            JudgementFact("S2", LOT, FIRST_BAD, False, "scratch", 9001),
        ],
        movements=moves,
        journal_head=(10_000, "ab" * 32),
    )


class Times:
    """Tells the seconds since it was asked last."""

    def __init__(self):
        self._last = self._now()

    def _now(self):
        return time.perf_counter(), time.process_time()

    def since(self):
        last, self._last = self._last, self._now()
        clock, processor = (now - then for now, then in zip(self._last, last, strict=True))
        return f"{clock:.1f} s ({processor:.1f} s of the processor)"


def timed_case(name):
    """Yield what was done in a case, and its seconds of the processor: the question, and that with its certificate."""
    records = records_of(CASES[name]())
    began = time.process_time()
    scope = contain(records, STAMPER, Shape.FROM_ONSET)
    asked = time.process_time()
    certificate_of(scope)
    yield f"{name}: the question, processor", asked - began
    yield f"{name}: question and certificate, processor", time.process_time() - began


def measure(name):
    records = records_of(CASES[name]())
    times = Times()
    scope = contain(records, STAMPER, Shape.FROM_ONSET)
    bounds = [one.bound for one in (*scope.containers, *scope.groups, *scope.places)]
    exact = sum(bound.tight for bound in bounds)
    print(f"{name}: question {times.since()}; {exact} of {len(bounds)} bounds exact", flush=True)
    certificate = certificate_of(scope)
    classes = len(certificate["lots"][0]["most"]["classes"])
    print(f"    certificate {times.since()}; {classes} classes of strokes", flush=True)
    document = {**scope.to_json(), "certificate": certificate}
    lots = {lot: record_of(records, lot, records.journal_head[0]) for lot in lots_in(document)}
    found = Counter(one.verdict.value for one in check(document, lots))
    told = ", ".join(f"{count} {verdict}" for verdict, count in found.items())
    print(f"    check {times.since()}; {told}", flush=True)


if __name__ == "__main__":
    gc.set_threshold(COLLECT_AFTER)  # as the command does
    for case in sys.argv[1:] or CASES:
        measure(case)

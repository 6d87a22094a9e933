"""Damaged inputs before every reader of what comes from outside, with limits of time and memory.

Run by hand: python tests/bench/fuzz.py [COUNT [SEED [READER ...]]]
Of COUNT inputs (10,000) each reader gets its share. Prints for each reader how many it took, how many it refused with a sentence,
and every input that ended otherwise: in a traceback, in an answer that it does not deserve, in more than 10 s or 300 MB.

A reader that works in a process of its own takes twenty times as long to start one as to read. Such a reader gets one input of sixteen
as it is used, and the others in this process, which has the same limits; what needs more memory here is read once more as it is used.

A reader that refuses whatever comes would end every input well and find nothing. So it says as well what share of the inputs
came past its first check: were taken, or refused by another check than random bytes are.
None of them, and the campaign has failed.
"""

import gc
import random
import re
import resource
import signal
import sys
import tempfile
import time
import traceback
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_readers import READERS, inputs

from tracelink import limited
from tracelink.errors import LedgerError
from tracelink.report.bundle.verify_bundle import Fault

SECONDS = 10
MEGABYTES = 300
SHOWN = 200
BATCH = 500
AS_USED = 16
"""Of so many inputs, one is read in a process of its own where the reader has one."""


class TookTooLongError(Exception):
    """Raised by the alarm."""


class ChildOrHere:
    """Takes the place of `within_limits` in every module that has it."""

    def __init__(self):
        self.as_used = True
        self.as_used_count = self.here_count = 0
        self.in_child = limited.within_limits
        for module in list(sys.modules.values()):
            if module.__dict__.get("within_limits") is self.in_child:
                module.within_limits = self

    def __call__(self, work, what, megabytes=limited.MEGABYTES):
        if not self.as_used:
            self.here_count += 1
            try:
                return work()
            except MemoryError:
                # What it would have come to is what its own process says.
                gc.collect()
        self.as_used_count += 1
        return self.in_child(work, what, megabytes)


def outcome(reader, data, file, said=None):
    """Return "taken", "refused", or what went wrong; `said` gets what refused it."""
    signal.alarm(SECONDS)
    try:
        answer = reader.read(data, file)
    except (LedgerError, Fault) as refused:
        if said is not None:
            said.append(check_of(refused))
        return "refused" if str(refused).strip() else "refused without a sentence"
    except TookTooLongError:
        return f"more than {SECONDS} s"
    except MemoryError:
        return f"more than {MEGABYTES} MB"
    except Exception as problem:  # noqa: BLE001  the find that is looked for
        return f"{type(problem).__name__}: {problem}"[:SHOWN]
    finally:
        signal.alarm(0)
    return "taken" if reader.accepted(answer, data) else "taken, and should not be"


def check_of(refused):
    """Return what refused an input: the line of code that found the fault; its words where it was found in a child process."""
    first = refused
    while first.__context__ is not None:
        first = first.__context__
    places = [
        (Path(code.co_filename).name, line)
        for code, line in ((frame.f_code, line) for frame, line in traceback.walk_tb(first.__traceback__))
        if "tracelink" in Path(code.co_filename).parts
    ]
    if places and places[-1][0] != "limited.py":
        return places[-1]
    return re.sub(r"'[^']*'|\"[^\"]*\"|[^a-z ]", "", str(refused))


def first_checks(reader, file):
    """Return what refuses bytes of chance."""
    rng, said = random.Random(0), []
    for size in (0, 1, 3, 9, 40, 200) * 5:
        outcome(reader, rng.randbytes(size), file, said)
    return {*said}


def limit_memory():
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    most = pages * resource.getpagesize() + (MEGABYTES << 20)
    resource.setrlimit(resource.RLIMIT_AS, (most, most))


def run(name, count, seed, limits):
    """Read `count` inputs and return how each kind of outcome came up."""
    reader, found, said = READERS[name], Counter(), []
    with tempfile.TemporaryDirectory() as folder:
        seeds = reader.seeds(Path(folder))
        file = Path(folder) / f"x{reader.suffix}"
        for data in seeds:
            # Under these very limits: a reader that refuses whatever comes would find nothing.
            assert outcome(reader, data, file) == "taken", (name, data[:SHOWN])
        first = first_checks(reader, file)
        for begin in range(0, count, BATCH):
            for place, data in enumerate(inputs(reader, seeds, seed + begin, min(BATCH, count - begin))):
                limits.as_used = place % AS_USED == 0
                how = outcome(reader, data, file, said)
                if how not in {"taken", "refused"} and not found[how]:
                    print(f"{name}: {how}\n    {data[:SHOWN]!r}", flush=True)
                found[how] += 1
            found["past the first check"] += sum(check not in first for check in said)
            said.clear()
    limits.as_used = True
    gc.collect()
    found["past the first check"] += found["taken"]
    return found


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    names = sys.argv[3:] or list(READERS)
    shares = sum(READERS[name].share for name in names)
    signal.signal(signal.SIGALRM, _stop)
    limits = ChildOrHere()
    limit_memory()
    odd = 0
    for name in names:
        began = time.process_time()
        found = run(name, max(1, count * READERS[name].share // shares), seed, limits)
        past = found.pop("past the first check")
        odd += sum(number for how, number in found.items() if how not in {"taken", "refused"}) + (not past)
        took = time.process_time() - began
        print(
            f"{sum(found.values()):8,d}  {name}: {found['taken']:,} taken, {found['refused']:,} refused, "
            f"{past / sum(found.values()):.0%} past the first check, {took:.0f} s",
            flush=True,
        )
    print(
        f"{limits.as_used_count:8,d}  times in a process of its own, {limits.here_count:,} times in this one"
    )
    print(f"{odd:8,d}  ended otherwise")
    return 1 if odd else 0


def _stop(*_):
    raise TookTooLongError


if __name__ == "__main__":
    sys.exit(main())

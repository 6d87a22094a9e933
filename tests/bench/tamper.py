"""How often a changed ledger is noticed, and how often the very place is named, by class of change.

Run by hand: python tests/bench/tamper.py [TRIALS [SEED [CLASS]]]
Changes copies of a small ledger in one way each, TRIALS times in every class (100 unless told otherwise), and
verifies each with checkpoints at a third, two thirds and all of its entries. What is not noticed must be shown
to have changed no row; otherwise it is a miss, and the exit code is 1.
"""

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_tamper import CLASSES, Ledgers, campaign


def main() -> None:
    trials = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    names = [name for name in CLASSES if len(sys.argv) <= 3 or sys.argv[3] in name]
    missed = 0
    with tempfile.TemporaryDirectory() as folder:
        ledgers = Ledgers(Path(folder))
        print(f"ledger of {ledgers.size} entries, {len(ledgers.bytes)} bytes; seed {seed}")
        for name in names:
            began = time.perf_counter()
            tally = campaign(ledgers, name, trials, seed)
            took = (time.perf_counter() - began) / trials * 1e3
            harmful = tally.trials - sum(tally.harmless.values())
            print(
                f"{name}: {tally.trials} trials, {harmful} changed something, {tally.told} told, "
                f"{tally.placed} of {tally.placeable} placed, {len(tally.misses)} missed ({took:.0f} ms each)"
            )
            for why, count in sorted(tally.harmless.items()):
                print(f"    not told, and every row reads as before: {count} in {why}")
            for one in [*tally.misses[:10], *tally.badly_placed[:10]]:
                print(f"    {one}")
            missed += len(tally.misses)
    sys.exit(1 if missed else 0)


if __name__ == "__main__":
    main()

"""Many made-up labels, drawn and read back: is any read as something else?

Run by hand: python tests/bench/labels_roundtrip.py [LABELS] [SEED]
LABELS are 100,000 unless told otherwise. All kinds of small labels, at 203 and 300 dpi, with codes, serial numbers
and texts by chance, each read whole and symbol by symbol. Prints how many were read right, refused before drawing,
not read, and read wrong, with the rate.
"""

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_labels import roundtrip

STEP = 5000


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 100_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 20310303
    done = 0

    def tick() -> None:
        nonlocal done
        done += 1
        if done % STEP == 0:
            print(f"{done:,} of {count:,}", file=sys.stderr)

    begun = time.perf_counter()
    tally = roundtrip(count, seed, (203, 300), tick)
    seconds = time.perf_counter() - begun
    print(f"labels    {count:>9,}  seed {seed}, {count / seconds:.0f} a second")
    print(f"right     {tally.right:>9,}")
    print(f"refused   {tally.refused:>9,}  did not fit on their label")
    print(f"not read  {len(tally.unread):>9,}")
    print(f"wrong     {len(tally.wrong):>9,}")
    for sentence in (*tally.wrong, *tally.unread)[:50]:
        print(sentence)
    sys.exit(1 if tally.wrong or tally.unread else 0)


if __name__ == "__main__":
    main()

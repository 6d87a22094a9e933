"""EPCIS documents with something changed, before our rules and before the published schema, as many as wished.

Run by hand, with RUNOUT_TEST_DOCUMENTS set: python tests/bench/epcis_campaign.py [COUNT [SEED]]
Prints how many documents the schema took and refused, and the first documents on which the two judges differ.
"""

import json
import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_mutations import documents, judged

SHOWN = 5


def verdict(document):
    try:
        return judged(document)
    except Exception as problem:  # noqa: BLE001  a traceback is a difference too, and the campaign goes on
        return None, f"traceback: {problem!r}"


def main():
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    found: Counter[str] = Counter()
    began = time.monotonic()
    for document in documents(seed, count):
        taken, wrong = verdict(document)
        found["taken by the schema" if taken else "refused by the schema"] += 1
        if wrong:
            found["judged differently"] += 1
            if found["judged differently"] <= SHOWN:
                print(wrong, json.dumps(document), sep="\n", end="\n\n")
    for name, number in sorted(found.items()):
        print(f"{number:8d}  {name}")
    print(f"{time.monotonic() - began:8.0f}  seconds")


if __name__ == "__main__":
    main()

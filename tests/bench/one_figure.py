"""Collect every figure about a consignee of a case and show that each meaning has one value. Run by hand.

    python tests/bench/one_figure.py LEDGER CASE [CONSIGNEE]

LEDGER is a file, which is only read; CASE a containment case in it. Without CONSIGNEE every consignee of the case is
looked at. Exit code 0: one value for each meaning; 1: some meaning has two.
"""

import json
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from support_cli import run
from support_figures import by_meaning, collect, disagreements


def main() -> int:
    place, case, *names = sys.argv[1:]
    if not names:
        status = json.loads(run("case", "status", case, "--format", "json", ledger=place).out)
        names = [row["consignee"] for row in status["consignees"]]
    differ = False
    for name in names:
        with tempfile.TemporaryDirectory() as folder:
            figures = collect(Path(place), case, name, Path(folder))
        print(f"{name}: {len(figures)} figures from {len({one.source for one in figures})} places")
        for meaning, values in sorted(by_meaning(figures).items()):
            shown = "; ".join(f"{value} ({len(sources)} places)" for value, sources in values.items())
            print(f"  {meaning:<36} {shown}")
        for meaning, values in disagreements(figures).items():
            differ = True
            for value, sources in values.items():
                print(f"  DIFFERS {meaning}: {value} in {', '.join(sources)}")
    return 1 if differ else 0


if __name__ == "__main__":
    sys.exit(main())

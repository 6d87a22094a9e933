"""What it costs a scan to be signed: matches at a line with a key next to the same line without one, in one run.

Run by hand: python tests/bench/signed_scans.py [PAIRS]
Two copies of one plant on one disk; pairs of disc and sleeve are scanned at both in turns, every fifth closes a carton,
and each pair is durable when its time is taken. Prints both and their ratio.
"""

import statistics
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from line_latency import p99, report, timed
from support_plant import LINE, Floor, carton_sscc, gtin, n, raw, raw_disc, raw_sleeve, raw_sscc

from runout import Badge, LiveStation, Word, open_ledger


def main() -> None:
    pairs = int(sys.argv[1]) if len(sys.argv) > 1 else 400
    floor = Floor.copy()
    floor.press(1, strokes=2 * pairs, stacks=1)
    times: dict[bool, list[float]] = {True: [], False: []}
    with tempfile.TemporaryDirectory() as folder:
        places = {signs: floor.saved(Path(folder, f"{signs}.db")) for signs in (True, False)}
        with open_ledger(places[True]) as signed, open_ledger(places[False]) as plain:
            key = signed.stations.make_key(LINE)
            signed.stations.enrol_key(key.public, Badge(n("P1")), Badge(n("P2")), "its own machine")
            with signed.stations.live(LINE) as one, plain.stations.live(LINE) as other:
                measure({True: one, False: other}, times, pairs)
        with open_ledger(places[True], read_only=True) as signed:
            faults = signed.verify(tables=False).faults
    report("pair at a line that signs", times[True])
    report("pair at a line that does not", times[False])
    ratio = statistics.median(times[True]) / statistics.median(times[False])
    print(f"ratio: median {ratio:.2f}, 99th {p99(times[True]) / p99(times[False]):.2f}")
    sys.exit(1 if faults else 0)


def measure(lines: dict[bool, LiveStation], times: dict[bool, list[float]], pairs: int) -> None:
    for line in lines.values():
        for word in ("P1", "CLEAR", "P2", "B1", "K11", "carton 1"):
            line.scan(raw(word))
    disc, sleeve = raw_disc(gtin(1), 1, 1), raw_sleeve(gtin(1))
    for number in range(pairs):
        for signs, line in lines.items():
            times[signs].append(timed(lambda line=line: matched(line, disc, sleeve)))
            if number % 5 == 4:
                line.scan(raw("CLOSE"))
                line.scan(raw_sscc(carton_sscc(number // 5 + 2)))


def matched(line: LiveStation, disc: str, sleeve: str) -> None:
    line.scan(disc)
    assert line.scan(sleeve).word is Word.MATCH


if __name__ == "__main__":
    main()

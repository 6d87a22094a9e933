"""The benchmarks of the packing line still run; what it measures is looked at by hand, never judged by a test."""

import re
import subprocess
import sys
from pathlib import Path

SHIFT = Path(__file__).resolve().parents[1] / "bench" / "line_shift.py"
ACTS = Path(__file__).resolve().parents[1] / "bench" / "line_latency.py"


def test_the_line_benchmark_runs_on_a_small_ledger():
    done = subprocess.run(
        [sys.executable, str(ACTS), "200", "20"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert lines[0].startswith("ledger with 200 matches on sqlite: built in ")
    kinds = ("disc and sleeve", "refused", "numbered set of two discs", "all")
    for kind, line in zip(kinds, lines[1:], strict=True):
        assert re.fullmatch(
            rf"{kind} \(\d+\): median [\d.]+ ms and [\d.]+ bare, [\d.]+ x; 99th [\d.]+ and [\d.]+, [\d.]+ x(; \d+ statements)?",
            line,
        )


def test_a_short_shift_is_typed_into_a_terminal():
    done = subprocess.run([sys.executable, str(SHIFT), "48"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    lines = done.stdout.splitlines()
    assert re.fullmatch(r"48 insertions, \d+ scans; 48 units in cartons by the ledger", lines[0])
    assert re.fullmatch(
        r"insertion \(disc and sleeve\): median [\d.]+ ms, 99th [\d.]+ ms, longest [\d.]+ ms", lines[-1]
    )


def test_the_benchmark_of_warnings_runs_on_one_plant():
    warnings = ACTS.parent / "chart_warnings.py"
    done = subprocess.run([sys.executable, str(warnings), "1"], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    rows = [line for line in done.stdout.splitlines() if line.startswith("| ")]
    # Four faults by four charts, twelve changes of counts, seven numbers of bad discs, and the heads of three tables.
    assert len(rows) == 16 + 12 + 7 + 3

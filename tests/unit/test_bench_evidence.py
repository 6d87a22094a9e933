"""The benchmark of evidence still runs; what it measures is looked at by hand, never judged by a test."""

import re
import subprocess
import sys
from pathlib import Path

ACTS = Path(__file__).resolve().parents[1] / "bench"


def ran(*words):
    done = subprocess.run(
        [sys.executable, str(ACTS / words[0]), *words[1:]], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout.splitlines()


def test_the_evidence_benchmark_runs_on_a_small_ledger():
    lines = ran("evidence_speed.py", "64", "700")
    assert re.fullmatch(r"ratio: \d+\.\d\d of the bare chain over the same rows", lines[4])
    assert "rows stored of it: 45, 0.0643 for an entry" in lines
    assert "inclusion proof: 10 hashes at most, 320 bytes" in lines
    assert re.fullmatch(
        r"appending: \d+ us an entry with the tree, \d+ us without; ratio \d+\.\d\d", lines[-1]
    )

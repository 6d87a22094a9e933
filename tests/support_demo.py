"""The small demo plant, played once for a whole test run, whichever worker needs it first."""

import fcntl
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SCALE = "0.05"


def played_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder that `sh demo/run.sh` leaves, at a twentieth of its size. Copy it before writing into it."""
    base = tmp_path_factory.getbasetemp()
    # Workers have a folder each below one that they share.
    shared = base.parent if "PYTEST_XDIST_WORKER" in os.environ else base
    out = shared / "played-demo"
    with (shared / "played-demo.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not out.exists():
            half = shared / "played-demo.part"
            command = [sys.executable, str(ROOT / "demo" / "play.py"), str(half), "--scale", SCALE]
            told = subprocess.run(command, capture_output=True, text=True, check=False)
            assert told.returncode == 0, told.stdout[-2000:] + told.stderr
            half.rename(out)
    return out

"""The small demo plant, played once for a whole test run, whichever worker needs it first."""

import subprocess
import sys
from pathlib import Path

import pytest
from support_session import alone, shared_folder

ROOT = Path(__file__).resolve().parents[1]
PLAYER = ROOT / "tests" / "support_demo_player.py"
SCALE = "0.05"


def played_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder that `sh demo/run.sh` leaves, at a twentieth of its size. Copy it before writing into it."""
    out = shared_folder(tmp_path_factory) / "played-demo"
    with alone(out):
        if not out.exists():
            half = out.with_name("played-demo.part")
            command = [sys.executable, str(PLAYER), str(half), "--scale", SCALE]
            told = subprocess.run(command, capture_output=True, text=True, check=False)
            assert told.returncode == 0, told.stdout[-2000:] + told.stderr
            half.rename(out)
    return out

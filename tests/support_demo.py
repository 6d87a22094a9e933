"""The small demo plant, played once for a whole test run, whichever worker needs it first."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from support_session import alone, shared_folder

ROOT = Path(__file__).resolve().parents[1]
PLAYER = ROOT / "tests" / "support_demo_player.py"
SCALE = "0.05"


def after_phase_1(out: Path) -> tuple[Path, Path]:
    """Return the ledger as the first nine days left it, and what stations stopped: station, scan, finding."""
    return out.with_name(f"{out.name}-phase-1.db"), out.with_name(f"{out.name}-phase-1.json")


def stops_of(out: Path) -> Path:
    """Return what stations stopped in the whole story: station, scan, finding."""
    return out.with_name(f"{out.name}-stops.json")


def played_demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder that `sh demo/run.sh` leaves, at a twentieth of its size. Copy it before writing into it."""
    out = shared_folder(tmp_path_factory) / "played-demo"
    with alone(out):
        if not out.exists():
            half = out.with_name("played-demo.part")
            command = [sys.executable, str(PLAYER), str(half), "--scale", SCALE]
            # Another build of the same plant, with other hashes of texts, must be the same byte for byte.
            environment = os.environ | {"PYTHONHASHSEED": "0"}
            told = subprocess.run(command, capture_output=True, text=True, check=False, env=environment)
            assert told.returncode == 0, told.stdout[-2000:] + told.stderr
            for made, kept in zip(after_phase_1(half), after_phase_1(out), strict=True):
                made.rename(kept)
            stops_of(half).rename(stops_of(out))
            half.rename(out)
    return out

"""Make a played demo ready for trying it in a browser: `python demo/trial.py OUT`.

Three people get a PIN, and a browser is enrolled for every station. It stands apart from the story, in which nobody has a
PIN. The PINs are told to everybody, so they are for trial only.
"""

import os
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

from play import LEDGER


@dataclass(frozen=True, slots=True)
class Tried:
    """Somebody as whom the demo is tried."""

    badge: str
    name: str
    pin: str
    work: str
    """What may be done with the badge."""


KOFI = Tried(
    "P000311Q", "Kofi", "27182", "quality and lab: signs in at the desk, signs acts, works at the lab"
)
JUNE = Tried("P000310S", "June", "16180", "quality lead: is the second person where an act needs two")
NADIA = Tried("P000314K", "Nadia", "31415", "packing: signs on at a line")
_TRIED = (KOFI, JUNE, NADIA)


def make_ready(out: Path) -> str:
    """Give the PINs and enrol a browser; returns its code."""
    for one in _TRIED:
        # While Kofi has no PIN, his badge is enough; then his own PIN lets him set another's.
        _said(out, "person", "pin", one.badge, "--by", KOFI.badge, "--stdin", typed=f"{one.pin}\n")
    words = ("--by", KOFI.badge, "--reason", "to try the demo")
    return _said(out, "browser", "enrol", "browser of the trial", *words).strip()


def _said(out: Path, *words: str, typed: str = "") -> str:
    runout = str(Path(sys.executable).with_name("runout"))
    command = [runout, "--ledger", str(out / LEDGER), *words]
    environment = os.environ | {"RUNOUT_PIN": KOFI.pin}
    done = subprocess.run(  # noqa: S603  our own command
        command, input=typed, text=True, capture_output=True, check=False, env=environment
    )
    if done.returncode:
        sys.exit(done.stderr)
    return done.stdout


def main() -> None:
    """Make a demo ready and say how it is tried."""
    out = Path(sys.argv[1])
    code = make_ready(out)
    print("\n== To try it in a browser")
    print(f"  runout --ledger {out / LEDGER} serve --port 8080")
    print("  http://127.0.0.1:8080/sign-in for the desk; these PINs are for trial only:")
    for one in _TRIED:
        print(f"    {one.name}, badge {one.badge}, PIN {one.pin}: {one.work}")
    print(f"  http://127.0.0.1:8080/browser once, with the code {code}: then this browser opens every")
    print("  station at http://127.0.0.1:8080/station. Badges without a PIN work at stations by themselves.")


if __name__ == "__main__":
    main()

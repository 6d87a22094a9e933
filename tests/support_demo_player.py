"""Play the demo with all its commands in this one process: starting the program forty times takes as long as the rest.

Run as `python tests/support_demo_player.py OUT --scale SHARE`; that the story's commands run the installed program is
tested by itself.
"""

import contextlib
import io
import json
import shutil
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "demo"))

import play
from support_demo import after_phase_1, stops_of

from tracelink.cli import main
from tracelink.station.common.outcome import Word
from tracelink.store.stations import booking

STOPS = []
"""Station, number of the scan, finding."""


class NotingBooking(booking.Booking):
    """A booking that keeps what it stopped."""

    def book(self, code, scan, signer=None):
        verdict = super().book(code, scan, signer)
        if verdict.word is Word.STOP:
            STOPS.append((code, scan.number, verdict.finding))
        return verdict


def keep_phase_1(out):
    """Keep beside the folder what there is before the hold."""
    ledger, stops = after_phase_1(out)
    shutil.copy(out / play.LEDGER, ledger)
    stops.write_text(json.dumps(STOPS), encoding="utf-8")


def in_this_process(command, *, cwd, stdout, **_how):
    """Stand in for `subprocess.run` of a `runout` command."""
    out, code, argv = io.StringIO(), 0, sys.argv
    sys.argv = ["runout", *command[1:]]
    try:
        with contextlib.chdir(cwd), contextlib.redirect_stdout(out):
            main()
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else int(left.code is not None)
    finally:
        sys.argv = argv
    if stdout is None:
        sys.stdout.write(out.getvalue())
    if command[1] == "replay" and not after_phase_1(cwd)[0].exists():
        keep_phase_1(cwd)
    return subprocess.CompletedProcess(command, code, out.getvalue())


if __name__ == "__main__":
    booking.Booking = NotingBooking
    play.subprocess = SimpleNamespace(run=in_this_process, PIPE=subprocess.PIPE)
    play.main()
    stops_of(Path(sys.argv[1])).write_text(json.dumps(STOPS), encoding="utf-8")

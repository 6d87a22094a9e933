"""Play the demo with all its commands in this one process: starting the program forty times takes as long as the rest.

Run as `python tests/support_demo_player.py OUT --scale SHARE`; that the story's commands run the installed program is
tested by itself.
"""

import contextlib
import io
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "demo"))

import play

from tracelink.cli import main


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
    return subprocess.CompletedProcess(command, code, out.getvalue())


if __name__ == "__main__":
    play.subprocess = SimpleNamespace(run=in_this_process, PIPE=subprocess.PIPE)
    play.main()

"""`runout demo`: play the demo plant in a folder of its own."""

import subprocess
import sys

import click

from tracelink.datadir import data_dir


@click.command(epilog="Example: runout demo demo-plant")
@click.argument("folder", metavar="FOLDER")
@click.pass_context
def demo(ctx: click.Context, folder: str) -> None:
    """Build the demo plant in FOLDER, run ten days of it, and tell the story.

    Everything in it is invented. FOLDER is made if it is not there; what an earlier run left in it is
    replaced. At its end two people get a PIN and a browser is enrolled, so that pages and stations can be tried.
    """
    for script in ("play.py", "trial.py"):
        # Its own process: the demo is a user of the command line like any other.
        command = [sys.executable, str(data_dir("demo") / script), folder]
        done = subprocess.run(command, check=False)  # noqa: S603  our own script
        if done.returncode:
            ctx.exit(done.returncode)

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
    replaced.
    """
    script = data_dir("demo") / "play.py"
    # Its own process: the demo is a user of the command line like any other.
    command = [sys.executable, str(script), folder]
    ctx.exit(subprocess.run(command, check=False).returncode)  # noqa: S603  our own script

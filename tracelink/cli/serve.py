"""`runout serve`: the board, the search and the scope of a bad thing in a browser on this machine."""

import click

from runout import open_ledger
from tracelink.cli.common.ending import fault_sentence
from tracelink.cli.common.say import say


@click.command(epilog="Example: runout serve --port 8080      Ends with ctrl-C.")
@click.option("--host", default="127.0.0.1", show_default=True, help="An address of this machine alone.")
@click.option(
    "--port", type=click.IntRange(0, 65_535), default=8080, show_default=True, help="0 takes any free one."
)
@click.pass_obj
def serve(place: str, host: str, port: int) -> None:
    """Show the ledger in a browser: the board of a day, any thing with its family, and what a bad one touched.

    Pages only read: nobody signs in and nothing is booked, so they are served to this machine alone.
    """
    from tracelink.web import server  # noqa: PLC0415  `runout serve --help` starts without the server

    with open_ledger(place, read_only=True):
        # What is wrong with the ledger is said here, before a browser is opened.
        pass
    server.serve(
        place, host, port, fault_sentence, lambda address: say(f"Open {address}    Ends with ctrl-C.")
    )

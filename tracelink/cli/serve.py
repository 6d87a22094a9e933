"""`runout serve`: the pages of a ledger in a browser, on this machine or, by TLS, on others."""

import click

from runout import open_ledger
from tracelink.cli.common.ending import fault_sentence
from tracelink.cli.common.say import say


@click.command(epilog="Example: runout serve --port 8080      Ends with ctrl-C.")
@click.option(
    "--host", default="127.0.0.1", show_default=True, help="An address of this machine to listen at."
)
@click.option(
    "--port",
    type=click.IntRange(0, 65_535),
    metavar="N",
    default=8080,
    show_default=True,
    help="0 takes any free one.",
)
@click.option("--tls-cert", metavar="FILE", help="The certificate with its chain (PEM); with --tls-key.")
@click.option("--tls-key", metavar="FILE", help="Its key (PEM).")
@click.option(
    "--name",
    "names",
    metavar="HOST",
    multiple=True,
    help="A name of this machine that browsers use; may be given several times.",
)
@click.option("--behind", metavar="ADDRESS", help="The https address of a proxy that does TLS for it.")
@click.option(
    "--proxy",
    metavar="IP",
    help="With --behind: where that proxy asks from, and nobody else is answered; this machine unless said.",
)
@click.pass_context
def serve(
    ctx: click.Context,
    /,
    host: str,
    port: int,
    tls_cert: str | None,
    tls_key: str | None,
    names: tuple[str, ...],
    behind: str | None,
    proxy: str | None,
) -> None:
    """Show the ledger in a browser: the board of a day, any thing with its family, what a bad one touched, cases.

    On this machine alone everybody may read; acts are signed with badge and PIN. Other machines reach it only by TLS,
    with a certificate of its own or behind a proxy that is named, and read only once they signed in. With --read-only
    before the command pages offer no act and nothing is written.
    """
    from tracelink.web import server  # noqa: PLC0415  `runout serve --help` starts without the server

    place: str = ctx.obj
    with open_ledger(place, read_only=True):
        # What is wrong with the ledger is said here, before a browser is opened.
        pass
    listening = server.Listening(host, port, tls_cert, tls_key, names, behind, proxy)
    server.serve(
        place,
        listening,
        fault_sentence,
        lambda address: say(f"Open {address}    Ends with ctrl-C."),
        only_reads=ctx.find_root().params["read_only"],
    )

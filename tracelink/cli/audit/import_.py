"""`runout audit import`: a supplier's or customer's EPCIS document into entries, event by event."""

import click

from runout import open_ledger
from tracelink.cli.common.acting import badge_of
from tracelink.cli.common.options import format_option
from tracelink.errors import UsageError
from tracelink.report.epcis.offers import comes_by_name, plant_code
from tracelink.report.format.render import Column, Kind, render

_COLUMNS = [
    Column("place", "event", Kind.NUMBER),
    Column("event_id", "eventID", Kind.TEXT),
    Column("verdict", "verdict"),
    Column("sentence", "what became of it", Kind.TEXT),
]


@click.command(
    name="import", epilog="Example: runout audit import pellets.jsonld --by P000316G --as URI=C000007R"
)
@click.argument("file", metavar="FILE")
@click.option("--by", metavar="BADGE", required=True, help="Who reads it in; role dock, press or quality.")
@click.option(
    "--as",
    "given",
    metavar="URI=CODE",
    multiple=True,
    help="The code that stands on a partner's lot or tool here; the SSCC of what another plant packed; may be given several times.",
)
@click.option("--dry-run", is_flag=True, help="Say what would become of each event, and book nothing.")
@format_option
@click.pass_context
def import_document(
    ctx: click.Context, file: str, by: str, given: tuple[str, ...], dry_run: bool, fmt: str
) -> None:
    """Read FILE, an EPCIS 2.0 document (JSON) of a supplier or customer.

    Lots of pellets, labels and sleeves that were made or received come into the ledger, and tools that --as names; cartons
    and pallets are noted as received: ours once they were shipped, and those of another plant that --as names. Other valid events are recorded, and nothing is booked from them. A bad event is refused with
    a sentence and the good ones are booked. An event is booked once, however often it is read.

    Exit codes: 0 all taken, 1 some were refused, changed or taken back, 2 no EPCIS document.
    """
    codes = dict(map(_called, given))
    with open_ledger(ctx.obj) as ledger:
        found = ledger.partners.read_in(file, badge_of(by), codes=codes, dry_run=dry_run)
    if dry_run:
        click.echo("Nothing was booked: this was a dry run.", err=True)
    click.echo(render(found.to_dict(), _COLUMNS, fmt), nl=False)
    ctx.exit(0 if found.all_taken else 1)


def _called(given: str) -> tuple[str, str]:
    uri, equals, code = given.rpartition("=")
    if not equals or (plant_code(code) is None and not comes_by_name(code)):
        raise UsageError(
            f"--as {given!r}: expected URI=CODE, the code of a tool, compound lot, label lot, sleeve batch or part lot, or an SSCC"
        )
    return uri, code

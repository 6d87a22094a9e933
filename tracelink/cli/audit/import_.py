"""`runout audit import`: a supplier's or customer's EPCIS document into entries, event by event."""

import hashlib
from pathlib import Path

import click

from tracelink.cli.common.acting import require_pin
from tracelink.cli.common.opened import opened
from tracelink.cli.common.options import format_option
from tracelink.clock import local_now, utc_now
from tracelink.errors import UsageError
from tracelink.identity.plantcode import PlantCode
from tracelink.ledger.entry import Stamp
from tracelink.ledger.kinds.partners import NOT_TAKEN
from tracelink.report.epcis.offers import plant_code, read_offers
from tracelink.report.format.render import Cell, Column, Kind, render
from tracelink.report.format.strictjson import LARGEST_BYTES, read_json
from tracelink.store.office.partners import DocumentFile, book_document, require_importer

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
    help="The plant code that stands on a partner's lot here; may be given several times.",
)
@click.option("--dry-run", is_flag=True, help="Say what would become of each event, and book nothing.")
@format_option
@click.pass_context
def import_document(
    ctx: click.Context, file: str, by: str, given: tuple[str, ...], dry_run: bool, fmt: str
) -> None:
    """Read FILE, an EPCIS 2.0 document (JSON) of a supplier or customer.

    Lots of pellets, labels and sleeves that were made or received come into the ledger, shipped cartons and pallets
    are noted as received; every other right event is noted. A bad event is refused with a sentence and the good ones
    are booked. An event is booked once, however often it is read.

    \b
    Exit codes: 0 all taken, 1 some were refused, changed or taken back, 2 no EPCIS document.
    """  # noqa: D301  click looks for the character
    data = _bytes(Path(file))
    offers = read_offers(read_json(data, file), dict(map(_called, given)))
    document = DocumentFile(hashlib.sha256(data).hexdigest(), Path(file).name, len(data))
    badge = PlantCode.parse(by).text
    ledger = opened(ctx.obj)
    if not dry_run:
        require_pin(ledger, badge)
    with ledger.dry_run() if dry_run else ledger.writing() as booking:
        require_importer(booking, badge)
        outcomes = book_document(booking, Stamp(local_now(), utc_now(), person=badge), document, offers)
    if dry_run:
        click.echo("Nothing was booked: this was a dry run.", err=True)
    rows: list[dict[str, Cell]] = [
        {
            "place": one.place,
            "event_id": one.event_id,
            "verdict": f"would be {one.verdict}" if dry_run else one.verdict,
            "sentence": one.sentence,
        }
        for one in outcomes
    ]
    click.echo(render(rows, _COLUMNS, fmt), nl=False)
    ctx.exit(1 if any(one.verdict in NOT_TAKEN for one in outcomes) else 0)


def _bytes(file: Path) -> bytes:
    try:
        with file.open("rb") as opened:
            return opened.read(LARGEST_BYTES + 1)
    except OSError as problem:
        raise UsageError(f"{file} cannot be read: {problem.strerror}") from None


def _called(given: str) -> tuple[str, str]:
    uri, equals, code = given.rpartition("=")
    if not equals or plant_code(code) is None:
        raise UsageError(
            f"--as {given!r}: expected URI=CODE, the code of a compound lot, label lot or sleeve batch"
        )
    return uri, code

"""`runout audit export`: the genealogy of a lot, a shipment or a case, for somebody who checks it without us."""

import click

from runout import ExportOptions, open_ledger
from tracelink.cli.common.progress import progress
from tracelink.ledger.count_words import counted


@click.command(epilog="Example: runout audit export L000012X --out lot.zip")
@click.argument("code", metavar="CODE|CONSIGNEE")
@click.option(
    "--out",
    metavar="PLACE",
    help="A name that ends in .zip, or a folder to be made; audit-CODE.zip if not given.",
)
@click.option("--pseudonyms", is_flag=True, help="Show people by their badges; withhold entries with names.")
@click.option(
    "--since", metavar="FILE", help="A checkpoint from before: the bundle proves growth since then."
)
@click.option(
    "--checkpoint", metavar="FILE", help="Prove by this signed checkpoint instead of signing one now."
)
@click.option("--unsigned", is_flag=True, help="Prove by a checkpoint that nobody signs.")
@click.option(
    "--key", "key_file", metavar="FILE", help="The signing key; beside the ledger's file unless said."
)
@click.option("--domain", metavar="HOST", help="Where the plant's identifiers live, such as id.example.org.")
@click.pass_obj
def export(
    place: str,
    code: str,
    out: str | None,
    pseudonyms: bool,
    since: str | None,
    checkpoint: str | None,
    unsigned: bool,
    key_file: str | None,
    domain: str | None,
) -> None:
    """Write an audit bundle: report, tables, entries with proofs, and a program that checks them.

    CODE is a lot, carton, pallet, shipment, tool, material lot, sleeve batch, step, part lot, reel, build order, serial label or
    case; CONSIGNEE a name as orders have it.
    Whoever gets it needs neither the ledger nor this program: verify.py inside runs on bare Python. The same ledger
    gives the same bytes. Nothing that exists is overwritten.

    Exit codes: 0 written, 3 the ledger does not verify; nothing was written.
    """
    options = ExportOptions(pseudonyms, since, checkpoint, unsigned, key_file, domain)
    with (
        open_ledger(place, read_only=True) as ledger,
        progress(2 * ledger.head[0], "Exporting") as bar,
    ):
        made = ledger.export(code, out, options, lambda _one: bar.update(1))
    click.echo(
        f"Wrote {made.place}: {counted(made.files, 'file')}, {counted(made.size, 'byte')}, about {made.subject}."
    )
    if made.key is None:
        click.echo("It bears no signature that we know, and whoever checks it will see that.", err=True)
    else:
        click.echo(f"Hand over by another way the key to check it with: {made.key}")

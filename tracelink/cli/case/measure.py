"""`runout case root-cause|action|link`: why it happened, what is done about it, which investigations belong to it."""

from datetime import datetime

import click

from runout import open_ledger
from tracelink.cli.case.opts import case_options, signer_of
from tracelink.cli.common.say import say

_text = click.option("--text", "words", metavar="TEXT", required=True, help="What is said, in a few words.")


@click.command(
    name="root-cause",
    epilog="Example: runout case root-cause Q000001Z --text 'burr on the punch of press 2' --by P000001H",
)
@case_options
@_text
@click.pass_obj
def root_cause(place: str, /, case: str, by: str, at: str | None, seen: int | None, words: str) -> None:
    """Record what a person holds to be the root cause of CASE; a later one takes its place, and both stay."""
    with open_ledger(place) as ledger:
        ledger.cases.state_cause(case, signer_of(by, at, seen), words)
    say(f"Root cause recorded: {words.strip()}.")


@click.command(
    epilog="Example: runout case action Q000001Z --text 'new punch' --owner P000002F --due 2031-04-01 --by P000001H"
)
@case_options
@_text
@click.option("--owner", metavar="BADGE", required=True, help="Who does it.")
@click.option(
    "--due", metavar="YYYY-MM-DD", required=True, type=click.DateTime(["%Y-%m-%d"]), help="By when."
)
@click.pass_obj
def action(
    place: str, /, case: str, by: str, at: str | None, seen: int | None, words: str, owner: str, due: datetime
) -> None:
    """Record a corrective action of CASE: what, by whom, until when."""
    day = due.date().isoformat()
    with open_ledger(place) as ledger:
        ledger.cases.set_action(case, signer_of(by, at, seen), words, owner, day)
    say(f"Corrective action recorded, due {day}: {words.strip()}.")


@click.command(epilog="Example: runout case link Q000001Z 14152 --by P000001H")
@case_options
@click.argument("investigation", metavar="NUMBER", type=click.IntRange(1))
@click.pass_obj
def link(place: str, /, case: str, by: str, at: str | None, seen: int | None, investigation: int) -> None:
    """Record that the investigation NUMBER belongs to CASE."""
    with open_ledger(place) as ledger:
        ledger.cases.link_investigation(case, signer_of(by, at, seen), investigation)
    click.echo(f"Investigation {investigation} belongs to the case.")

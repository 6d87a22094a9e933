"""`runout browser list|enrol|withdraw`: the browsers that open stations."""

import click

from runout import open_ledger
from tracelink.cli.common.acting import badge_of
from tracelink.cli.common.options import format_option
from tracelink.cli.common.say import say
from tracelink.report.format.render import Column, Kind, render

_COLUMNS = [
    Column("number", "number", Kind.NUMBER),
    Column("name", "browser", Kind.TEXT),
    Column("station", "opens station"),
    Column("person", "enrolled by"),
    Column("at", "when", Kind.TIME),
    Column("reason", "reason", Kind.TEXT),
    Column("withdrawn_by", "withdrawn by entry", Kind.NUMBER),
]
_by = click.option("--by", metavar="BADGE", required=True, help="Who acts: role quality.")
_reason = click.option("--reason", metavar="TEXT", required=True, help="Why; kept with the entry.")


@click.group()
def browser() -> None:
    """Browsers that open the pages of stations: which there are, a new one, a lost one."""


@browser.command(name="list", epilog="Example: runout browser list --format csv")
@format_option
@click.pass_obj
def list_browsers(place: str, fmt: str) -> None:
    """List the browsers that were enrolled, withdrawn ones as well; one without a station opens every one."""
    with open_ledger(place, read_only=True) as ledger:
        found = ledger.browsers.listed()
    click.echo(render(found.to_dict(), _COLUMNS, fmt), nl=False)


@browser.command(
    epilog='Example: runout browser enrol "tablet of line 3" --station W0000300 --by P000310S --reason new'
)
@click.argument("name")
@click.option("--station", metavar="STATION", help="The one station that it opens; every one unless said.")
@_by
@_reason
@click.pass_obj
def enrol(place: str, name: str, station: str | None, by: str, reason: str) -> None:
    """Enrol a browser that people call NAME, and show the code that makes a browser this one.

    Key the code once in that browser, at the address /browser of `runout serve`. It is shown now and kept nowhere; whoever
    has it opens the station. At the browser itself its page /act/enrol-browser does the same without a code.
    """
    with open_ledger(place) as ledger:
        made = ledger.browsers.enrol(name, badge_of(by), reason, station=station)
    click.echo(made.secret)
    opens = "every station" if made.station is None else f"station {made.station}"
    say(f"Browser {made.number} opens {opens}, once this code is keyed in it at /browser.", err=True)


@browser.command(epilog="Example: runout browser withdraw 812 --by P000310S --reason lost")
@click.argument("number", type=int)
@_by
@_reason
@click.pass_obj
def withdraw(place: str, number: int, by: str, reason: str) -> None:
    """Withdraw the browser with that NUMBER, the entry by which it was enrolled: it opens no station any more."""
    with open_ledger(place) as ledger:
        name = ledger.browsers.withdraw(number, badge_of(by), reason)
    say(f"{name} opens no station any more.")

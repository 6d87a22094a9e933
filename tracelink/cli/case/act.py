"""`runout case holds|reply|level|check|estimate|close`: what people do and decide in a case."""

from datetime import datetime

import click

from runout import open_ledger
from tracelink.cli.case.opts import case_options, consignee_option, reason_option, signer_of
from tracelink.cli.common.acting import SECOND_PIN_VARIABLE, badge_of
from tracelink.cli.common.say import say
from tracelink.ledger.kinds.case import CHECK_RESULTS

_DISCS = click.IntRange(0, 100_000_000)


@click.command(epilog="Example: runout case holds Q000001Z --by P000001H --reason 'repeating scratch'")
@case_options
@reason_option
@click.pass_obj
def holds(place: str, /, case: str, by: str, at: str | None, seen: int | None, reason: str) -> None:
    """Place the holds that the question of CASE asks for now; holds that were there already join the case."""
    with open_ledger(place) as ledger:
        placed = ledger.cases.place_holds(case, signer_of(by, at, seen, reason))
    say(placed.sentence)
    click.echo(f"Holds new to the case: {', '.join(placed.joined) or 'none'}.")


@click.command(
    epilog="Example: runout case reply Q000001Z --consignee 'Shop 1' --quantity-on-hand 40 --returned 25 --by P000001H"
)
@case_options
@consignee_option
@click.option(
    "--quantity-on-hand",
    "on_hand",
    type=_DISCS,
    metavar="DISCS",
    required=True,
    help="Discs, or parts, it had when it was told.",
)
@click.option("--returned", type=_DISCS, metavar="DISCS", help="Discs, or parts, it says it sent back.")
@click.option("--destroyed", type=_DISCS, metavar="DISCS", help="Discs, or parts, it says it destroyed.")
@click.pass_context
def reply(
    ctx: click.Context,
    /,
    case: str,
    by: str,
    at: str | None,
    seen: int | None,
    consignee: str,
    on_hand: int,
    returned: int | None,
    destroyed: int | None,
) -> None:
    """Record what a consignee answered. A later reply takes the place of an earlier one; both stay in the journal.

    Quantities are in discs; for a reel, part lot or build order they are in parts or pieces, as the list of the notice
    counts them in each unit. On hand is what it had when it was told; what it returned or destroyed since may be of
    that. It is held against what was delivered, when the notice went out and what the dock booked.

    Exit codes: 0 recorded, 1 recorded, and it contradicts the records.
    """
    with open_ledger(ctx.obj) as ledger:
        found = ledger.cases.reply(
            case, signer_of(by, at, seen), consignee, on_hand, returned=returned, destroyed=destroyed
        )
    say(f"Reply of {consignee} recorded.")
    for one in found:
        say(one.sentence)
    ctx.exit(1 if found else 0)


@click.command(epilog="Example: runout case level Q000001Z C --by P000001H")
@case_options
@click.argument("level", type=click.Choice(["A", "B", "C", "D", "E"]))
@click.option(
    "--share", type=click.IntRange(0, 100), metavar="PERCENT", help="For level B: over 10 and under 100."
)
@click.pass_obj
def level(
    place: str, /, case: str, by: str, at: str | None, seen: int | None, level: str, share: int | None
) -> None:
    """Decide how many consignees are asked whether the notice came and was acted on, and draw them.

    The levels are those of 21 CFR 7.42(b)(3), a model for a plant that presses records, not checked against the
    original text: A all, B a share case by case, C 10 %, D 2 %, E none. The shares are settings of the plant. The
    draw can be repeated by anybody: names are put in the order of their hash behind the journal head at that moment.
    """
    with open_ledger(place) as ledger:
        drawn = ledger.cases.draw_checks(case, signer_of(by, at, seen), level, share=share)
    click.echo(f"Level {level}: {drawn.percent} % of the consignees ({drawn.source}).")
    say("To be checked: " + (", ".join(drawn.consignees) or "nobody") + ".")


@click.command(epilog="Example: runout case check Q000001Z --consignee 'Shop 1' --result ok --by P000001H")
@case_options
@consignee_option
@click.option("--result", type=click.Choice(CHECK_RESULTS), required=True, help="What was found.")
@click.pass_obj
def check(
    place: str, /, case: str, by: str, at: str | None, seen: int | None, consignee: str, result: str
) -> None:
    """Record an effectiveness check: whether a consignee got the notice and acted on it.

    \b
    Results: ok            got the notice and did as it says
             not-received  never got it
             not-acted     got it and did not do as it says
             not-reached   nobody could be asked
    """  # noqa: D301  click looks for the character
    with open_ledger(place) as ledger:
        ledger.cases.check(case, signer_of(by, at, seen), consignee, result)
    say(f"Check of {consignee} recorded: {result}.")


@click.command(epilog="Example: runout case estimate Q000001Z 2031-04-01 --by P000001H")
@case_options
@click.argument("date", metavar="YYYY-MM-DD", type=click.DateTime(["%Y-%m-%d"]))
@click.pass_obj
def estimate(place: str, /, case: str, by: str, at: str | None, seen: int | None, date: datetime) -> None:
    """Record the expected completion date of CASE; a person gives it, the program works out none."""
    day = date.date().isoformat()
    with open_ledger(place) as ledger:
        ledger.cases.estimate(case, signer_of(by, at, seen), day)
    click.echo(f"Estimate recorded: {day}.")


@click.command(
    epilog="Example: runout case close Q000001Z --by P000001H --with P000002F --reason 'all cartons came back'"
)
@case_options
@click.option("--with", "second", metavar="BADGE", required=True, help="The other authorised person.")
@reason_option
@click.option("--despite", is_flag=True, help="Close it in spite of open points; they are kept with it.")
@click.pass_obj
def close(
    place: str,
    /,
    case: str,
    by: str,
    at: str | None,
    seen: int | None,
    second: str,
    reason: str,
    despite: bool,
) -> None:
    """Close CASE by two authorised people. Holds stay as they are: they are lifted at the lab station.

    Open points, such as a consignee that has not answered, are listed and refuse it, unless the two people say
    --despite and why.
    """
    signer, other = signer_of(by, at, seen, reason), badge_of(second, SECOND_PIN_VARIABLE)
    with open_ledger(place) as ledger:
        points = ledger.cases.close(case, signer, other, despite=despite)
    click.echo(
        f"Case {case.strip().upper()} is closed by two people. Points open when they did: {len(points)}."
    )
    for point in points:
        say(f"  - {point}")

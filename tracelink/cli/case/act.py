"""`runout case holds|reply|level|check|estimate|close`: what people do and decide in a case."""

from datetime import datetime

import click

from tracelink.cli.case.opts import Author, case_options, consignee_option, reason_option
from tracelink.cli.common.acting import SECOND_PIN_VARIABLE, require_pin
from tracelink.cli.common.opened import opened
from tracelink.cli.common.say import say
from tracelink.errors import UsageError
from tracelink.genealogy.case.judge_replies import reply_findings
from tracelink.genealogy.case.standing import status_of
from tracelink.ledger.kinds.case import CHECK_RESULTS
from tracelink.services.containment import scope_of
from tracelink.services.place_holds import place_holds_of
from tracelink.store.office import case_acts
from tracelink.store.office.cases import case_facts
from tracelink.store.records.settings import setting_with_source
from tracelink.store.records.sql_records import SqlRecords

_DISCS = click.IntRange(0, 100_000_000)


@click.command(epilog="Example: runout case holds Q000001Z --by P000001H --reason 'repeating scratch'")
@case_options
@reason_option
@click.pass_obj
def holds(place: str, /, case: str, by: str, at: str | None, seen: int | None, reason: str) -> None:
    """Place the holds that the question of CASE asks for now; holds that were there already join the case."""
    with Author(place, by, at, seen, reason).writing() as hand:
        conn = hand.booking.connection
        found = scope_of(SqlRecords(conn), case_facts(conn, case).query)
        case_acts.open_one(hand, case)
        placed = place_holds_of(hand.booking, found, by, reason, hand.stamp.event_time)
        # Placing a hold is not an entry of the case: what the person saw of it is still its last.
        joined = case_acts.link_holds(hand, case, placed.holds)
    say(placed.sentence)
    click.echo(f"Holds new to the case: {', '.join(joined) or 'none'}.")


@click.command(
    epilog="Example: runout case reply Q000001Z --consignee 'Shop 1' --quantity-on-hand 40 --returned 25 --by P000001H"
)
@case_options
@consignee_option
@click.option(
    "--quantity-on-hand", "on_hand", type=_DISCS, required=True, help="Discs it had when it was told."
)
@click.option("--returned", type=_DISCS, help="Discs it says it sent back.")
@click.option("--destroyed", type=_DISCS, help="Discs it says it destroyed.")
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

    Quantities are in discs. On hand is what it had when it was told; what it returned or destroyed since may be of
    that. It is held against what was delivered, when the notice went out and what the dock booked.

    \b
    Exit codes: 0 recorded, 1 recorded, and it contradicts the records.
    """  # noqa: D301  click looks for the character
    with Author(ctx.obj, by, at, seen).writing() as hand:
        case_acts.reply(hand, case, consignee, (on_hand, returned, destroyed))
        status = status_of(case_facts(hand.booking.connection, case).recorded)
    say(f"Reply of {consignee} recorded.")
    found = [one for one in reply_findings(status) if one.consignee == consignee]
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
    with Author(place, by, at, seen).writing() as hand:
        percent, source = _share(hand, level, share)
        chosen = case_acts.choose_checks(hand, case, (level, percent, source))
    click.echo(f"Level {level}: {percent} % of the consignees ({source}).")
    say("To be checked: " + (", ".join(chosen) or "nobody") + ".")


def _share(hand: case_acts.CaseAuthor, level: str, share: int | None) -> tuple[int, str]:
    if share is not None:
        if level != "B" or not 10 < share < 100:
            raise UsageError(
                f"--share {share} with level {level}: only level B has a share of its own, over 10 and under 100"
            )
        return share, "given by the person who decided, for level B"
    if level == "E":
        return 0, "none at level E; 21 CFR 7.42(b)(3), a model, not checked against the original text"
    found = setting_with_source(hand.booking.connection, f"effect_{level.lower()}_percent")
    return found.value, found.source


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
    with Author(place, by, at, seen).writing() as hand:
        case_acts.checked(hand, case, consignee, result)
    say(f"Check of {consignee} recorded: {result}.")


@click.command(epilog="Example: runout case estimate Q000001Z 2031-04-01 --by P000001H")
@case_options
@click.argument("date", metavar="YYYY-MM-DD", type=click.DateTime(["%Y-%m-%d"]))
@click.pass_obj
def estimate(place: str, /, case: str, by: str, at: str | None, seen: int | None, date: datetime) -> None:
    """Record by when a person thinks CASE may be done; the program works out no such date."""
    day = date.date().isoformat()
    with Author(place, by, at, seen).writing() as hand:
        case_acts.estimate(hand, case, day)
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
    require_pin(opened(place), second, SECOND_PIN_VARIABLE)
    with Author(place, by, at, seen, reason).writing() as hand:
        points = case_acts.close(hand, case, second, despite=despite)
    click.echo(
        f"Case {case.strip().upper()} is closed by two people. Points open when they did: {len(points)}."
    )
    for point in points:
        say(f"  - {point}")

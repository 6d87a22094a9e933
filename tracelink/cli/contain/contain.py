"""`runout contain`: what one bad thing touched, in tiers and bounds, and the holds that follow."""

from functools import partial
from typing import Any

import click

import runout
from runout import open_ledger
from tracelink.cli.common.acting import keyed_pin
from tracelink.cli.common.options import format_option
from tracelink.cli.common.progress import seconds_used
from tracelink.cli.common.query_options import is_asked, query_options, read_query
from tracelink.cli.common.say import print_report, say
from tracelink.cli.contain.again import ask_again
from tracelink.cli.contain.check import contain_check
from tracelink.cli.contain.write import DRAWN, files_of, printed, write_files, writing
from tracelink.errors import UsageError
from tracelink.genealogy.containment.query import parse_seconds


class _Contain(click.Command):
    """With --check the command has another shape: a file, and no cause."""

    def make_context(
        self, info_name: str | None, args: list[str], parent: click.Context | None = None, **extra: Any
    ) -> click.Context:
        """Hand over to the check where it is asked for."""
        if any(arg.partition("=")[0] == "--check" for arg in args):
            return contain_check.make_context(info_name, args, parent, **extra)
        return super().make_context(info_name, args, parent, **extra)


@click.command(
    cls=_Contain,
    epilog="Example: runout contain T000004H --shape from-onset --hold --by P000001H --reason 'repeating scratch'",
)
@query_options
@click.option(
    "--again",
    metavar="CASE",
    help="Ask the question of a case again, and show the difference in both directions.",
)
@click.option("--hold", "place_holds", is_flag=True, help="Place the holds that follow from the scope.")
@click.option("--by", metavar="BADGE", help="With --hold: the authorised person.")
@click.option("--reason", metavar="TEXT", help="With --hold: why.")
@click.option(
    "--at", metavar="TIME", help="With --hold: when it was decided, if not now (RFC 3339 with offset)."
)
@click.option(
    "--together",
    "sets",
    metavar="CODE,CODE,...",
    multiple=True,
    help="Containers, pallets, shipments, consignees, orders or countries to bound together; may be given several times.",
)
@click.option(
    "--totals",
    "only_totals",
    is_flag=True,
    help="Only how many discs, where and who has them: sooner, without containers, document and certificates.",
)
@click.option(
    "--check",
    metavar="FILE",
    expose_value=False,
    help="Instead of CODE: check the certificates of a scope written with --format json.",
)
@format_option
@writing
@click.pass_context
def contain(
    ctx: click.Context,
    /,
    again: str | None,
    place_holds: bool,
    by: str | None,
    reason: str | None,
    at: str | None,
    sets: tuple[str, ...],
    only_totals: bool,
    fmt: str,
    **words: Any,
) -> None:
    """Find every disc that a cause may have touched, how sure that is, and where each is now.

    CODE is a tool of any level, a press, a compound or label lot, a lot, spindle, carton, pallet, shipment or
    sleeve batch; or a station or a person's badge, for what was done there, with --from and --to in a period.
    Several causes: --also CODE asks for discs of either, --only-with CODE for discs touched by both.

    Judged samples narrow the scope along the life of the cause; what they do not show stays possible, and unknown
    never counts as cleared.

    \b
    Shapes: from-onset    damage, there from some stroke on
            whole-life    made wrong
            window        something that happened between two points
            intermittent  comes and goes

    Exit codes: 0 no link found, 1 affected discs proven or possible, or a tool that may carry
    the fault, 4 the holds were refused; with --again 0 no difference, 1 differences; with --check
    0 every bound confirmed, 1 some in part or not looked at, 3 something does not verify.
    """  # noqa: D301  click looks for the character
    if place_holds and not (by and reason and reason.strip()):
        raise UsageError("--hold needs --by BADGE and --reason TEXT: a hold is a named person's act")
    if not place_holds and (by or reason or at):
        raise UsageError("--by, --reason and --at belong to --hold: nothing would be held without it")
    if sets and fmt == "csv":
        raise UsageError(
            "--together has no place in --format csv, which lists containers: take table or json"
        )
    files = files_of(words)
    if only_totals:
        if place_holds or files or sets or again is not None:
            raise UsageError("--totals only counts: it goes with the question and --format")
        from tracelink.cli.contain.totals_only import tell_totals  # noqa: PLC0415  the rules of genealogy, for one option

        ctx.exit(tell_totals(ctx.obj, read_query(words), fmt))
    if again is not None:
        if place_holds or files or sets or is_asked({**words, "seconds": None}):
            raise UsageError(
                "--again asks the question that the case keeps: it goes with --seconds and --format only"
            )
        ctx.exit(ask_again(ctx.obj, again, parse_seconds(words["seconds"]), fmt))
    query = read_query(words)
    wanted: dict[str, Any] = {
        "together": sets,
        "document": fmt != "csv" or bool(files),
        "pages": not DRAWN.isdisjoint(files),
    }
    with (
        open_ledger(ctx.obj, read_only=not place_holds) as ledger,
        seconds_used(query.seconds, "Seconds used at most") as watch,
    ):
        wanted["progress"] = watch
        if place_holds:
            decided = runout.DecidedBy(str(by), str(reason), partial(keyed_pin, str(by)), at)
            answer = ledger.hold(query, decided, **wanted)
        else:
            answer = ledger.contain(query, **wanted)
        # With its certificate, which has what is left of the seconds.
        told = printed(answer, fmt)
    print_report(told, fmt)
    if answer.placed is not None:
        say(answer.placed.sentence, err=True)
    write_files(answer, files)
    ctx.exit(1 if answer.affected else 0)

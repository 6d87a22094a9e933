"""The command `runout`: words in, words out. One module per work area, imported only when its command runs."""

import gc
import sys

import click

from tracelink.cli.common.ending import ended
from tracelink.cli.common.lazy import LazyGroup

_AREAS = {
    "Begin": {
        "demo": ("demo:demo", "Play the demo plant and tell its story."),
        "guide": ("guide:guide", "Show a page of the guide, or list the pages."),
        "init": ("plan:init", "Make a ledger from a plant file."),
        "plan": ("plan:plan", "Add products, lots, materials, orders from a plant file."),
    },
    "Stations": {
        "tool": ("stations:tool", "Tool room station: register, grow, retire."),
        "press": ("stations:press", "Press station: set up, start, stack, change, stop."),
        "process": ("stations:process", "Process station: what went through which bath or blend."),
        "assembly": ("stations:assembly", "Assembly station: reels, boards and units."),
        "lab": ("stations:lab", "Lab station: sample, judge, measure, release, hold."),
        "line": ("stations:line", "Packing line station: disc against sleeve."),
        "dock": ("stations:dock", "Dock station: pallets and shipments."),
        "replay": ("replay:replay", "Book recorded scans of stations."),
        "board": ("board:board", "What runs now, today's counts and stops."),
        "serve": ("serve:serve", "The board, the search and scopes in a browser."),
    },
    "Questions": {
        "search": ("search:search", "Find a thing by whatever is known of it."),
        "trace": ("trace:trace", "What a thing was made of, and where it went."),
        "contain": ("contain.contain:contain", "What a bad tool, material or lot touched, with limits."),
        "cause": ("cause:cause", "What bad discs have in common."),
        "balance": ("balance:balance", "Whether the numbers of a lot or of labels add up."),
        "group": ("group.group:group", "Questions across the plants of a group."),
        "findings": ("findings:findings", "List what stations refused, and why."),
    },
    "Quality": {
        "hold": ("hold:hold", "List the holds."),
        "case": ("case.case:case", "Work a containment case to its end."),
        "drill": ("drill:drill", "A trace exercise on something that was shipped."),
        "investigate": ("balance:investigate", "List or close investigations."),
        "check-cartons": ("check_cartons:check_cartons", "How many cartons to open, and what they showed."),
    },
    "Lab": {
        "samples": ("lab.samples:samples", "Which discs of a lot to draw, and what is done."),
        "read-results": ("lab.read_results:read_results", "Book the values of an instrument's file."),
        "results": ("lab.results:results", "What the lab measured along a tool, press or lot."),
        "chart": ("lab.chart:chart", "Chart a tool or press, and what warns."),
        "baseline": ("lab.chart:baseline", "Show or freeze the baseline of a chart."),
        "capability": ("lab.chart:capability", "Whether a process keeps its limit."),
        "agreement": ("lab.agreement:agreement", "How far two inspectors agree."),
        "gauge-study": ("lab.agreement:gauge_study", "What a gauge and its people add to what is read."),
    },
    "Assembly hall": {
        "faults": ("hall.faults:faults", "What tests found wrong, most frequent first."),
        "pace": ("hall.pace:pace", "How fast each station of the line is, the slowest named."),
    },
    "Warehouse": {
        "orders": ("orders:orders", "Take customers' orders from a CSV or XLSX file."),
        "allocate": ("orders:allocate", "Reserve stock for an order, or release it."),
        "find": ("orders:find", "Where a pallet or carton is, what is in a location."),
        "packlist": ("orders:packlist", "Write a packing list or a content list (PDF)."),
    },
    "Codes and people": {
        "code": ("code:code", "Make the plant's own codes."),
        "label": ("label:label", "Draw a label, or read one from a picture."),
        "person": ("person:person", "List people; set a PIN."),
        "browser": ("browser.browser:browser", "Browsers that open stations: list, enrol, withdraw."),
        "station-key": ("station_key:station_key", "Keys with which stations sign their scans."),
    },
    "Proof and upkeep": {
        "audit": ("audit.audit:audit", "Show that the ledger is whole; let others check it."),
        "health": ("health:health", "Measures for a monitor: ages, room, checkpoint."),
        "backup": ("backup:backup", "Write a verified copy while stations run."),
        "restore": ("backup:restore", "Make a ledger from a verified copy."),
        "copy": ("backup:copy", "Copy a ledger to another database engine, proven."),
        "upgrade": ("upgrade:upgrade", "Bring an older ledger to this program's schema."),
        "rebuild": ("rebuild:rebuild", "Make the tables anew from the journal."),
    },
}
"""The commands by what they are for, in the order in which a plant comes to need them."""


def _begin_log(_ctx: click.Context, _option: click.Parameter, value: str) -> None:
    if value == "json":
        from tracelink.cli.common.log_lines import JsonLines  # noqa: PLC0415  for whoever collects logs

        sys.stderr = JsonLines(sys.stderr)


@click.group(
    cls=LazyGroup,
    home="tracelink.cli",
    areas=_AREAS,
    context_settings={"help_option_names": ["-h", "--help"], "auto_envvar_prefix": "RUNOUT"},
    epilog="Try: runout demo demo-plant, or runout guide. runout COMMAND --help shows an example of each.\n\nExit codes: 0 fine, 1 findings, 2 wrong usage, "
    "3 ledger does not verify, 4 refused by a rule, 5 a fault in runout, 6 not known whether it was booked.",
)
@click.option(
    "--ledger",
    metavar="PATH-or-URL",
    default="runout.db",
    show_default=True,
    help="The ledger; RUNOUT_LEDGER in the environment does the same.",
)
@click.option(
    "--read-only",
    is_flag=True,
    help="Only read: whatever would write to the ledger is refused, at its connection (RUNOUT_READ_ONLY=1 does the same).",
)
@click.option(
    "--log-format",
    type=click.Choice(["text", "json"]),
    default="text",
    show_default=True,
    is_eager=True,
    expose_value=False,
    callback=_begin_log,
    help="How notes and errors are written; json is one object on each line (RUNOUT_LOG_FORMAT=json does the same).",
)
@click.version_option(package_name="runout", prog_name="runout")
@click.pass_context
def cli(ctx: click.Context, ledger: str, read_only: bool) -> None:
    """Traceability and reconciliation ledger for a plant that presses records.

    runout reports. An authorised person decides.
    """
    ctx.obj = ledger
    if read_only:
        from runout import only_reading  # noqa: PLC0415  `runout --help` starts without the database

        ctx.with_resource(only_reading())


COLLECT_AFTER = 200_000
"""Objects made between two looks of the garbage collector. A walk makes hundreds of thousands of small facts and no
cycles; at the usual 700 the looks took a quarter of its time."""


def main() -> None:
    """Run the command line; errors become one sentence and an exit code."""
    gc.set_threshold(COLLECT_AFTER)
    sys.exit(ended(lambda: cli(standalone_mode=False), [name for area in _AREAS.values() for name in area]))

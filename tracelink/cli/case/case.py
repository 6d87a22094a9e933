"""`runout case`: a containment from its first question to its end. Each command has a module of its own."""

import click

from tracelink.cli.common.lazy import LazyGroup

_COMMANDS = {
    "open": ("open:open_case", "Open a case with the scope of one cause."),
    "scope": ("open:scope", "Record what the question finds now."),
    "list": ("show:list_cases", "List the cases."),
    "show": ("show:show", "Everything recorded of a case."),
    "holds": ("act:holds", "Place the holds that follow from a case."),
    "notice": ("notice:notice", "Write and record the notices to consignees."),
    "reply": ("act:reply", "Record what a consignee answered."),
    "level": ("act:level", "Decide how many consignees are checked, and draw them."),
    "check": ("act:check", "Record an effectiveness check."),
    "estimate": ("act:estimate", "Record the expected completion date."),
    "root-cause": ("measure:root_cause", "Record the root cause."),
    "action": ("measure:action", "Record a corrective action, its owner and due date."),
    "link": ("measure:link", "Record that an investigation belongs to a case."),
    "status": ("status:status", "How far a case is, consignee by consignee."),
    "summary": ("summary:summary", "A summary of a case for an authority."),
    "rules": ("status:rules", "The rules that a case follows: binding, or models."),
    "close": ("act:close", "Close a case by two people."),
}


@click.group(
    cls=LazyGroup,
    home="tracelink.cli.case",
    areas={"Commands": _COMMANDS},
)
def case() -> None:
    """Work a containment case: scope, holds, notices, replies, checks, closing.

    Whoever writes may give --version ENTRY, the case's last entry as they saw it: if somebody wrote to the case
    since, nothing is written and what changed is told (exit code 4).
    """

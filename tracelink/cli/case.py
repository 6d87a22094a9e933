"""`runout case`: a containment from its first question to its end. Each command has a module of its own."""

import click

from tracelink.cli.lazy import LazyGroup

_COMMANDS = {
    "open": ("caseopen:open_case", "Open a case with the scope of one cause."),
    "scope": ("caseopen:scope", "Record what the question finds now."),
    "list": ("caseshow:list_cases", "List the cases."),
    "show": ("caseshow:show", "Everything recorded of a case."),
    "holds": ("caseact:holds", "Place the holds that follow from a case."),
    "notice": ("casenotice:notice", "Write and record the notices to consignees."),
    "reply": ("caseact:reply", "Record what a consignee answered."),
    "level": ("caseact:level", "Decide how many consignees are checked, and draw them."),
    "check": ("caseact:check", "Record an effectiveness check."),
    "estimate": ("caseact:estimate", "Say by when the case may be done."),
    "status": ("casestatus:status", "How far a case is, consignee by consignee."),
    "rules": ("casestatus:rules", "The rules that a case follows: binding, or models."),
    "close": ("caseact:close", "Close a case by two people."),
}


@click.group(
    cls=LazyGroup, lazy={name: (f"tracelink.cli.{place}", text) for name, (place, text) in _COMMANDS.items()}
)
def case() -> None:
    """Work a containment case: scope, holds, notices, replies, checks, closing.

    Whoever writes may give --version ENTRY, the case's last entry as they saw it: if somebody wrote to the case
    since, nothing is written and what changed is told (exit code 4).
    """

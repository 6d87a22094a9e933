"""`runout audit`: what shows others that the ledger is whole. Each command has a module of its own."""

import click

from tracelink.cli.common.lazy import LazyGroup

_COMMANDS = {
    "checkpoint": ("checkpoint:checkpoint", "Sign how many entries there are and what they are."),
    "witness": ("checkpoint:witness", "Add another's signature to a checkpoint."),
    "key": ("checkpoint:key", "Show the public half of the signing key, or make the key."),
    "rules": ("rules:rules", "What is kept for which clause of record-keeping rules."),
    "import": ("import_:import_document", "Read in a supplier's or customer's EPCIS document."),
    "export": ("export:export", "Write what others need to check a lot without us."),
    "check": ("check:check", "Check such a bundle."),
    "verifier": ("verifier:verifier", "Write verify.py, which checks bundles with bare Python."),
    "prove": ("prove:prove", "Prove that an entry is in the journal."),
    "verify": ("verify:verify", "Check every entry, and every table against a replay."),
}


@click.group(
    cls=LazyGroup,
    home="tracelink.cli.audit",
    areas={"Commands": _COMMANDS},
)
def audit() -> None:
    """Show that the ledger is whole, and let others check it."""

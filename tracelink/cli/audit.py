"""`runout audit`: what shows others that the ledger is whole. Each command has a module of its own."""

import click

from tracelink.cli.lazy import LazyGroup

_COMMANDS = {
    "checkpoint": ("auditcheckpoint:checkpoint", "Sign how many entries there are and what they are."),
    "witness": ("auditcheckpoint:witness", "Add another's signature to a checkpoint."),
    "key": ("auditcheckpoint:key", "Show the public half of the signing key, or make the key."),
    "rules": ("auditrules:rules", "What is kept for which clause of record-keeping rules."),
    "import": ("auditimport:import_document", "Read in a supplier's or customer's EPCIS document."),
    "export": ("auditexport:export", "Write what others need to check a lot without us."),
    "check": ("auditcheck:check", "Check such a bundle."),
    "prove": ("auditprove:prove", "Prove that an entry is in the journal."),
    "verify": ("auditverify:verify", "Check every entry, and every table against a replay."),
}


@click.group(
    cls=LazyGroup, lazy={name: (f"tracelink.cli.{place}", text) for name, (place, text) in _COMMANDS.items()}
)
def audit() -> None:
    """Show that the ledger is whole, and let others check it."""

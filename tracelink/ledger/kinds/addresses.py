"""Entries on whom to write to: at a consignee, and at the plant itself."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Taken
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.origin import FROM_FILE, Origin


@dataclass(frozen=True, slots=True)
class ContactNamed:
    """Whom to write to about deliveries to a consignee, from a day on; a later one takes its place."""

    kind: ClassVar[str] = "contact-named"
    export: ClassVar[ExportRule] = ExportRule(
        taken=Taken.NEVER, no_event=NoEvent.SAYS_WHAT_IS, holds_name=True
    )
    origin: ClassVar[Origin] = FROM_FILE
    name: str
    """The consignee as in its orders, or the plant's own name: then it is the sender of notices."""
    person: str
    """Who is written to; empty if nobody is named."""
    email: str
    """Address, or empty."""
    telephone: str
    """Number with country code, or empty."""
    address: str
    """Postal address, lines with commas between, or empty."""
    since: str
    """The first day on which it holds, YYYY-MM-DD."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One contact; earlier ones stay for notices of their time."""
        row = {"name": self.name, "person": self.person, "email": self.email, "telephone": self.telephone}
        yield Insert("contact", {"seq": entry.seq, **row, "address": self.address, "since": self.since})


KINDS: tuple[type[EntryBody], ...] = (ContactNamed,)
"""The kinds of this module, for the registry."""

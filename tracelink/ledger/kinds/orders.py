"""Entries of customers' orders: their lines, what is kept for them, and whom to write to about deliveries."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar

from tracelink.ledger.changes import Change, Insert, Update
from tracelink.ledger.entry import Entry
from tracelink.ledger.export_rule import ExportRule, NoEvent, Taken, Things, on
from tracelink.ledger.kinds.base import EntryBody
from tracelink.ledger.origin import FROM_FILE, OF_ORDERS, Origin


@dataclass(frozen=True, slots=True)
class OrderLine:
    """How many units of one product are ordered."""

    gtin: str
    quantity: int


@dataclass(frozen=True, slots=True)
class OrderLinesTaken:
    """A customer ordered several products, a line each; an order of one product is an `OrderTaken`."""

    kind: ClassVar[str] = "order-lines-taken"
    export: ClassVar[ExportRule] = ExportRule(
        on("order", Things.ORDERS), taken=Taken.SETTING_UP, no_event=NoEvent.DECISION
    )
    origin: ClassVar[Origin] = OF_ORDERS
    order: str
    consignee: str
    country: str
    """ISO 3166-1 alpha-2, such as DE."""
    lines: tuple[OrderLine, ...]
    """Two or more, each of another product."""

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One order with its lines; the order itself carries the first product and the units of all."""
        yield from order_rows(entry, self.order, self.consignee, self.country, self.lines)


def order_rows(
    entry: Entry, order: str, consignee: str, country: str, lines: tuple[OrderLine, ...]
) -> Iterator[Change]:
    """Yield the row of an order, with the first product and the units of all, and one row per line."""
    yield Insert(
        "customer_order",
        {
            "code": order,
            "consignee": consignee,
            "country": country,
            "gtin": lines[0].gtin,
            "quantity": sum(line.quantity for line in lines),
            "seq": entry.seq,
        },
    )
    yield from order_lines(order, lines)


def order_lines(order: str, lines: tuple[OrderLine, ...]) -> Iterator[Change]:
    """Yield one row per line, numbered from 1."""
    for number, line in enumerate(lines, 1):
        row = {"order_code": order, "line": number, "gtin": line.gtin, "quantity": line.quantity}
        yield Insert("order_line", row)


@dataclass(frozen=True, slots=True)
class Allocated:
    """A pallet or a loose carton that is kept for an order."""

    subject: str
    units: int
    made: int | None
    """The entry that allocated it, in a release; None in the allocation itself."""


@dataclass(frozen=True, slots=True)
class AllocationMade:
    """Pallets and cartons are kept for an order."""

    kind: ClassVar[str] = "allocation-made"
    export: ClassVar[ExportRule] = ExportRule(
        on("items[].subject", Things.CARTONS, Things.PALLETS), no_event=NoEvent.PART_OF_AN_ACT
    )
    origin: ClassVar[Origin] = OF_ORDERS
    order: str
    items: tuple[Allocated, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One row per thing."""
        for item in self.items:
            row = {"subject": item.subject, "order_code": self.order, "units": item.units}
            yield Insert("allocation", {**row, "seq": entry.seq, "released_seq": None})


@dataclass(frozen=True, slots=True)
class AllocationReleased:
    """What was kept for an order is free again."""

    kind: ClassVar[str] = "allocation-released"
    export: ClassVar[ExportRule] = ExportRule(
        on("items[].subject", Things.CARTONS, Things.PALLETS), no_event=NoEvent.PART_OF_AN_ACT
    )
    origin: ClassVar[Origin] = OF_ORDERS
    order: str
    items: tuple[Allocated, ...]

    def changes(self, entry: Entry) -> Iterator[Change]:
        """The rows end."""
        for item in self.items:
            key = {"subject": item.subject, "seq": item.made}
            yield Update("allocation", key, {"released_seq": entry.seq})


@dataclass(frozen=True, slots=True)
class OrderTaken:
    """A customer's order for one product."""

    kind: ClassVar[str] = "order-taken"
    export: ClassVar[ExportRule] = ExportRule(
        on("order", Things.ORDERS), taken=Taken.SETTING_UP, no_event=NoEvent.SAYS_WHAT_IS
    )
    origin: ClassVar[Origin] = FROM_FILE
    order: str
    consignee: str
    country: str
    gtin: str
    quantity: int

    def changes(self, entry: Entry) -> Iterator[Change]:
        """One order with one line."""
        lines = (OrderLine(self.gtin, self.quantity),)
        yield from order_rows(entry, self.order, self.consignee, self.country, lines)


def order_of(
    order: str, consignee: str, country: str, lines: Sequence[OrderLine]
) -> OrderTaken | OrderLinesTaken:
    """Return the entry for an order: the short form if it names one product, as every older ledger has it."""
    if len(lines) == 1:
        return OrderTaken(order, consignee, country, lines[0].gtin, lines[0].quantity)
    return OrderLinesTaken(order, consignee, country, tuple(lines))


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


KINDS: tuple[type[EntryBody], ...] = (
    OrderTaken,
    OrderLinesTaken,
    AllocationMade,
    AllocationReleased,
    ContactNamed,
)
"""The kinds of this module, for the registry."""

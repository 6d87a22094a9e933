"""Tables of the stations, and of the scans that lie at them and are not sealed into an entry yet."""

from sqlalchemy import Column, ForeignKey, Integer, Text, select, text

from tracelink.store.database.columns import int_column, one_of, partial_index, table, text_column

station = table(
    "station",
    text_column("code", key=True),
    text_column("area"),
    text_column("name"),
    int_column("seq"),
    # The station's desk: the last scan booked and what the station has in hand (JSON).
    Column("last_number", Integer, nullable=False, server_default=text("0")),
    Column("desk", Text, nullable=False, server_default=text("'{}'")),
    one_of("area", "tool", "press", "lab", "line", "dock", "process", "assembly"),
)

reason = table(
    "reason",
    text_column("code", key=True),
    text_column("area"),
    text_column("text"),
    int_column("seq"),
    one_of("area", "tool", "press", "lab", "line", "dock", "process", "assembly"),
)

reason_act = table(
    "reason_act", text_column("reason", ForeignKey("reason.code"), key=True), text_column("act", key=True)
)

last_scan = table(
    "last_scan",
    text_column("station", key=True),
    int_column("number"),
    text_column("at"),
    # As it came; a fixed mark in place of a PIN.
    text_column("raw"),
    int_column("refused"),
)

spool = table(
    "spool",
    text_column("station", ForeignKey("station.code"), key=True),
    int_column("number", key=True),
    text_column("at"),
    text_column("raw"),
    text_column("fact"),
    # Filled for a match only, so that a disc counts the moment its verdict is shown.
    text_column("spindle", null=True),
    text_column("lot", null=True),
    text_column("carton", null=True),
    text_column("sleeve_number", null=True),
    # Its turn among all scans of the ledger, and the last entry then; an older program gave none.
    int_column("turn", null=True),
    int_column("after", null=True),
    # Hash of all of the above, because nothing else protects a scan before it is sealed into an entry.
    Column("digest", Text, nullable=False, server_default=text("''")),
)
partial_index("ix_spool_spindle", spool.c.spindle, "spindle IS NOT NULL")

SPOOL_IN_ORDER = select(spool).order_by(spool.c.station, spool.c.number)
"""All that waits, as it was scanned: a desk is what its scans lead to one after the other, and a server returns rows in any
order that it is not told."""

"""Tables of the keys of stations, and of what they signed."""

from sqlalchemy import Column, ForeignKey, LargeBinary

from tracelink.store.database.columns import int_column, table, text_column

station_key = table(
    "station_key",
    text_column("station", ForeignKey("station.code"), key=True),
    text_column("key", key=True),
    int_column("seq"),
    int_column("withdrawn_seq", null=True),
)

scan_signature = table(
    "scan_signature",
    # No reference to the station: signatures stay when a rebuild makes the other tables anew.
    text_column("station", key=True),
    int_column("first", key=True),
    int_column("last"),
    text_column("key"),
    Column("signature", LargeBinary, nullable=False),
)

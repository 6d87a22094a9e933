"""Tables of badges and PINs, and of documents of suppliers."""

from sqlalchemy import CheckConstraint, ForeignKey

from tracelink.store.columns import int_column, table, text_column

person_pin = table(
    "person_pin",
    text_column("person", ForeignKey("person.code"), key=True),
    # What is kept of the PIN: see ledger/pins.py; the key it is made with lies outside the ledger.
    text_column("salt"),
    int_column("cost"),
    int_column("block"),
    int_column("lanes"),
    text_column("digest"),
    text_column("key_id"),
    int_column("failures"),
    text_column("failed_at", null=True),
    int_column("seq"),
    CheckConstraint("failures >= 0", name="failures_not_negative"),
)

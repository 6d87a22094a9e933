"""Tables of badges, PINs and browsers, and of documents of suppliers."""

from sqlalchemy import CheckConstraint, ForeignKey, Index

from tracelink.ledger.closed_sets import PartnerVerdict
from tracelink.store.database.columns import int_column, one_of, table, text_column

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

browser = table(
    "browser",
    int_column("seq", key=True),
    text_column("name"),
    text_column("station", ForeignKey("station.code"), null=True),
    # Of the secret that the browser keeps; found by it whenever a page of a station is opened.
    text_column("digest"),
    text_column("person"),
    text_column("reason"),
    text_column("at"),
    int_column("withdrawn_seq", null=True),
)
Index("ix_browser_digest", browser.c.digest, unique=True)

partner_document = table(
    "partner_document",
    text_column("sha256", key=True),
    text_column("file"),
    int_column("size"),
    int_column("events"),
    int_column("seq"),
)
partner_event = table(
    "partner_event",
    int_column("seq", key=True),
    text_column("document", ForeignKey("partner_document.sha256")),
    int_column("place"),
    text_column("event_id"),
    text_column("content"),
    text_column("at"),
    text_column("verdict"),
    text_column("sentence"),
    one_of("verdict", *(each for each in PartnerVerdict if each is not PartnerVerdict.BEFORE)),
)
Index("ix_partner_event_event_id", partner_event.c.event_id)
Index("ix_partner_event_document_place", partner_event.c.document, partner_event.c.place)
partner_thing = table(
    "partner_thing",
    int_column("seq", ForeignKey("partner_event.seq"), key=True),
    int_column("line", key=True),
    text_column("uri"),
    text_column("code", null=True),
    text_column("quantity", null=True),
    text_column("uom", null=True),
)
Index("ix_partner_thing_code", partner_thing.c.code)

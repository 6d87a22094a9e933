"""Tables of what a ledger must know first: the plant, its settings, people and products."""

from sqlalchemy import CheckConstraint, ForeignKey, Index

from tracelink.ledger.closed_sets import PlantField
from tracelink.store.database.columns import int_column, one_of, table, text_column

plant = table(
    "plant",
    int_column("id", key=True),
    text_column("name"),
    text_column("company_prefix"),
    text_column("matrix_pattern"),
    text_column("matrix_example"),
    int_column("seq"),
    CheckConstraint("id = 1", name="one_plant"),
)

setting = table("setting", text_column("name", key=True), int_column("value"), text_column("source"))

person = table("person", text_column("code", key=True), text_column("name"), int_column("seq"))

person_role = table(
    "person_role", text_column("person", ForeignKey("person.code"), key=True), text_column("role", key=True)
)

product = table(
    "product",
    text_column("gtin", key=True),
    text_column("catalogue_number"),
    text_column("title"),
    int_column("numbered"),
    int_column("carton_size"),
    int_column("seq"),
    CheckConstraint("carton_size >= 1", name="carton_size_positive"),
)

product_part = table(
    "product_part",
    text_column("gtin", ForeignKey("product.gtin"), key=True),
    int_column("piece", key=True),
    int_column("total"),
    text_column("matrix_a"),
    text_column("matrix_b"),
    CheckConstraint("piece >= 1 AND piece <= total", name="piece_in_set"),
)

contact = table(
    "contact",
    int_column("seq", key=True),
    text_column("name"),
    text_column("person"),
    text_column("email"),
    text_column("telephone"),
    text_column("address"),
    text_column("since"),
    Index("ix_contact_name", "name"),
)

plant_change = table(
    "plant_change",
    int_column("seq", key=True),
    text_column("field", key=True),
    # A badge, product, sleeve batch, kit item, station, or the name of a setting.
    text_column("subject"),
    text_column("value"),
    # UTC in whole seconds, so that texts compare as times do.
    text_column("since"),
    one_of("field", *PlantField),
    Index("ix_plant_change_subject", "subject"),
)

"""The section `[[contact]]` of a plant file: whom to write to at a consignee, or who writes."""

import re

from tracelink.errors import UsageError
from tracelink.ledger.count_words import either
from tracelink.ledger.kinds.orders import ContactNamed
from tracelink.ledger.plant.plantchanges import day
from tracelink.ledger.plant.plantsection import PlantSection

_WAYS = ("email", "telephone", "address")

_EMAIL = re.compile(r"[^\s@<>,;:\"()\[\]\\]+@[A-Za-z0-9-]+(\.[A-Za-z0-9-]+)+", re.ASCII)
"""One plain address (common practice): RFC 5322 allows more, which a typing slip is likelier to be than an address."""


def contact(section: PlantSection) -> ContactNamed:
    """Read one contact.

    Raises:
        UsageError: it says nothing by which anybody can be reached, or a field has another form.
    """
    name = section.text("name").strip()
    if not name:
        raise UsageError(f"{section.where}: name is empty: expected the consignee as in its orders")
    person = _one_line(section, "person")
    email, telephone, address = (_one_line(section, way) for way in _WAYS)
    if not (email or telephone or address):
        raise UsageError(f"{section.where}: the contact of {name!r} is empty: expected {either(_WAYS)}")
    if email and not _EMAIL.fullmatch(email):
        raise UsageError(
            f"{section.where}: email is {email!r}: expected one address, such as returns@example.com"
        )
    return ContactNamed(name, person, email, telephone, address, day(section, "since"))


def _one_line(section: PlantSection, field: str) -> str:
    text = str(section.optional(field, section.text) or "").strip()
    # A line feed in it would begin a new header of the message.
    if not text.isprintable():
        raise UsageError(
            f"{section.where}: {field} is {text!r}: expected one line without control characters"
        )
    return text

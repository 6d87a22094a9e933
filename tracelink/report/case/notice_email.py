"""A notice as an e-mail file that a mail program opens, ready to look at and to send; this program sends nothing.

Source: RFC 5322 (header fields), RFC 2045 and 2046 (parts), written by Python's own library. `X-Unsent: 1` makes common
mail programs open the file as a draft (common practice, from memory).
"""

from datetime import datetime
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime
from hashlib import sha256

from tracelink.errors import UsageError
from tracelink.facts.notice_content import Contact, NoticeFacts
from tracelink.report.format.plain import visible

_LONGEST_NAME = 120
"""Characters of a name in a header."""


def notice_email(facts: NoticeFacts, text: str, enclosed: bytes, at: str) -> bytes:
    """Return the file.

    The same notice gives the same bytes. Without a recorded address, the field stays out for the person to fill in.

    Args:
        facts: what the records say.
        text: the notice.
        enclosed: the list of cartons or units.
        at: when it was written, RFC 3339 with offset.
    """
    mark = sha256(text.encode() + enclosed).hexdigest()
    message = EmailMessage(policy=SMTP)
    subject = "PRODUCT SAFETY RECALL" if facts.safety else f"Withdrawal of {facts.goods}"
    message["Subject"] = visible(f"{subject}, case {facts.case}: {_titles(facts)}")
    if facts.sender is not None and facts.sender.email:
        message["From"] = _address(facts.sender, facts.maker)
        message["Message-ID"] = f"<{facts.case}.{mark[:32]}@{facts.sender.email.rpartition('@')[2]}>"
    if facts.contact is not None and facts.contact.email:
        message["To"] = _address(facts.contact, facts.consignee)
    message["Date"] = format_datetime(datetime.fromisoformat(at))
    message["X-Unsent"] = "1"
    message.set_content(text)
    message.add_attachment(enclosed, maintype="text", subtype="csv", filename=facts.list_file)
    # The library draws the line between parts at random.
    message.set_boundary(f"part-{mark[:32]}")
    return message.as_bytes()


def lacks_of(facts: NoticeFacts) -> tuple[str, ...]:
    """Sentences on the addresses that no record gives."""
    lacks = []
    if facts.contact is None or not facts.contact.email:
        lacks.append(f"no e-mail address of {facts.consignee} is recorded for {facts.date}")
    if facts.sender is None or not facts.sender.email:
        lacks.append(f"no e-mail address of {facts.maker} is recorded for {facts.date}")
    return tuple(lacks)


def _titles(facts: NoticeFacts) -> str:
    titles = list(dict.fromkeys([*(lot.title for lot in facts.lots), *(one.title for one in facts.products)]))
    return ", ".join(titles[:2]) + (f" and {len(titles) - 2} more" if len(titles) > 2 else "")


def _address(contact: Contact, other: str) -> Address:
    name = visible(contact.person or other)[:_LONGEST_NAME]
    try:
        return Address(name, addr_spec=contact.email)
    except (ValueError, IndexError) as problem:
        raise UsageError(f"the e-mail address {contact.email!r} cannot be written to: {problem}") from None

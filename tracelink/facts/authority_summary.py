"""All that the records can say in a summary of a case for an authority."""

from dataclasses import dataclass

from tracelink.facts.notice_content import Contact, NoticeLot, NoticeProduct
from tracelink.ledger.count_words import OF_DISCS, PieceWords


@dataclass(frozen=True, slots=True)
class SummaryConsignee:
    """One consignee: what it got, when it was told, and what came of it."""

    name: str
    """Name, as in the order."""
    may_hold: int
    """Discs in its cartons that may hold an affected one, 0 or more."""
    least: int
    """Fewest affected discs among them, 0 or more."""
    most: int
    """Most affected discs among them, `least` or more."""
    told_at: str
    """Time of the first notice, RFC 3339 with offset; empty if none is recorded."""
    method: str
    """How it was told; empty if it was not."""
    sha256: str
    """Hash of the text of that notice; empty if there is none."""
    answered_at: str
    """Time of the newest answer, RFC 3339 with offset; empty if there is none."""
    on_hand: int | None
    """Discs it says it had when it was told; None if it did not answer."""
    returned_said: int | None
    """Discs it says it sent back; None if it did not say."""
    destroyed_said: int | None
    """Discs it says it destroyed; None if it did not say."""
    returned: int
    """Discs that the dock booked as come back, 0 or more."""
    destroyed: int
    """Discs of those that were destroyed here, 0 or more."""


@dataclass(frozen=True, slots=True)
class AuthoritySummary:
    """All of it. What the records cannot know is an item that a person gives."""

    case: str
    """Plant code of the case."""
    safety: bool
    """True if a person marked it as a safety matter."""
    subject: str
    """What is at fault, such as `Stamper T001030Y, side A of "Moth Parliament"`."""
    maker: str
    """The plant."""
    sender: Contact | None
    """Who answers for it; None if the plant file names nobody."""
    date: str
    """Date of the summary, YYYY-MM-DD."""
    records_up_to: int
    """Last entry of the journal that was looked at."""
    first_information: str
    """Time of the first bad judgement in the records, RFC 3339 with offset; empty if there is none."""
    hours: float | None
    """Hours from the first information to the summary; None if there is none."""
    lots: tuple[NoticeLot, ...]
    """Lots with a disc in question."""
    made: int
    """Discs made of these lots, 0 or more."""
    certain: int
    """Discs affected for certain, 0 or more."""
    possible: int
    """Further discs that may be affected, 0 or more."""
    shipped_least: int
    """Fewest affected discs that left the plant, 0 or more."""
    shipped_most: int
    """Most affected discs that left the plant."""
    shipped_from: str
    """Date of the first shipment with a carton in question, YYYY-MM-DD; empty if none left."""
    shipped_to: str
    """Date of the last one."""
    held: int
    """Items in the plant in question that a hold or a rule stops, 0 or more."""
    free: int
    """Items in the plant in question that nothing stops, 0 or more."""
    consignees: tuple[SummaryConsignee, ...]
    """Everybody to whom a carton in question was shipped."""
    root_cause: str
    """In the words of a person; empty if nobody stated it."""
    actions: tuple[str, ...]
    """Corrective actions, each with its owner and due date."""
    checks: str
    """Sentence on effectiveness checks."""
    estimate: str
    """Date by which a person expects it to be done, YYYY-MM-DD; empty if nobody said."""
    products: tuple[NoticeProduct, ...] = ()
    """Products of the units that left the plant and may hold an affected part; none for discs."""
    words: PieceWords = OF_DISCS
    """What is counted: discs, parts or built pieces."""

    @property
    def returned(self) -> int:
        """Discs that came back, by the dock's own records."""
        return sum(one.returned for one in self.consignees)

    @property
    def destroyed(self) -> int:
        """Discs of those that were destroyed."""
        return sum(one.destroyed for one in self.consignees)

    @property
    def told(self) -> int:
        """Consignees to whom a notice is recorded."""
        return sum(bool(one.told_at) for one in self.consignees)

    @property
    def answered(self) -> int:
        """Consignees of whom an answer is recorded."""
        return sum(bool(one.answered_at) for one in self.consignees)

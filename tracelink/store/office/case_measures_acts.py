"""Writing to a case why it happened, what is done about it, and which investigations belong to it."""

from datetime import date

from tracelink.errors import UsageError
from tracelink.ledger.kinds.case_measures import CaseActionSet, CaseCauseStated, CaseInvestigationLinked
from tracelink.store.office.case_acts import CaseAuthor, open_one, said_words
from tracelink.store.office.investigations import find_investigation
from tracelink.store.office.office_acts import OfficeAct, person_of


def state_cause(hand: CaseAuthor, given: str, words: str) -> None:
    """Record the root cause.

    Raises:
        RefusedByRule: the person may not.
        UsageError: nothing is said.
    """
    hand.require(OfficeAct.STATE_CAUSE)
    case = open_one(hand, given)
    hand.record(CaseCauseStated(case.code, said_words(words, "the root cause")))


def set_action(hand: CaseAuthor, given: str, words: str, owner: str, due: str) -> None:
    """Record a corrective action with who does it and by when.

    Raises:
        RefusedByRule: the person may not, or nobody has the owner's badge.
        UsageError: nothing is said, or the day is invalid or before the act.
    """
    hand.require(OfficeAct.SET_ACTION)
    case = open_one(hand, given)
    person = person_of(hand.booking.queries, owner)
    try:
        day = date.fromisoformat(due)
    except ValueError:
        raise UsageError(f"the due date is {due!r}: expected a day as YYYY-MM-DD") from None
    today = hand.stamp.event_time[:10]
    if day < date.fromisoformat(today):
        raise UsageError(f"the due date {due} lies before {today}, the day on which the action is set")
    hand.record(CaseActionSet(case.code, said_words(words, "the corrective action"), person.code, due))


def link_investigation(hand: CaseAuthor, given: str, number: int) -> None:
    """Record that an investigation belongs to the case.

    Raises:
        RefusedByRule: the person may not.
        UsageError: there is no such investigation.
    """
    hand.require(OfficeAct.LINK_INVESTIGATION)
    case = open_one(hand, given)
    find_investigation(hand.booking.connection, number)
    hand.record(CaseInvestigationLinked(case.code, number))

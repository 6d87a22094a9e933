"""Why it happened and what is done about it, written to a case: each act is one transaction of one person."""

from tracelink.services.cases.case_writing import CaseSigner, writing
from tracelink.store.ledger import Ledger
from tracelink.store.office import case_measures_acts


def state_cause(ledger: Ledger, case: str, signer: CaseSigner, words: str) -> None:
    """Record the root cause; raises as `store.office.case_measures_acts.state_cause`."""
    with writing(ledger, signer) as hand:
        case_measures_acts.state_cause(hand, case, words)


def set_action(ledger: Ledger, case: str, signer: CaseSigner, words: str, owner: str, due: str) -> None:  # noqa: PLR0913, PLR0917  an action is all of these
    """Record a corrective action; raises as `store.office.case_measures_acts.set_action`."""
    with writing(ledger, signer) as hand:
        case_measures_acts.set_action(hand, case, words, owner, due)


def link_investigation(ledger: Ledger, case: str, signer: CaseSigner, number: int) -> None:
    """Record that an investigation belongs to a case; raises as the act of the same name."""
    with writing(ledger, signer) as hand:
        case_measures_acts.link_investigation(hand, case, number)

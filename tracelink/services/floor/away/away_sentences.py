"""What a line says of its ledger that is away or back."""

from tracelink.ledger.count_words import counted
from tracelink.ledger.finding_codes import FindingCode
from tracelink.station.common.outcome import Verdict, Word

NO_PIN_AWAY = "The ledger is away, and a PIN is checked nowhere else: scan CANCEL. Whoever is signed on can go on; nobody else can sign on."


def back(number: int, otherwise: int) -> Verdict:
    """Return what is told when the ledger is back.

    Args:
        number: of scans made meanwhile.
        otherwise: of those that would have been judged otherwise.
    """
    if not otherwise:
        return Verdict(
            Word.DONE,
            f"The ledger is back, and {counted(number, 'scan')} made meanwhile {'is' if number == 1 else 'are'} booked.",
        )
    return Verdict(
        Word.STOP,
        f"The ledger is back. Of {counted(number, 'scan')} made meanwhile {counted(otherwise, 'scan')} would have been judged otherwise: the "
        "cartons that the ledger knows are on hold. This scan was not booked. Leave the cartons of that time where they are and tell quality.",
        finding=FindingCode.NOT_BOOKED,
    )


def needs_key(line: str) -> str:
    """Return why a line without a key does not open so that it may pack on.

    Args:
        line: its code.
    """
    return (
        f"line {line} has no key, and may not pack on while the ledger is away: nothing would show afterwards that the copy it went by and "
        f"the scans it kept are its own. Make one on this machine (runout station-key make {line}) and let two people of quality enrol it "
        "(runout station-key enrol KEY), or open the line without --away: then it waits while the ledger is away"
    )


def no_key(line: str, kept: int) -> str:
    """Return why a line whose key is not there waits where it is started while its ledger is away.

    Args:
        line: its code.
        kept: scans that it made while the ledger was away, and that are not booked yet.
    """
    before = (
        ""
        if not kept
        else f" {counted(kept, 'scan')} that it made before {'is' if kept == 1 else 'are'} kept, and booked before any other then."
    )
    return (
        f"no key of line {line} is here, and nothing else shows that what lies in the folder is what the line left there, and not "
        f"what somebody put there. It waits until the ledger is back.{before} Name the file of its key with --key"
    )

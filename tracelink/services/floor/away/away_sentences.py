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

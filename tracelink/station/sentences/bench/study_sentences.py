"""What is told of verdicts and readings of a study, which judge no disc."""

from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.kinds.measuring.study_entries import StudyRead
from tracelink.ledger.limit_words import of_side
from tracelink.station.common.outcome import Refused


def compared_already(sample: str, name: str) -> Refused:
    """COMPARE of a disc of which the same person said something before."""
    return Refused(
        FindingCode.ALREADY_JUDGED,
        f"{name} compared sample {sample} before: one verdict of each person counts. Take the next disc.",
        subject=sample,
    )


def compared(sample: str, name: str, verdict: str) -> str:
    """Say what was kept of a verdict."""
    return f"Sample {sample} is {verdict} by {name}: kept for the comparison; it judges no disc."


def study_read(body: StudyRead, shown: str) -> str:
    """Say what was kept of a reading, as it was typed."""
    return (
        f"Sample {body.sample}: {body.quantity} {shown} {body.unit}{of_side(body.side)}, read for the study of gauge "
        f"{body.gauge}; it is no result of the disc."
    )

"""What a consignee's answer cannot be, by the records: found when it is written down, and told until it is put right.

An answer is kept as it was given. What it says is held against what was delivered, when the notice went out, and what the
dock booked; a difference that goods on their way back explain is an open point and no finding.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from tracelink.genealogy.case.standing import CaseStatus, ConsigneeLine, Notice, Reply
from tracelink.ledger.count_words import PieceWords, counted, grouped
from tracelink.ledger.finding_codes import FindingCode
from tracelink.ledger.time_words import moment


@dataclass(frozen=True, slots=True)
class ReplyFinding:
    """One thing that an answer cannot be."""

    code: FindingCode
    """The finding."""
    consignee: str
    """Whose answer it is."""
    said: str
    """The answer's figure or time, for a reader."""
    recorded: str
    """What the records have against it, for a reader."""
    entries: tuple[int, ...]
    """Entries to look at: the answer, and the notice where it is concerned."""

    @property
    def sentence(self) -> str:
        """The finding for a person, with what to do."""
        return f"{self.consignee}: {self.said}; {self.recorded}. {self.code.to_do}"


def reply_findings(status: CaseStatus) -> tuple[ReplyFinding, ...]:
    """Return the findings on the newest answer of each consignee."""
    return tuple(one for line in status.lines for one in _findings(line, status.words))


def _findings(line: ConsigneeLine, words: PieceWords) -> Iterator[ReplyFinding]:
    reply = line.reply
    if reply is None:
        return
    yield from _too_many(line, reply, words)
    if line.notice is not None and datetime.fromisoformat(reply.at) < datetime.fromisoformat(line.notice.at):
        yield _too_early(line.consignee, reply, line.notice)
    if reply.returned is not None and reply.returned < line.returned:
        yield ReplyFinding(
            FindingCode.REPLY_CONTRADICTS_DOCK,
            line.consignee,
            f"says it sent back {counted(reply.returned, words.one)}",
            f"the dock booked {grouped(line.returned)}",
            (reply.seq,),
        )


def _too_many(line: ConsigneeLine, reply: Reply, words: PieceWords) -> Iterator[ReplyFinding]:
    gone = (reply.returned or 0) + (reply.destroyed or 0)
    for number, said in (
        (reply.on_hand, f"says it had {counted(reply.on_hand, words.one)} on hand"),
        (gone, f"says it sent back or destroyed {counted(gone, words.one)}"),
    ):
        if number > line.delivered:
            yield ReplyFinding(
                FindingCode.REPLY_OF_MORE_THAN_SENT,
                line.consignee,
                said,
                f"{grouped(line.delivered)} were delivered to it",
                (reply.seq,),
            )


def _too_early(consignee: str, reply: Reply, notice: Notice) -> ReplyFinding:
    return ReplyFinding(
        FindingCode.REPLY_BEFORE_NOTICE,
        consignee,
        f"answered at {moment(reply.at)}",
        f"the notice went out at {moment(notice.at)}",
        (reply.seq, notice.seq),
    )

"""Recovery by day in the status report: the picture, and the table beside it."""

from collections.abc import Sequence

from tracelink.genealogy.case.case_facts import CaseFacts
from tracelink.genealogy.case.recovery import RecoveryDay, recovery_of
from tracelink.ledger.count_words import PieceWords, counted, grouped
from tracelink.report.format.disc_columns import MAY_HOLD, in_words
from tracelink.report.format.document import Picture, Section
from tracelink.report.format.table import Cell, Column, Kind, table
from tracelink.report.pictures.recovery_svg import recovery_svg

RECOVERY_COLUMNS = (
    Column("day", "by the end of"),
    MAY_HOLD,
    Column("returned", "returned (booked here)", Kind.COUNT),
    Column("destroyed", "destroyed (booked here)", Kind.COUNT),
    Column("accounted", "accounted for", Kind.COUNT),
    Column("unaccounted", "not accounted for", Kind.DIFFERENCE),
)
_CAPTION = "In {}, for each day on which something changed, the day of opening and the day of this page"


def recovery_sections(facts: CaseFacts, head: tuple[int, str], at: str) -> tuple[Section, ...]:
    """Return the section; none where no consignee has a carton that may hold an affected disc.

    Args:
        facts: the case.
        head: last journal sequence looked at, and its hash.
        at: when the report is made, RFC 3339 with offset.
    """
    days = recovery_of(facts.recorded, facts.opened_at, at)
    if not days[-1].may_hold:
        return ()
    words = facts.recorded.words
    listed = table("", _CAPTION.format(words.many), RECOVERY_COLUMNS, recovery_rows(days))
    title = f"Case {facts.case.code}: what was recovered by day"
    picture = Picture(recovery_svg(days, title=title, head=head, at=at, words=words), _in_words(days, words))
    return (Section("Recovery by day", (picture, in_words(listed, words))),)


def recovery_rows(days: Sequence[RecoveryDay]) -> list[dict[str, Cell]]:
    """Return one row per day, keys of `RECOVERY_COLUMNS`."""
    return [
        {
            "day": day.day,
            "may_hold": day.may_hold,
            "returned": day.returned,
            "destroyed": day.destroyed,
            "accounted": day.accounted,
            "unaccounted": day.unaccounted,
        }
        for day in days
    ]


def _in_words(days: Sequence[RecoveryDay], words: PieceWords) -> str:
    first, last = days[0], days[-1]
    return (
        f"One bar for each day on which something changed, from {first.day} to {last.day}. By the end of the last, of "
        f"{counted(last.may_hold, words.one)} in {words.holders} that may hold one, {grouped(last.returned)} came back, "
        f"{grouped(last.destroyed)} of them were destroyed, and {grouped(last.accounted)} are accounted for; the table "
        "has each day."
    )

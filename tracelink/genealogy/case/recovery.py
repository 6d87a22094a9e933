"""How much of what may be affected was recovered, day by day since a case was opened.

Each day is counted by the rule of the status itself, over what was recorded with a time up to the end of that day; so the
last day says what the status says.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from tracelink.genealogy.case.standing import CaseRecord, status_of

_DAY = 10
"""Characters of a day at the start of an RFC 3339 time."""


@dataclass(frozen=True, slots=True)
class RecoveryDay:
    """What was recovered by the end of a day, of all consignees together."""

    day: str
    """YYYY-MM-DD."""
    returned: int
    """Discs that came back, by the dock's own records."""
    destroyed: int
    """Those of them that were destroyed."""
    accounted: int
    """Discs accounted for, as each consignee's line counts them; a later answer may bring it down."""
    may_hold: int
    """Discs in cartons that may hold one, by any scope of the case: what there is to recover."""

    @property
    def unaccounted(self) -> int:
        """Discs in those cartons that are not accounted for; negative when more turned up than they held."""
        return self.may_hold - self.accounted


def recovery_of(record: CaseRecord, opened_at: str, at: str) -> tuple[RecoveryDay, ...]:
    """Count the days on which something came back, was destroyed or was answered, and the first and the last.

    Args:
        record: the case.
        opened_at: when it was opened, RFC 3339 with offset; what is dated before counts on that day.
        at: when it is asked, RFC 3339 with offset.

    Returns:
        Days in order; a day is that of the place where its time was written down.
    """
    first, last = opened_at[:_DAY], at[:_DAY]
    times = [*(one.at for one in record.back), *(one.at for one in record.replies)]
    days = {first, max(first, last), *(max(first, time[:_DAY]) for time in times)}
    return tuple(_until(record, day) for day in sorted(days))


def _until(record: CaseRecord, day: str) -> RecoveryDay:
    then = replace(
        record,
        back=tuple(one for one in record.back if one.at[:_DAY] <= day),
        replies=tuple(one for one in record.replies if one.at[:_DAY] <= day),
    )
    lines = status_of(then).lines
    return RecoveryDay(
        day,
        returned=sum(line.returned for line in lines),
        destroyed=sum(line.destroyed for line in lines),
        accounted=sum(line.accounted for line in lines),
        may_hold=sum(line.may_hold for line in lines),
    )

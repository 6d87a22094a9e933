"""What bad discs have in common that good ones have not, asked of a ledger."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import UsageError
from tracelink.genealogy.commoncause.compare import CommonCause, common_cause
from tracelink.genealogy.containment.query import parse_defect
from tracelink.ledger.times import require_period
from tracelink.report.pages.common_cause_text import as_json
from tracelink.store.journal import journal
from tracelink.store.records.judged_discs import judged_discs, known_defects


@dataclass(frozen=True, slots=True)
class SharedCauses:
    """Candidates for a common cause of bad discs, the likeliest first. An association is not proof."""

    defect: str | None
    """The defect asked about; None for any."""
    since: str | None
    """Only samples drawn from here on; None for all."""
    until: str | None
    """Only samples drawn up to here; None for all."""
    head: tuple[int, str]
    """The last entry looked at, and its hash."""
    found: CommonCause
    """The comparison of every candidate."""

    @property
    def stands_out(self) -> bool:
        """True if a candidate stands out after the correction for their number."""
        return any(one.significant for one in self.found.candidates)

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout cause --format json`."""
        head = {"seq": self.head[0], "hash": self.head[1]}
        return as_json(
            self.found, {"defect": self.defect, "from": self.since, "to": self.until, "head": head}
        )


def shared_causes(
    conn: Connection, defect: str | None, since: str | None, until: str | None, within: str
) -> SharedCauses:
    """Compare everything that made the judged discs.

    Args:
        conn: a connection inside a transaction.
        defect: count a disc as bad for this defect only; None for any.
        since: only samples drawn at this time or later, RFC 3339 with offset.
        until: the same, or earlier.
        within: press, lot, compound or operator: also compare discs of one of these among themselves.

    Raises:
        UsageError: nobody ever found the defect, a time is invalid, or `within` is another word.
    """
    named = parse_defect(defect)
    require_period(since, until)
    known = known_defects(conn)
    if named is not None and named not in known:
        raise UsageError(
            f"--defect: no disc was ever judged bad for {named!r}; known here: {', '.join(known) or 'none'}"
        )
    found = common_cause(judged_discs(conn, named, since, until), within)
    head = journal.head(conn)
    return SharedCauses(named, since, until, (head.seq, head.hash), found)

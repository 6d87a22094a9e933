"""People with badges, and who may change them: who has which badge, and who is left that may decide."""

from collections.abc import Iterator

from sqlalchemy import Connection, text

from tracelink.errors import RefusedByRule, UsageError
from tracelink.ledger.count_words import counted
from tracelink.ledger.time_words import moment
from tracelink.ledger.times import utc_seconds
from tracelink.station.common.authority import QUALITY, may_not_agree
from tracelink.station.common.station_facts import Person
from tracelink.store.records.entries_by_actor import acts_with
from tracelink.store.stations.answers import SqlStationQueries

_BADGES = text("SELECT code FROM person ORDER BY code")
_SINCE = text("SELECT DISTINCT since FROM plant_change WHERE field IN ('roles', 'badge') ORDER BY since")
_QUALITY = "quality"


def badges(conn: Connection) -> list[str]:
    """Return every badge that was ever given out."""
    return [str(code) for code in conn.execute(_BADGES).scalars()]


def standing(conn: Connection, at: str | None = None) -> Iterator[Person]:
    """Yield everybody whose badge counts at a time (UTC); None for now."""
    queries = SqlStationQueries(conn)
    queries.at = at
    for badge in badges(conn):
        person = queries.person(badge)
        if person is not None and person.withdrawn is None:
            yield person


def require_free_name(conn: Connection, name: str, badge: str) -> None:
    """Refuse a second badge for one person.

    Raises:
        UsageError: somebody of that name has a badge that counts.
    """
    other = next((each for each in standing(conn) if each.name == name and each.code != badge), None)
    if other is not None:
        raise UsageError(
            f"{name} has badge {other.code}: expected one badge a person; one that is lost is replaced by "
            "[[replaced_badge]], and two people of one name are told apart by it"
        )


def require_quality_left(conn: Connection, since: str) -> None:
    """Refuse what leaves nobody with the role quality.

    Args:
        conn: a connection in which the change is written already.
        since: the time from which it holds, UTC.

    Raises:
        UsageError: from some time on nobody would have it.
    """
    for at in sorted({since, *(str(each) for each in conn.execute(_SINCE).scalars() if each > since)}):
        if not any(_QUALITY in each.roles for each in standing(conn, at)):
            raise UsageError(
                f"nobody would have the role quality from {moment(at)} on, and nothing could be released, lifted or "
                "changed any more: give it to somebody else first"
            )


def require_agreed(conn: Connection, first: Person, second: Person | None) -> str:
    """Return the badge of the second person who agreed to what two people do.

    Two people of quality; where only one has that role, anybody else with a badge is the witness, because nobody else
    could ever get it otherwise.

    Raises:
        UsageError: nobody was named.
        RefusedByRule: they are one person, or the second lacks the role.
    """
    if second is None:
        raise UsageError("two people decide who has which badge and roles: expected --second BADGE as well")
    is_another_left = any(_QUALITY in each.roles and each.code != first.code for each in standing(conn))
    found = may_not_agree(second, first.code, QUALITY if is_another_left else ())
    if found is not None:
        raise RefusedByRule(found.sentence)
    return second.code


def used_since(conn: Connection, badge: str, since: str) -> int:
    """Return how many entries name a badge that happened from a time (UTC) on."""
    return sum(1 for act in acts_with(conn, "person", badge) if utc_seconds(act.at) >= since)


def used_words(used: int) -> str:
    """Return what is said of a badge that was used after its time; empty if it was not."""
    return f"; it was used {counted(used, 'time')} since then" if used else ""

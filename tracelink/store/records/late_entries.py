"""Entries that were recorded much later than what they tell of happened."""

from collections.abc import Iterable, Mapping

from sqlalchemy import Connection, text

from tracelink.facts.entry_stamp import EntryStamp, TimedEntry
from tracelink.ledger.lateness import Lateness
from tracelink.ledger.recording_times import ClockStep
from tracelink.store.database.in_lists import text_list
from tracelink.store.journal.tally import odd_times
from tracelink.store.records.entry_stamps import entry_stamps, names
from tracelink.store.records.settings import clock_limits
from tracelink.store.stations.answers import SqlStationQueries

_STEPPED = text("SELECT seq, sentence FROM finding WHERE finding IN ('clock-back', 'clock-ahead')")
_FEW = 400
_ABOUT = text(
    "SELECT seq FROM movement WHERE source IN :codes OR target IN :codes UNION "
    "SELECT opened_seq FROM nesting WHERE child IN :codes OR parent IN :codes UNION "
    "SELECT seq FROM run_segment WHERE lot IN :codes OR stamper_a IN :codes OR stamper_b IN :codes UNION "
    "SELECT seq FROM tool WHERE code IN :codes UNION SELECT seq FROM sample WHERE code IN :codes UNION "
    "SELECT seq FROM judgement WHERE sample IN :codes"
).bindparams(text_list("codes"))


def late_minutes(conn: Connection) -> int:
    """Return after how many minutes an entry counts as late."""
    return SqlStationQueries(conn).setting("late_entry_minutes")


def late_about(conn: Connection, codes: Iterable[str]) -> tuple[int, list[EntryStamp]]:
    """Return the number of entries, and the late ones among them, that moved, nested, pressed, grew or judged some things.

    Args:
        conn: a connection that reads one state.
        codes: what was traced.
    """
    wanted = list(dict.fromkeys(codes))
    seqs: set[int] = set()
    for start in range(0, len(wanted), _FEW):
        seqs |= set(conn.execute(_ABOUT, {"codes": wanted[start : start + _FEW]}).scalars())
    return len(seqs), _late(conn, seqs)


def late_entries(conn: Connection, last: int | None) -> tuple[list[TimedEntry], int]:
    """Return the newest entries of the whole journal that are late or of which the recording time runs back or jumps.

    Args:
        conn: a connection that reads one state.
        last: how many at most; None for all.

    Returns:
        The entries, newest first, and how many older ones are left out.
    """
    late_after, limits = late_minutes(conn), clock_limits(conn)
    odd = {one.seq: one for one in odd_times(conn, late_after, limits)}
    stepped = {int(row.seq): str(row.sentence) for row in conn.execute(_STEPPED)}
    every = {*odd, *stepped}
    # How many there are in all is told; who recorded it is read of those that are shown.
    wanted = sorted(every, reverse=True)[:last]
    steps = {seq for seq in wanted if seq in odd and odd[seq].is_step(limits)}
    stamps = entry_stamps(conn, {*wanted, *(seq - 1 for seq in steps)}, names(conn))
    found = [
        TimedEntry(stamps[seq], _step(stamps, seq) if seq in steps else None, stepped.get(seq, ""))
        for seq in wanted
    ]
    return found, len(every) - len(wanted)


def _step(stamps: Mapping[int, EntryStamp], seq: int) -> ClockStep:
    one = stamps[seq]
    return ClockStep(seq, one.kind, one.recorded, stamps[seq - 1].recorded)


def _late(conn: Connection, seqs: Iterable[int]) -> list[EntryStamp]:
    limit = late_minutes(conn)
    stamps = entry_stamps(conn, seqs, names(conn))
    return [stamp for _seq, stamp in sorted(stamps.items()) if stamp.lateness(limit) is Lateness.LATE]

"""How far a group is behind each of its plants: by what came, what was taken, and what the server says of the way."""

import json
from collections.abc import Iterator

from sqlalchemy import Connection, text

from tracelink.facts.group_plants import PlantHead, PlantLink, PlantStanding
from tracelink.store.group.group_database import GroupDatabase, subscription_of
from tracelink.store.journal import journal
from tracelink.store.ledger import Ledger

_LINK = text(
    "SELECT (SELECT count(*) FROM pg_subscription_rel r WHERE r.srsubid = s.oid AND r.srsubstate <> 'r') AS unready, "
    "(SELECT count(*) FROM pg_stat_subscription t WHERE t.subid = s.oid AND t.relid IS NULL AND t.pid IS NOT NULL) AS followed, "
    "(SELECT why FROM public.group_plant WHERE plant = :plant) AS why "
    "FROM pg_subscription s WHERE s.subname = :name AND s.subdbid = (SELECT oid FROM pg_database WHERE datname = current_database())"
)
_HEARD = text(
    "UPDATE public.group_plant SET heard_at = h.at FROM (SELECT to_char(max(last_msg_receipt_time) AT TIME ZONE 'UTC', "
    '\'YYYY-MM-DD"T"HH24:MI:SS"Z"\') AS at FROM pg_stat_subscription WHERE subname = :name) h '
    "WHERE plant = :plant AND h.at IS NOT NULL"
)
_STANDING = text(
    "SELECT (SELECT count(*) FROM public.journal WHERE plant = :plant AND seq > :seq) AS waiting, "
    "GREATEST(heard_at, (SELECT to_char(max(last_msg_receipt_time) AT TIME ZONE 'UTC', 'YYYY-MM-DD\"T\"HH24:MI:SS\"Z\"') "
    "FROM pg_stat_subscription WHERE subname = :name)) AS heard_at, why FROM public.group_plant WHERE plant = :plant"
)


def note_heard(conn: Connection, plant: str) -> None:
    """Keep when a plant's server was last heard of: the server forgets it when the way breaks."""
    conn.execute(_HEARD, {"plant": plant, "name": subscription_of(plant)})


def link_of(conn: Connection, plant: str) -> PlantLink:
    """Return what is known of the way from a plant."""
    found = conn.execute(_LINK, {"plant": plant, "name": subscription_of(plant)}).first()
    if found is None:
        return PlantLink.AWAY
    if found.why:
        return PlantLink.STOPPED
    if found.unready:
        return PlantLink.FIRST_COPY
    return PlantLink.FOLLOWED if found.followed else PlantLink.AWAY


def standings(group: GroupDatabase) -> Iterator[PlantStanding]:
    """Yield how far the group is behind each plant, by name.

    Raises:
        NotALedger: it is no database of a group.
    """
    with group.engine(read_only=True) as engine, engine.connect() as conn:
        for plant in group.plants(conn):
            with Ledger.open(group.plant_url(plant), read_only=True) as ledger, ledger.reading() as copy:
                at = head_of(copy, plant)
            known = {"plant": plant, "name": subscription_of(plant), "seq": at.head.seq}
            row = conn.execute(_STANDING, known).one()
            yield PlantStanding(
                plant, link_of(conn, plant), at.head, at.recorded_at, row.waiting, row.heard_at, row.why
            )


def head_of(copy: Connection, plant: str) -> PlantHead:
    """Return up to which entry a plant was taken."""
    head = journal.head(copy)
    if not head.seq:
        return PlantHead(plant, head, None)
    return PlantHead(plant, head, str(json.loads(journal.row_at(copy, head.seq).canonical)["recorded_at"]))

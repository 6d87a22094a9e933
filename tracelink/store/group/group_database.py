"""The database of a group: where the journals of its plants come in, and one ledger for each plant that is made of them.

Theory of operation
-------------------
Logical replication puts a row into the table of the same schema and name, and knows no plants. So all journals come into the
same tables of the schema `public`, which have one column more: the plant. Its default asks which subscription writes the row, by
the process that does. Those tables are an inbox, not a ledger: no row of them is believed.

Each plant has a schema of its own with a whole ledger in it, made by the migrations of any ledger and opened by the code of
any ledger. `taking.py` moves entries from the inbox into it once they follow what is there, so that an answer never speaks of
entries that are not in the tables. Nothing else may write an entry there: a trigger refuses it.
"""

import re
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import URL, Connection, Engine, Table, text

from tracelink.errors import NotALedger, UsageError
from tracelink.store.database.engine import ledger_url, open_engine
from tracelink.store.database.schema import upgrade
from tracelink.store.database.storage_errors import storage_sentences
from tracelink.store.database.tables_journal import journal
from tracelink.store.group.publishing import PUBLICATION, PUBLISHED

_NAME = re.compile(r"[a-z][a-z0-9]{0,23}")
_TABLES = text(
    "SELECT c.relname, EXISTS (SELECT 1 FROM pg_attribute a WHERE a.attrelid = c.oid AND a.attname = 'plant') "
    "FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind = 'r'"
)
_COLUMNS = text(
    "SELECT attname FROM pg_attribute WHERE attrelid = to_regclass('public.journal') AND attnum > 0 AND NOT attisdropped"
)
_PLANTS = text("SELECT plant FROM public.group_plant ORDER BY plant")
_ADDED = text("INSERT INTO public.group_plant (plant) VALUES (:plant)")

# A worker of a subscription serves one plant all its life, so it has to ask once.
_WHICH_PLANT = """
CREATE FUNCTION public.runout_sender() RETURNS text LANGUAGE plpgsql AS $$
DECLARE
  named text := current_setting('runout.sender', true);
BEGIN
  IF coalesce(named, '') = '' THEN
    SELECT substr(subname, 8) INTO STRICT named FROM pg_stat_subscription WHERE pid = pg_backend_pid();
    PERFORM set_config('runout.sender', named, false);
  END IF;
  RETURN named;
END $$"""
_ONLY_TAKEN = """
CREATE FUNCTION public.runout_only_taken() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
  IF coalesce(current_setting('runout.taking', true), '') <> 'on' THEN
    RAISE EXCEPTION 'a copy of a plant in a group is only read: its entries are written at the plant'
      USING ERRCODE = 'integrity_constraint_violation';
  END IF;
  RETURN NEW;
END $$"""
_REGISTER = (
    "CREATE TABLE public.group_plant (plant text PRIMARY KEY, heard_at text, why text NOT NULL DEFAULT '')"
)


class GroupDatabase:
    """The database of a group, open."""

    def __init__(self, place: str) -> None:
        """Args: place: URL of a database on a PostgreSQL server.

        Raises:
            UsageError: it is the path of a file.
        """
        self.place = place
        self.url = ledger_url(place)
        if self.url.get_backend_name() != "postgresql":
            raise UsageError(
                f"{place} is a file: a group needs a database on a PostgreSQL server, and its URL"
            )

    def plant_url(self, plant: str) -> str:
        """Return the URL under which the copy of a plant is a ledger like any other."""
        return self._in_schema(schema_of(plant)).render_as_string(hide_password=False)

    def _in_schema(self, schema: str) -> URL:
        return self.url.update_query_dict({"options": f"-csearch_path={schema}"})

    @contextmanager
    def engine(self, *, read_only: bool = False) -> Iterator[Engine]:
        """Open the database itself, for the length of a block."""
        with storage_sentences(self.place):
            made = open_engine(self._in_schema("public"), read_only=read_only)
            try:
                yield made
            finally:
                made.dispose()

    def plants(self, conn: Connection) -> list[str]:
        """Return the plants that were added, by name.

        Raises:
            NotALedger: it is no database of a group.
            UsageError: an older program made it, and entries come in another form now.
        """
        if "group_plant" not in _tables_of(conn):
            raise NotALedger(f"{self.place} is no database of a group: add a plant with `runout group add`")
        plants = [str(name) for name in conn.execute(_PLANTS).scalars()]
        if {column.name for column in journal.columns} - {*conn.execute(_COLUMNS).scalars()}:
            raise UsageError(
                f"the group in {self.place} was made by an older program, and entries come from its plants in another form now: make it "
                "anew in an empty database. Nothing is lost, as the plants have their journals. There, for each plant "
                f"({', '.join(plants) or 'none yet'}): runout group add PLANT URL; then runout group take; then drop the old database"
            )
        return plants

    def add(self, plant: str, source: str) -> None:
        """Make the place of a plant, and subscribe to its journal.

        Args:
            plant: its name in the group.
            source: URL of its ledger, with a login that may replicate.

        Raises:
            UsageError: the name is none or taken, the database is in use for something else, or the source is a file.
            StorageFailed: a server does not answer, or the login may not do this.
        """
        if not _NAME.fullmatch(plant):
            raise UsageError(
                f"{plant!r} cannot name a plant: expected 1 to 24 letters a-z and digits, a letter first"
            )
        url = ledger_url(source)
        if url.get_backend_name() != "postgresql":
            raise UsageError(f"{source} is a file: a group follows ledgers on PostgreSQL servers")
        with self.engine() as engine:
            with engine.begin() as conn:
                if plant in self._made(conn):
                    raise UsageError(f"{plant} is in this group already")
                # From an earlier try that the plant's server did not answer: nothing came into it.
                conn.exec_driver_sql(f"DROP SCHEMA IF EXISTS {schema_of(plant)} CASCADE")
                conn.exec_driver_sql(f"CREATE SCHEMA {schema_of(plant)}")
            self._make_ledger(plant)
            with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as conn:
                from psycopg.sql import SQL, Identifier, Literal  # noqa: PLC0415  an extra

                sender = url.set(drivername="postgresql").render_as_string(hide_password=False)
                statement = SQL("CREATE SUBSCRIPTION {} CONNECTION {} PUBLICATION {}").format(
                    Identifier(subscription_of(plant)), Literal(sender), Identifier(PUBLICATION)
                )
                raw = conn.connection.driver_connection
                assert raw is not None
                raw.execute(statement)
                conn.execute(_ADDED, {"plant": plant})

    def _made(self, conn: Connection) -> list[str]:
        """Make the inbox if it is not there, and return the plants."""
        tables: dict[str, bool] = _tables_of(conn)
        if tables and not ("group_plant" in tables and tables.get("journal")):
            raise UsageError(
                f"{self.place} holds tables such as {min(tables)}: a group needs a database of its own"
            )
        if not tables:
            for statement in (_WHICH_PLANT, _ONLY_TAKEN, _REGISTER, *map(_inbox, PUBLISHED)):
                conn.exec_driver_sql(statement)
        return self.plants(conn)

    def _make_ledger(self, plant: str) -> None:
        engine = open_engine(self._in_schema(schema_of(plant)))
        try:
            upgrade(engine, _guard)
        finally:
            engine.dispose()


def schema_of(plant: str) -> str:
    """Return the schema with the ledger of a plant."""
    return f"plant_{plant}"


def subscription_of(plant: str) -> str:
    """Return the subscription to a plant's journal; `runout_sender` takes the name off again."""
    return f"runout_{plant}"


def _tables_of(conn: Connection) -> dict[str, bool]:
    """Return the tables of the schema `public`, and whether each has a column for the plant."""
    return {row[0]: row[1] for row in conn.execute(_TABLES)}


def _inbox(table: Table) -> str:
    """Return what makes the table that the rows of a published one come into."""
    columns = ", ".join(
        f"{column.name} {'integer' if column.type.python_type is int else 'bytea' if column.type.python_type is bytes else 'text'} NOT NULL"
        for column in table.columns
    )
    first = ", ".join(column.name for column in table.primary_key)
    # Not unique: a plant that is added anew sends everything once more.
    return (
        f"CREATE TABLE public.{table.name} (plant text NOT NULL DEFAULT public.runout_sender(), {columns}); "
        f"CREATE INDEX ix_{table.name}_came ON public.{table.name} (plant, {first})"
    )


def _guard(conn: Connection) -> None:
    for table in PUBLISHED:
        conn.exec_driver_sql(
            f"CREATE TRIGGER {table.name}_only_taken BEFORE INSERT ON {table.name} "
            "FOR EACH ROW EXECUTE FUNCTION public.runout_only_taken()"
        )

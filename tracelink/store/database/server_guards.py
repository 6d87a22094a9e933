"""What keeps the truth append-only on a PostgreSQL server beyond the triggers of the migrations, and whether it is all there.

TRUNCATE fires no trigger for rows, so each table of the truth has one of its own for it; SQLite has no such statement. The
owner of the tables can take any trigger away, switch it off, or give its function another body: `faults` names each, and
stations use a login that owns nothing. Where an administrator divided a table into ranges, each range has guards of its own.
"""

import re
from collections import defaultdict
from collections.abc import Iterator

from sqlalchemy import Connection, text

from tracelink.store.database.columns import metadata

_GUARDED = {
    "journal": "the journal is append-only: it is not emptied",
    "journal_pack": "raw scans are append-only: they are not emptied",
    "scan_signature": "signatures of scans are append-only: they are not emptied",
}
"""Table -> what whoever empties it is told."""

_TRIGGERS = text(
    "SELECT t.tgname, c.relname, t.tgenabled, p.prosrc FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
    "JOIN pg_proc p ON p.oid = t.tgfoid WHERE NOT t.tgisinternal AND c.relnamespace = current_schema()::regnamespace"
)
_RANGES = text(
    "SELECT whole.relname AS table, part.relname AS range FROM pg_inherits i JOIN pg_class whole ON whole.oid = i.inhparent "
    "JOIN pg_class part ON part.oid = i.inhrelid WHERE part.relkind = 'r' "
    "AND part.relnamespace = current_schema()::regnamespace ORDER BY 1, 2"
)
_NAMES = text(
    "SELECT conname FROM pg_constraint WHERE connamespace = current_schema()::regnamespace AND convalidated "
    "UNION SELECT indexname FROM pg_indexes WHERE schemaname = current_schema()"
)
_ON_SQLITE = re.compile(
    r"(?:WHEN\s+(?P<when>.+?)\s+)?BEGIN SELECT RAISE\(ABORT, '(?P<sentence>.+?)'\); END", re.DOTALL
)

_ITS_TABLE = re.compile(r" ON \"?(\w+)")


def guard(conn: Connection) -> None:
    """Let nobody empty a table of the truth, nor a range of it; made anew where it is there already."""
    ranges = _ranges(conn)
    for table, sentence in _GUARDED.items():
        name = _guard_name(table)
        conn.exec_driver_sql(
            f"CREATE OR REPLACE FUNCTION {name}() RETURNS trigger LANGUAGE plpgsql AS $${_body(sentence)}$$"
        )
        for each in (table, *ranges[table]):
            conn.exec_driver_sql(f"DROP TRIGGER IF EXISTS {name} ON {each}")
            conn.exec_driver_sql(
                f"CREATE TRIGGER {name} BEFORE TRUNCATE ON {each} FOR EACH STATEMENT EXECUTE FUNCTION {name}()"
            )


def faults(live: Connection, on_sqlite: dict[str, str]) -> Iterator[str]:
    """Yield a sentence for each trigger, constraint or index of the schema that is gone, switched off or another one.

    Args:
        live: the ledger.
        on_sqlite: name -> how each trigger of the schema is made on SQLite.
    """
    ours = {(row.tgname, row.relname): row for row in live.execute(_TRIGGERS)}
    ranges = _ranges(live)
    for name, (table, bodies) in _expected(on_sqlite).items():
        for each in (table, *ranges[table]):
            where = "" if each == table else f" on {each}"
            found = ours.get((name, each))
            if found is None or found.tgenabled == "D":
                yield f"the trigger {name} of the schema is gone or switched off{where}"
            elif not any(_plain(found.prosrc).startswith(_plain(body)) for body in bodies):
                yield f"the trigger {name} of the schema was changed{where}"
    names = set(live.execute(_NAMES).scalars())
    for made in metadata.sorted_tables:
        meant = [str(each.name) for each in made.constraints if each.name is not None]
        for name in (*meant, *(str(each.name) for each in made.indexes)):
            if name not in names:
                yield f"the constraint or index {name} of table {made.name} is gone"


def _expected(on_sqlite: dict[str, str]) -> dict[str, tuple[str, list[str]]]:
    """Return the table of each trigger, and how its function may begin."""
    of_rows = {name: (_table(sql), _bodies(sql)) for name, sql in on_sqlite.items()}
    return of_rows | {_guard_name(table): (table, [_body(sentence)]) for table, sentence in _GUARDED.items()}


def _ranges(conn: Connection) -> defaultdict[str, list[str]]:
    """Return the tables that a table is divided into, which have triggers of their own; none unless somebody divided it."""
    found: defaultdict[str, list[str]] = defaultdict(list)
    for row in conn.execute(_RANGES):
        found[row.table].append(row.range)
    return found


def _guard_name(table: str) -> str:
    return f"{table}_no_truncate"


def _body(sentence: str) -> str:
    return f" BEGIN RAISE EXCEPTION '{sentence}' USING ERRCODE = 'integrity_constraint_violation'; END "


def _table(sql: str) -> str:
    found = _ITS_TABLE.search(sql)
    assert found is not None
    return found[1]


def _bodies(sql: str) -> list[str]:
    """Return how the function of a trigger may begin that does on a server what this one does on SQLite."""
    found = _ON_SQLITE.search(sql)
    assert found is not None
    raised = f"RAISE EXCEPTION '{found['sentence']}'"
    return [f"BEGIN IF {found['when']} THEN {raised}"] if found["when"] else [f"BEGIN {raised}"]


def _plain(sql: str) -> str:
    """Return a statement without white space, quotes of names and the brackets that a condition may stand in."""
    return re.sub(r'[\s"()]', "", sql)

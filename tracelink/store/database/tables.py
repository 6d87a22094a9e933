"""The tables, as SQLAlchemy Core sees them.

Core tables, not mapped classes: rows are only ever written by projecting journal entries and read into the
frozen facts of the pure rooms, so there is nothing for an object mapper to track. Types are the three that a
STRICT SQLite table and PostgreSQL share: Integer, Text, LargeBinary. Triggers stand in the migrations.

Six families:
  journal, journal_pack           the truth; append-only, in the forms of store/compact/
  tree_node                       the Merkle tree over the journal's hashes
  scan_signature                  what stations signed of their scans
  spool, station                  what lies on the stations' desks right now and is not sealed yet
  last_scan                       what each station read last, to tell a code that is read twice
  everything else                 the journal's shadow; `rebuild` makes it anew
"""

from tracelink.store.assembly import tables_assembly
from tracelink.store.database import (
    tables_access,
    tables_balance,
    tables_case,
    tables_dock,
    tables_holds,
    tables_journal,
    tables_keys,
    tables_lab,
    tables_line,
    tables_plant,
    tables_press,
    tables_stations,
)
from tracelink.store.database.columns import metadata
from tracelink.store.journal import tables_tally
from tracelink.store.process import tables_process

TRUTH = (tables_journal.journal, tables_journal.journal_pack)
"""Append-only."""

DESK = (tables_stations.spool, tables_stations.last_scan)
"""Scans committed and not sealed yet, and the last one of each station; `rebuild` leaves them as they are."""

TREE = (tables_journal.tree_node,)
"""Hashes over the hashes of the journal; see store/journal/subtrees.py."""

SIGNED = (tables_keys.scan_signature,)
"""What stations signed; `rebuild` leaves it as it is, because only the stations' machines can make it."""

# What a sample is of is looked up by a trigger, in either of two tables.
for _of in ("lot", "build"):
    metadata.tables["sample"].add_is_dependent_on(metadata.tables[_of])

SHADOW = tuple(each for each in metadata.sorted_tables if each not in (*TRUTH, *TREE, *DESK, *SIGNED))
"""Projected from the journal, parents before children."""

TABLES = metadata.tables
TABLE_NAMES = frozenset(TABLES)
"""Of all of these families."""

AREAS = (
    tables_access,
    tables_assembly,
    tables_balance,
    tables_case,
    tables_dock,
    tables_holds,
    tables_journal,
    tables_keys,
    tables_lab,
    tables_line,
    tables_plant,
    tables_press,
    tables_process,
    tables_stations,
    tables_tally,
)
"""The modules with the tables, one for each work area; imported so that all tables are known."""

"""Tables of what is kept of all entries together.

How many of each kind, those with times that a limit may find, and in which blocks a station, a badge or a kind is found.
"""

from tracelink.store.database.columns import int_column, table, text_column

entry_count = table("entry_count", text_column("kind", key=True), int_column("entries"), rowid=False)

entry_block = table("entry_block", text_column("name", key=True), int_column("block", key=True), rowid=False)

odd_time = table("odd_time", int_column("seq", key=True), int_column("late_s"), int_column("step_s"))

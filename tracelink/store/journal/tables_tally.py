"""Tables of what is kept of all entries together: how many of each kind, and those with times that a limit may find."""

from tracelink.store.database.columns import int_column, table, text_column

entry_count = table("entry_count", text_column("kind", key=True), int_column("entries"), rowid=False)

odd_time = table("odd_time", int_column("seq", key=True), int_column("late_s"), int_column("step_s"))

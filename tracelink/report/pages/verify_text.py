"""What an examination of a ledger found, for a screen: how many differences first, then what it rests on."""

from collections.abc import Mapping, Sequence
from typing import Any

from tracelink.ledger.count_words import counted, grouped
from tracelink.report.format.table import Column


def verify_text(row: Mapping[str, Any], judged: Sequence[Column], *, tables: bool) -> str:
    """Return the result for people.

    Args:
        row: what `Verification.to_dict` gives.
        judged: columns on raw scans judged again; none if that was not asked.
        tables: whether the tables were compared as well.
    """
    looked_at = "entry against entry" + (", and every table row against a replay of them" if tables else "")
    kept = row["kept"]
    parts = [
        f"Differences: {grouped(row['differences'])}, in {counted(row['entries'], 'entry', 'entries')} ({looked_at}).",
        f"Heads kept outside that agree: {kept}"
        + ("." if kept else ": a rewritten end shows only against one (--checkpoint, --kept)."),
        *(f"{column.heading}: {grouped(row[column.key] or 0)}." for column in judged),
        f"Head  {row['head']}",
        f"Root  {row['root']}",
    ]
    return "\n".join(parts) + "\n"

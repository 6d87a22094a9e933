"""What is on hold, for a screen: how much, then hold by hold with the codes that it names."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from tracelink.ledger.count_words import counted
from tracelink.report.format.plain import visible

_MOST = 24
"""Codes of one hold on a screen; csv and json have all."""

_WIDTH = 76


def hold_text(rows: Sequence[Mapping[str, Any]]) -> str:
    """Return the holds for people.

    Args:
        rows: one per thing held, as `OpenLedger.holds` gives them.
    """
    holds: dict[str, list[Mapping[str, Any]]] = {}
    for row in rows:
        holds.setdefault(row["hold"], []).append(row)
    open_ones = sum(items[0]["lifted_seq"] is None for items in holds.values())
    parts = [_summary(open_ones, len(holds) - open_ones, rows)]
    for items in holds.values():
        parts += ["", *_hold(items)]
    return "\n".join(parts) + "\n"


def _summary(open_ones: int, lifted: int, rows: Iterable[Mapping[str, Any]]) -> str:
    held = len({row["subject"] for row in rows if row["lifted_seq"] is None})
    more = f"; {counted(lifted, 'lifted hold')} shown as well" if lifted else ""
    if not open_ones:
        return f"Nothing is on hold{more}."
    return f"{counted(open_ones, 'open hold')} on {counted(held, 'code')}{more}."


def _hold(items: Sequence[Mapping[str, Any]]) -> Iterator[str]:
    first = items[0]
    yield f"{first['hold']}  {visible(first['reason'] or 'no reason given')}"
    lifted = "" if first["lifted_seq"] is None else f", lifted by entry {first['lifted_seq']}"
    by = f" by {first['person']}" if first["person"] else " by the station"
    yield f"  because of {visible(first['cause'])}, placed{by}, entry {first['seq']}{lifted}"
    named = ", ".join(_item(item) for item in items[:_MOST])
    more = f" and {len(items) - _MOST} more (--format csv lists each)" if len(items) > _MOST else ""
    yield from textwrap.wrap(
        f"{counted(len(items), 'code')} held: {named}{more}",
        _WIDTH,
        initial_indent="  ",
        subsequent_indent="    ",
        break_long_words=False,
        break_on_hyphens=False,
    )


def _item(item: Mapping[str, Any]) -> str:
    subject = visible(item["subject"])
    return subject if item["first"] is None else f"{subject} strokes {item['first']}-{item['last']}"

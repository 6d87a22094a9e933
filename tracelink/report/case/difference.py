"""How a scope differs from an earlier one, for the terminal and for programs."""

from collections.abc import Sequence
from typing import Any

from tracelink.genealogy.case.compare_scopes import ContainerDiffers, ScopeDifference, StrokesDiffer, Way
from tracelink.ledger.count_words import counted, signed, words_of_all
from tracelink.report.format.disc_columns import worded
from tracelink.report.format.plain import visible
from tracelink.report.format.render import render
from tracelink.report.format.table import Cell, Column, Kind

DIFFERENCE_COLUMNS = (
    Column("way", "difference"),
    Column("what", "of"),
    Column("code", "lot or container"),
    Column("lot", "lot"),
    Column("strokes", "strokes", Kind.TEXT),
    Column("discs", "discs", Kind.COUNT),
    Column("before", "before"),
    Column("now", "now"),
    Column("where", "where now", Kind.TEXT),
    Column("reason", "why", Kind.TEXT),
)
"""For programs: strokes and containers in one list."""

_STROKES = [
    Column("way", "difference"),
    Column("lot", "lot"),
    Column("strokes", "strokes", Kind.TEXT),
    Column("discs", "discs", Kind.COUNT),
    Column("before", "before"),
    Column("now", "now"),
    Column("reason", "why", Kind.TEXT),
]
_CONTAINERS = [
    Column("way", "difference"),
    Column("code", "container"),
    Column("lot", "lot"),
    Column("before", "affected before"),
    Column("now", "now"),
    Column("where", "where"),
    Column("reason", "why", Kind.TEXT),
]
_SHOWN = 40
"""Rows of containers on a screen; csv and json have all."""


def difference_rows(found: ScopeDifference) -> list[dict[str, Cell]]:
    """Return one row per difference, keys of `DIFFERENCE_COLUMNS`: what came in first, what went out last."""
    rows = [_strokes_row(one) for one in found.strokes] + [_container_row(one) for one in found.containers]
    order = [way.value for way in Way]
    return sorted(rows, key=lambda row: (row["what"] != "strokes", order.index(str(row["way"]))))


def _strokes_row(one: StrokesDiffer) -> dict[str, Cell]:
    return {
        "way": one.way.value,
        "what": "strokes",
        "code": one.lot,
        "lot": one.lot,
        "strokes": str(one.strokes),
        "discs": len(one.strokes),
        "before": one.before,
        "now": one.now,
        "where": "",
        "reason": one.reason,
    }


def _container_row(one: ContainerDiffers) -> dict[str, Cell]:
    return {
        "way": one.way.value,
        "what": one.kind,
        "code": one.code,
        "lot": one.lot,
        "strokes": "",
        "discs": one.now[1] - one.before[1],
        "before": _bounds(one.before),
        "now": _bounds(one.now),
        "where": one.where or one.where_before,
        "reason": one.reason,
    }


def _bounds(bounds: tuple[int, int]) -> str:
    return str(bounds[0]) if bounds[0] == bounds[1] else f"{bounds[0]} to {bounds[1]}"


def difference_json(found: ScopeDifference) -> dict[str, Any]:
    """Return the difference as plain data; strokes are lists of [first, last]."""
    return {
        "heads": {"before": found.heads[0], "now": found.heads[1]},
        "differs": found.differs,
        "total": {
            "before": {"least": found.total_before.least, "most": found.total_before.most},
            "now": {"least": found.total_now.least, "most": found.total_now.most},
        },
        "strokes": [
            {
                "way": one.way.value,
                "lot": one.lot,
                "strokes": [[span.first, span.last] for span in one.strokes.spans],
                "before": one.before,
                "now": one.now,
                "reason": one.reason,
            }
            for one in found.strokes
        ],
        "containers": [
            {
                "way": one.way.value,
                "code": one.code,
                "kind": one.kind,
                "lot": one.lot,
                "before": list(one.before),
                "now": list(one.now),
                "where_before": one.where_before,
                "where": one.where,
                "reason": one.reason,
            }
            for one in found.containers
        ],
        "gaps": {"new": list(found.gaps_new), "gone": list(found.gaps_gone)},
        "contradictions": {"new": list(found.contradictions_new), "gone": list(found.contradictions_gone)},
    }


def difference_text(found: ScopeDifference, before: str, now: str, since: Sequence[str] = ()) -> str:
    """Return the difference for a screen.

    Args:
        found: the difference.
        before: what the earlier scope is called.
        now: what the later one is called.
        since: sentences on the evidence that was recorded between the two.
    """
    first, last = found.heads
    between = f"{before} (records up to entry {first}) and {now} (up to entry {last})"
    if not found.differs:
        return f"No difference between {between}.\n"
    parts = [f"Difference between {between}", _totals(found)]
    if since:
        parts += ["", "Evidence recorded in between", *(f"  - {visible(text)}" for text in since)]
    rows = difference_rows(found)
    strokes = [row for row in rows if row["what"] == "strokes"]
    containers = [row for row in rows if row["what"] != "strokes"]
    words = words_of_all(one.lot for one in found.strokes)
    columns = worded(_STROKES, words)
    parts += ["", words.numbers.capitalize(), render(strokes, columns, "table").rstrip("\n")]
    parts += ["", "Containers", render(containers[:_SHOWN], _CONTAINERS, "table").rstrip("\n")]
    if len(containers) > _SHOWN:
        parts.append(f"{len(containers) - _SHOWN} more; --format csv lists each.")
    for title, sentences in (
        ("Gaps that are new", found.gaps_new),
        ("Gaps that are gone", found.gaps_gone),
        ("Contradictions that are new", found.contradictions_new),
        ("Contradictions that are gone", found.contradictions_gone),
    ):
        if sentences:
            parts += ["", title, *(f"  - {sentence}" for sentence in sentences)]
    return "\n".join(parts) + "\n"


def _totals(found: ScopeDifference) -> str:
    counts = dict.fromkeys(Way, 0)
    for one in found.strokes:
        counts[one.way] += len(one.strokes)
    said = ", ".join(
        f"{counted(counts[way], words_of_all(one.lot for one in found.strokes).one)} {way.value}"
        for way in Way
        if counts[way]
    )
    before, now = found.total_before, found.total_now
    return (
        f"Affected at least {before.least} -> {now.least} ({signed(now.least - before.least)}), at most "
        f"{before.most} -> {now.most} ({signed(now.most - before.most)})." + (f" {said}." if said else "")
    )

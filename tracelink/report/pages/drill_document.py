"""The report of a drill: as text, as plain data, and as a document for page and PDF."""

from __future__ import annotations

from typing import Any

from tracelink.report.format.document import (
    Block,
    Bullets,
    Document,
    FactList,
    FramedNote,
    Lines,
    Section,
    TableBlock,
    TextBlock,
)
from tracelink.report.format.grids import GridCell, grid
from tracelink.report.format.plain import counted, imprint, signed, visible
from tracelink.report.format.render import Cell, Column, render
from tracelink.services.drill import Drill

STEP_COLUMNS = (
    Column("step", "step"),
    Column("ms", "milliseconds", number=True),
    Column("found", "found"),
    Column("asked", "the same by command"),
)
HELD_COLUMNS = (
    Column("seq", "entry", number=True),
    Column("seed", "seed", number=True),
    Column("what", "drawn from"),
    Column("subject", "drawn"),
    Column("back_ms", "back ms", number=True),
    Column("forward_ms", "forward ms", number=True),
    Column("contain_ms", "contain ms", number=True),
    Column("balance_ms", "balance ms", number=True),
    Column("gaps", "gaps", number=True),
    Column("difference", "difference", number=True),
    Column("lots_off", "lots off", number=True),
    Column("limit_minutes", "minutes allowed", number=True),
)
_LOTS = (
    Column("lot", "lot"),
    Column("pressed", "pressed", number=True),
    Column("difference", "difference", number=True),
    Column("off", "first at"),
)
_CONSIGNEES = (Column("consignee", "consignee"), Column("discs", "discs of these lots", number=True))
CAUTION = (
    "A drill times the records and this machine, not the people: who was reached and how long that took is for "
    "them to write down. It is an exercise on the records up to the entry named, and decides nothing."
)


def step_rows(drill: Drill) -> list[dict[str, Cell]]:
    """Return a row a step and one for all together, keys of `STEP_COLUMNS`."""
    rows: list[dict[str, Cell]] = [
        {"step": step.name, "ms": step.ms, "found": step.found, "asked": step.asked} for step in drill.steps
    ]
    return [*rows, {"step": "together", "ms": drill.ms, "found": "", "asked": ""}]


def _lot_rows(drill: Drill) -> list[dict[str, Cell]]:
    return [
        {"lot": lot.lot, "pressed": lot.pressed, "difference": lot.difference, "off": lot.off}
        for lot in drill.lots
    ]


def _consignee_rows(drill: Drill) -> list[dict[str, Cell]]:
    return [{"consignee": name, "discs": discs} for name, discs in drill.consignees]


def _facts(drill: Drill) -> list[tuple[str, str]]:
    return [
        ("Drawn", f"{drill.what} {drill.subject}, of {drill.among}, with seed {drill.seed}"),
        ("Contained as if at fault", f"stamper {drill.cause}, shape intermittent (clears nothing)"),
        ("Discs of these lots", f"{drill.discs}; in no place by the records: {signed(drill.unaccounted)}"),
        (
            "Differences of the balances",
            f"{signed(drill.difference)} together; lots that are off: {drill.lots_off}",
        ),
        ("Gaps and contradictions", str(len(drill.gaps))),
        (
            "Time",
            (
                f"{drill.ms / 1000:.3f} s of the machine; an exercise with people may take {drill.limit_minutes} minutes "
                f"({drill.limit_source})"
            ),
        ),
    ]


def drill_text(drill: Drill) -> str:
    """Return the report for a screen or a text file."""
    parts = ["Drill", *(f"{name}: {visible(said)}" for name, said in _facts(drill))]
    for title, rows, columns in (
        ("Steps", step_rows(drill), STEP_COLUMNS),
        ("Balance of the lots", _lot_rows(drill), _LOTS),
        ("Consignees that would be told", _consignee_rows(drill), _CONSIGNEES),
    ):
        parts += ["", title, render(rows, columns, "table").rstrip("\n")]
    if drill.gaps:
        parts += ["", "Gaps and contradictions", *(f"  - {visible(gap)}" for gap in drill.gaps)]
    seq, digest = drill.head
    return "\n".join([*parts, "", f"Records up to entry {seq} ({digest[:16]}...).", CAUTION]) + "\n"


def drill_json(drill: Drill) -> dict[str, Any]:
    """Return the report as plain data; times in milliseconds."""
    return {
        "seed": drill.seed,
        "what": drill.what,
        "subject": drill.subject,
        "among": drill.among,
        "cause": drill.cause,
        "steps": step_rows(drill)[:-1],
        "ms": drill.ms,
        "lots": _lot_rows(drill),
        "difference": drill.difference,
        "lots_off": drill.lots_off,
        "consignees": _consignee_rows(drill),
        "discs": drill.discs,
        "unaccounted": drill.unaccounted,
        "gaps": list(drill.gaps),
        "limit": {"minutes": drill.limit_minutes, "source": drill.limit_source},
        "head": {"seq": drill.head[0], "hash": drill.head[1]},
    }


def drill_document(drill: Drill, *, at: str) -> Document:
    """Return the report as a document.

    Args:
        drill: the drill.
        at: when it was held, RFC 3339 with offset.
    """
    return Document(
        kind="Drill: a trace exercise on the records",
        title=f"Drill on {drill.what} {drill.subject}",
        imprint=imprint(drill.head, at, whole=True),
        footer=imprint(drill.head, at),
        sections=(
            Section(
                "What was drawn and what came out", (FactList(tuple(_facts(drill))), FramedNote(CAUTION))
            ),
            Section("Steps", (_steps(drill),)),
            Section("Balance of the lots", (_lots(drill),)),
            Section("Consignees that would be told", (_consignees(drill),)),
            Section("Gaps and contradictions", _gaps(drill)),
            Section(
                "For those who held it",
                (
                    TextBlock("What the records cannot tell, to be written down by those who took part."),
                    Lines(
                        ("People taking part", "Begun at", "Last consignee reached at", "Name and signature")
                    ),
                ),
            ),
        ),
    )


def _steps(drill: Drill) -> TableBlock:
    rows: list[list[GridCell]] = [[step.name, step.ms, step.found, step.asked] for step in drill.steps]
    foot: list[list[GridCell]] = [["together", drill.ms, "", ""]]
    columns = [("step", ""), ("milliseconds", "n"), ("found", "w"), ("the same by command", "w")]
    return TableBlock("Times of this machine", grid(columns, rows, foot))


def _lots(drill: Drill) -> TableBlock:
    rows: list[list[GridCell]] = [
        [lot.lot, lot.pressed, signed(lot.difference), lot.off] for lot in drill.lots
    ]
    foot: list[list[GridCell]] = [["together", drill.discs, signed(drill.difference), ""]]
    columns = [("lot", ""), ("pressed", "n"), ("difference", "n"), ("first at", "w")]
    return TableBlock("Each difference with its sign", grid(columns, rows, foot))


def _consignees(drill: Drill) -> TableBlock:
    rows: list[list[GridCell]] = [[name, discs] for name, discs in drill.consignees]
    columns = [("consignee", "w"), ("discs of these lots", "n")]
    return TableBlock(
        "Who has them", grid(columns, rows), "Nobody outside the plant has any, by the records."
    )


def _gaps(drill: Drill) -> tuple[Block, ...]:
    if drill.gaps:
        return (Bullets(drill.gaps),)
    return (
        FramedNote(
            f"No gap was noticed in the records of {counted(len(drill.lots), 'lot')}; what nobody recorded cannot be noticed."
        ),
    )

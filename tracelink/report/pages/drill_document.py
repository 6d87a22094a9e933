"""The report of a drill: as text, as plain data, and as a document for page and PDF."""

from __future__ import annotations

from tracelink.facts.held_drill import Drill
from tracelink.ledger.count_words import (
    OF_DISCS,
    PieceWords,
    counted,
    grouped,
    kind_words,
    signed,
    words_of_all,
)
from tracelink.report.format.disc_columns import in_words, worded
from tracelink.report.format.document import (
    BigFigures,
    Block,
    Bullets,
    Document,
    FactList,
    FramedNote,
    Lines,
    Section,
    TextBlock,
)
from tracelink.report.format.plain import imprint, visible
from tracelink.report.format.render import render
from tracelink.report.format.table import Cell, Column, Kind, Table, table

STEP_COLUMNS = (
    Column("step", "step"),
    Column("ms", "time", Kind.COUNT, "ms"),
    Column("found", "found", Kind.TEXT),
    Column("asked", "the same by command", Kind.TEXT),
)
_STEPS = (STEP_COLUMNS[0], Column("seconds", "time", Kind.MEASURE, "s"), *STEP_COLUMNS[2:])
"""For people: seconds, not milliseconds."""
HELD_COLUMNS = (
    Column("seq", "entry", Kind.ENTRY),
    Column("seed", "seed", Kind.NUMBER),
    Column("what", "drawn from"),
    Column("subject", "drawn"),
    Column("back_ms", "back", Kind.COUNT, "ms"),
    Column("forward_ms", "forward", Kind.COUNT, "ms"),
    Column("contain_ms", "contain", Kind.COUNT, "ms"),
    Column("balance_ms", "balance", Kind.COUNT, "ms"),
    Column("gaps", "gaps", Kind.COUNT),
    Column("difference", "difference", Kind.DIFFERENCE),
    Column("lots_off", "lots off", Kind.COUNT),
    Column("limit_minutes", "minutes allowed", Kind.COUNT),
)
_LOTS = (
    Column("lot", "lot"),
    Column("pressed", "pressed", Kind.COUNT),
    Column("difference", "difference", Kind.DIFFERENCE),
    Column("off", "first off at", Kind.TEXT),
)
_CONSIGNEES = (
    Column("consignee", "consignee", Kind.TEXT),
    Column("discs", "discs of these lots", Kind.COUNT),
)
CAUTION = (
    "A drill times the records and this machine, not the people: who was reached and how long that took is for "
    "them to write down. It is an exercise on the records up to the entry named, and decides nothing."
)


def step_rows(drill: Drill) -> list[dict[str, Cell]]:
    """Return one row per step and one for all together, keys of `STEP_COLUMNS`."""
    return [
        *(_step_row(step.name, step.ms, step.found, step.asked) for step in drill.steps),
        _step_row("together", drill.ms, "", ""),
    ]


def _step_row(name: str, ms: int, found: str, asked: str) -> dict[str, Cell]:
    return {"step": name, "ms": ms, "seconds": f"{ms / 1000:.2f}", "found": found, "asked": asked}


def _lot_columns(drill: Drill) -> tuple[Column, ...]:
    """The column of what is off only where something is."""
    off = any(lot.off for lot in drill.lots)
    return tuple(column for column in _LOTS if off or column.key != "off")


def _figures(drill: Drill) -> BigFigures:
    """What a drill is held for, in four figures."""
    words = _words(drill)
    return BigFigures(
        (
            (grouped(drill.discs), f"{words.many} of these {words.wholes}"),
            (signed(drill.unaccounted), _not_on(words)),
            (grouped(len(drill.consignees)), "consignees to be told"),
            (f"{drill.ms / 1000:.2f} s", "for the records to answer"),
        )
    )


def _lot_rows(drill: Drill) -> list[dict[str, Cell]]:
    return [
        {"lot": lot.lot, "pressed": lot.pressed, "difference": lot.difference, "off": lot.off}
        for lot in drill.lots
    ]


def _consignee_rows(drill: Drill) -> list[dict[str, Cell]]:
    return [{"consignee": name, "discs": discs} for name, discs in drill.consignees]


def _words(drill: Drill) -> PieceWords:
    return words_of_all([lot.lot for lot in drill.lots] or [drill.cause])


def _not_on(words: PieceWords) -> str:
    return "in no recorded place" if words is OF_DISCS else words.not_on


def _contained(drill: Drill) -> str:
    """What was contained, in a word."""
    if drill.what != "carton":
        return kind_words(drill.what)
    return "reel" if drill.cause[:1] == "F" else "stamper"


def _facts(drill: Drill) -> list[tuple[str, str]]:
    words = _words(drill)
    return [
        ("Drawn", f"{kind_words(drill.what)} {drill.subject}, of {drill.among}, with seed {drill.seed}"),
        (
            "Contained as if at fault",
            f"{_contained(drill)} {drill.cause}, shape intermittent (clears nothing)",
        ),
        (
            f"{words.many.capitalize()} of these {words.wholes}",
            f"{grouped(drill.discs)}; {_not_on(words)}: {signed(drill.unaccounted)}",
        ),
        (
            "Differences of the balances",
            f"{signed(drill.difference)} together; {words.wholes} that are off: {drill.lots_off}",
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
    words = _words(drill)
    lead = "; ".join(f"{figure} {what}" for figure, what in _figures(drill).figures)
    parts = [f"Drill: {lead}", "", *(f"{name}: {visible(said)}" for name, said in _facts(drill))]
    for title, rows, columns in (
        ("Steps", step_rows(drill), _STEPS),
        (f"Balance of the {words.wholes}", _lot_rows(drill), worded(_lot_columns(drill), words)),
        ("Consignees that would be told", _consignee_rows(drill), worded(_CONSIGNEES, words)),
    ):
        parts += ["", title, render(rows, columns, "table").rstrip("\n")]
    if drill.gaps:
        parts += ["", "Gaps and contradictions", *(f"  - {visible(gap)}" for gap in drill.gaps)]
    seq, digest = drill.head
    return "\n".join([*parts, "", f"Records up to entry {seq} ({digest[:16]}...).", CAUTION]) + "\n"


def drill_document(drill: Drill, *, at: str) -> Document:
    """Return the report as a document.

    Args:
        drill: the drill.
        at: when it was held, RFC 3339 with offset.
    """
    return Document(
        kind="Drill: a trace exercise on the records",
        title=f"Drill on {kind_words(drill.what)} {drill.subject}",
        imprint=imprint(drill.head, at),
        footer=imprint(drill.head, at, whole=True),
        sections=(
            Section(
                "What was drawn and what came out",
                (_figures(drill), FactList(tuple(_facts(drill))), FramedNote(CAUTION)),
            ),
            Section("Steps", (_steps(drill),)),
            Section(f"Balance of the {_words(drill).wholes}", (in_words(_lots(drill), _words(drill)),)),
            Section("Consignees that would be told", (in_words(_consignees(drill), _words(drill)),)),
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


def _steps(drill: Drill) -> Table:
    *rows, foot = step_rows(drill)
    return table("", "Times of this machine", _STEPS, rows, foot=[foot])


def _lots(drill: Drill) -> Table:
    foot: dict[str, Cell] = {"lot": "together", "pressed": drill.discs, "difference": drill.difference}
    return table("", "Each difference with its sign", _lot_columns(drill), _lot_rows(drill), foot=[foot])


def _consignees(drill: Drill) -> Table:
    return table(
        "",
        "Who has them",
        _CONSIGNEES,
        _consignee_rows(drill),
        "According to the records, nobody outside the plant has any.",
    )


def _gaps(drill: Drill) -> tuple[Block, ...]:
    if drill.gaps:
        return (Bullets(drill.gaps),)
    return (
        FramedNote(
            f"No gap was noticed in the records of {counted(len(drill.lots), _words(drill).whole)}; what nobody recorded cannot be noticed."
        ),
    )

"""The causes of a question, looked up: which lives they have, and what is followed by place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from tracelink.errors import UsageError
from tracelink.genealogy.containment.by_place.spread import Touched
from tracelink.genealogy.containment.direct import DIRECT_KINDS, cartons_of
from tracelink.genealogy.model.cause_kinds import node_of
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.shapes import Shape
from tracelink.genealogy.model.step_facts import EQUIPMENT, STEP
from tracelink.genealogy.suspects.activity import PERSON, PRESS, STATION, Activity, Period, doings_of
from tracelink.genealogy.suspects.carry_over import Carried
from tracelink.genealogy.suspects.closure import BlendedDiscs, closure_of
from tracelink.genealogy.suspects.combine import CauseAxis
from tracelink.genealogy.suspects.shape_of_cause import read_shape
from tracelink.genealogy.suspects.step_reach import StepReach, Stood, reach_of
from tracelink.ledger.count_words import counted, few, kind_words, piece_words


@dataclass(frozen=True, slots=True)
class CauseQuery:
    """What is asked: every clause must hold, and of a clause any of its causes."""

    clauses: tuple[tuple[str, ...], ...]
    """Codes; the first clause holds the cause named first."""
    period: Period | None = None
    """When, for stations and badges."""

    def __str__(self) -> str:
        parts = [" or ".join(clause) for clause in self.clauses]
        return (
            parts[0]
            if len(parts) == 1
            else " and ".join(f"({part})" if " or " in part else part for part in parts)
        )


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause, looked up."""

    code: str
    """Its code."""
    kind: str
    """Kind of the cause, such as stamper or press."""
    lives: tuple[CauseAxis, ...]
    """What of it is followed by stroke; none that touched no {piece_words(code).one}."""
    tools: tuple[str, ...]
    """It and every tool grown from it, or the tools it made."""
    carried: tuple[Carried, ...]
    """For a compound lot: what was left of it in hoppers."""
    touched: Touched | None
    """What of it is followed by place; None if nothing is."""
    notes: tuple[str, ...]
    """Sentences on how it was read."""
    blended: tuple[BlendedDiscs, ...] = ()
    """For a compound lot: discs pressed from what it was blended into."""
    stood: tuple[Stood, ...] = ()
    """For steps: spindles that went in when it was not known which strokes stood there; `touched` has them too."""


def is_doer(records: Records, code: str, period: Period | None) -> str | None:
    """Whether a code is asked about for what it did: its kind, or None.

    A press without a period is asked about as the thing that pressed, with its own life.
    """
    area = records.station_area(code)
    if area is not None and (period is not None or area != PRESS):
        return STATION
    return PERSON if records.person_name(code) is not None else None


def is_followed_by_acts(records: Records, code: str, period: Period | None) -> bool:
    """Whether a code is asked about for what happened there: a station, a badge, a process step or equipment."""
    return is_doer(records, code, period) is not None or _process_kind(records, code) is not None


def _process_kind(records: Records, code: str) -> str | None:
    if records.step(code) is not None:
        return STEP
    return EQUIPMENT if records.equipment(code) is not None else None


def look_up(records: Records, code: str, shape: Shape, period: Period | None) -> Cause:
    """Look a cause up.

    Args:
        records: the records.
        code: its code.
        shape: as asked for.
        period: when, if it is a station or a badge.

    Raises:
        UnknownCode: no record names the code.
        UsageError: a station or badge under which nothing was ever recorded.
    """
    doer = is_doer(records, code, period)
    if doer is not None:
        return _doer(records, code, doer, shape, period or Period())
    kind = node_of(records, code).kind
    if kind in (STEP, EQUIPMENT):
        return _of_steps(records, code, kind, shape, period or Period())
    if kind in DIRECT_KINDS:
        cartons = cartons_of(records, code, kind)
        entered = tuple(move for place in cartons for move in records.movements_into(place))
        note = f"The discs in {kind} {code} are suspect by where they were and not by stroke."
        return Cause(code, kind, (), (), (), Touched(entered=entered), (note,))
    closure = closure_of(records, code)
    read_as, reasons = read_shape(records, closure, shape)
    lives = tuple(CauseAxis(code, axis, read_as) for axis in closure.axes if axis.stretches)
    notes = [*reasons, *closure.hoppers.gaps]
    if not lives:
        notes.append(
            f"{kind_words(kind).capitalize()} {code} is in the records, but touched no {piece_words(code).one}."
        )
    return Cause(
        code,
        kind,
        lives,
        closure.tools,
        closure.hoppers.carried,
        None,
        tuple(notes),
        closure.blended,
    )


def _of_steps(records: Records, code: str, kind: str, shape: Shape, period: Period) -> Cause:
    """Look up a process step, or equipment in a period.

    Args:
        records: the records.
        code: its code.
        kind: `STEP` or `EQUIPMENT`.
        shape: as asked for; discs that went through tell nothing about each other.
        period: when, for equipment.
    """
    reach = reach_of(records, code, kind, period)
    lives = [CauseAxis(code, reach.discs, Shape.INTERMITTENT)]
    notes: list[str] = []
    for closure in reach.closures:
        read_as, reasons = read_shape(records, closure, shape)
        lives += [CauseAxis(code, axis, read_as) for axis in closure.axes]
        notes += [*reasons, *closure.hoppers.gaps]
    return Cause(
        code,
        kind,
        tuple(life for life in lives if life.axis.stretches),
        tuple(dict.fromkeys(tool for closure in reach.closures for tool in closure.tools)),
        tuple(one for closure in reach.closures for one in closure.hoppers.carried),
        Touched(stood=tuple((one.seq, one.place) for one in reach.stood)) if reach.stood else None,
        tuple(dict.fromkeys([_told_of_steps(code, kind, reach, period), *notes])),
        tuple(one for closure in reach.closures for one in closure.blended),
        reach.stood,
    )


def _told_of_steps(code: str, kind: str, reach: StepReach, period: Period) -> str:
    when = f", {period}" if kind == EQUIPMENT else ""
    return (
        f"{kind_words(kind).capitalize()} {code}{when}: {counted(len(reach.steps), 'step')} with "
        f"{counted(reach.items, 'thing')}. Which disc met which place in it is not recorded: what was in it "
        "between its scan and the end of the step is taken in whole."
    )


def _doer(records: Records, code: str, kind: str, shape: Shape, period: Period) -> Cause:
    did = doings_of(records, code, kind, period)
    alone = Shape.INTERMITTENT if shape is Shape.WINDOW else shape
    lives = [CauseAxis(code, did.pressed, alone if did.pressed.ordered else Shape.INTERMITTENT)]
    lives += [CauseAxis(code, did.handled, Shape.INTERMITTENT)]
    grown = Shape.WHOLE_LIFE if alone is Shape.FROM_ONSET else alone
    lives += [CauseAxis(code, axis, grown) for axis in did.made]
    touched = Touched(did.entered, did.unsealed, did.stood)
    placed = bool(did.entered or did.unsealed or did.stood)
    return Cause(
        code,
        kind,
        tuple(life for life in lives if life.axis.stretches),
        did.tools,
        (),
        touched if placed else None,
        tuple(_told(code, kind, did, period)),
    )


def _told(code: str, kind: str, did: Activity, period: Period) -> Iterator[str]:
    yield (
        f"{kind_words(kind).capitalize()} {code}, {period}: {counted(did.acts, 'entry', 'entries')}. Times are those of entries; what may have fallen into "
        f"the period is taken in whole, so that a reading of a counter brings all strokes since the one before, and "
        f"a run of matches all of its discs."
    )
    if did.pressed.stretches:
        total = len(did.pressed.positions)
        yield f"Pressed then, or counted as pressed: {counted(total, 'disc')}."
    if did.tools:
        yield f"Tools made then: {few(did.tools)}; they and what they pressed are followed."
    if kind == PERSON:
        yield "Judgements, releases and holds under the badge touch no disc and are not followed."


def require_sense(causes: Sequence[Cause], shape: Shape, asked: CauseQuery) -> None:
    """Refuse a question that says nothing.

    Raises:
        UsageError: a period without a station or badge, or a window that ends before it begins.
    """
    doers = [cause for cause in causes if cause.kind in (STATION, PERSON, EQUIPMENT)]
    if asked.period is not None and not doers:
        kinds = ", ".join(dict.fromkeys(cause.kind for cause in causes))
        raise UsageError(
            f"--from and --to say when a station or a person did something, or what was in equipment: expected one of them, found {kinds}"
        )
    if shape is Shape.WINDOW and (asked.period is None or len(doers) < len(causes)):
        raise UsageError(
            "shape window with several causes: expected only stations, equipment and persons with --from or --to, which is the "
            "window"
        )

"""What a station, or the person with a badge, did in a period.

Times are those of entries, and an entry often stands for a while: a counter reading for all strokes since the
reading before, a run of matches for its first scan to its last. Whatever may have fallen into the period is taken
in, so the first and last discs may lie outside it; nothing that fell into it is left out.

Discs are followed by stroke where strokes are known (pressed, stacked, drawn, made with a tool grown then) and by
place where they are not (packed, put on a pallet, loaded).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from tracelink.errors import UsageError
from tracelink.genealogy.model.facts import ActFact, MovementFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.closure import Axis, Stretch, closure_of
from tracelink.ledger.kinds.press import PressSetUp, PressStarted
from tracelink.ledger.times import instant

STATION, PERSON = "station", "person"
"""Kinds of causes that are followed by what they did."""

PRESS = "press"
"""The area of a station that makes discs."""

_BEGINS = frozenset({PressSetUp.kind, PressStarted.kind})
"""Entries after which strokes may be counted that no reading has shown yet."""


@dataclass(frozen=True, slots=True)
class Period:
    """A stretch of time, both ends included."""

    since: str | None = None
    """RFC 3339 with offset; None for the beginning of the records."""
    until: str | None = None
    """RFC 3339 with offset; None for now."""

    def meets(self, begin: str | None, end: str | None) -> bool:
        """Return whether something that lasted from `begin` to `end` may have fallen into it; None is not known."""
        if self.since is not None and end is not None and instant(end) < instant(self.since):
            return False
        return self.until is None or begin is None or instant(begin) <= instant(self.until)

    def __str__(self) -> str:
        if self.since is None and self.until is None:
            return "at any time"
        return f"from {self.since or 'the beginning of the records'} to {self.until or 'now'}"


@dataclass(frozen=True, slots=True)
class Activity:
    """What was done, as far as it touched discs."""

    pressed: Axis
    """Discs pressed, in the order in which they were made; empty if none were."""
    handled: Axis
    """Other discs that are known by stroke."""
    made: tuple[Axis, ...]
    """The lives of stampers that are, or were grown from, tools made then."""
    tools: tuple[str, ...]
    """Those tools and what was grown from them."""
    entered: tuple[MovementFact, ...]
    """Movements of discs that nobody recorded by stroke."""
    unsealed: tuple[MovementFact, ...]
    """The same for matches that lie in the spool still."""
    stood: tuple[tuple[int, str], ...]
    """(entry, carton): cartons that were moved as they were, with all that was in them at that entry."""
    acts: int
    """Entries that met the period."""


def doings_of(records: Records, code: str, kind: str, period: Period) -> Activity:
    """Find what a station or a badge did.

    Args:
        records: the records.
        code: a station's or a badge's code.
        kind: `STATION` or `PERSON`.
        period: when.

    Raises:
        UsageError: it never did anything.
    """
    every = list(records.acts_at(code) if kind == STATION else records.acts_by(code))
    unsealed = records.unsealed(code)
    if not every and not unsealed:
        raise UsageError(f"{kind} {code} is known, but nothing was ever recorded there: it touched no disc")
    acts = [act for act in every if period.meets(act.since, act.at)]
    pressed = list(_pressed_by(records, code, kind, every, period))
    seen = _by_lot(pressed)
    handled = list(_handled(records, acts, kind, seen))
    tools = [act.tool for act in acts if act.tool is not None]
    closures = [closure_of(records, tool) for tool in tools]
    seqs = [act.seq for act in acts]
    return Activity(
        pressed=_laid_out(code, PRESS if kind == STATION else kind, pressed, ordered=kind == STATION),
        handled=_laid_out(code, kind, handled, ordered=False),
        made=tuple({axis.code: axis for closure in closures for axis in closure.axes}.values()),
        tools=tuple(dict.fromkeys(tool for closure in closures for tool in closure.tools)),
        entered=tuple(move for move in records.movements_in(seqs) if not _is_known(move)),
        unsealed=tuple(move for move in unsealed if period.meets(move.at, move.at)),
        stood=tuple(_stood(records, seqs)),
        acts=len(acts),
    )


def _pressed_by(
    records: Records, code: str, kind: str, acts: Sequence[ActFact], period: Period
) -> Iterator[tuple[str, StrokeSet]]:
    """Strokes pressed; the lab reads counters too, but presses nothing."""
    if kind == STATION:
        if records.station_area(code) == PRESS:
            yield from _pressed(records, acts, period, None)
        return
    for station in dict.fromkeys(act.station for act in acts if act.reading is not None and act.station):
        if records.station_area(station) == PRESS:
            yield from _pressed(records, records.acts_at(station), period, code)


def _pressed(
    records: Records, acts: Iterable[ActFact], period: Period, person: str | None
) -> Iterator[tuple[str, StrokeSet]]:
    """Strokes between the readings of one press; with a badge those that this person read."""
    counted: dict[str, int] = {}
    begun: str | None = None
    last: ActFact | None = None
    for act in acts:
        if act.reading is not None:
            lot, before = act.reading.lot, counted.get(act.reading.lot, 0)
            counted[lot] = act.reading.counter
            mine = person in (None, act.person) and period.meets(begun, act.at)
            if mine and act.reading.counter > before:
                yield lot, StrokeSet.between(before + 1, act.reading.counter)
            last = act
        if act.reading is not None or act.kind in _BEGINS:
            begun = act.at
    if last is None or last.reading is None or person not in (None, last.person):
        return
    # The lab may have read the counter since: those discs were pressed after the last reading here.
    fact = records.lot(last.reading.lot)
    if fact is not None and fact.pressed > last.reading.counter and period.meets(begun, None):
        yield last.reading.lot, StrokeSet.between(last.reading.counter + 1, fact.pressed)


def _handled(
    records: Records, acts: Sequence[ActFact], kind: str, seen: dict[str, StrokeSet]
) -> Iterator[tuple[str, StrokeSet]]:
    """Discs moved by their strokes, and what a person set a press up for; without those seen already."""
    seqs = [act.seq for act in acts]
    found = [
        (move.lot, StrokeSet.between(move.first, move.last))
        for move in records.movements_in(seqs)
        if _is_known(move) and move.first is not None and move.last is not None
    ]
    if kind == PERSON:
        found += [(segment.lot, segment.strokes) for segment in records.segments_begun(seqs)]
    for lot, strokes in found:
        rest = strokes - seen.get(lot, NO_STROKES)
        if rest:
            seen[lot] = seen.get(lot, NO_STROKES) | rest
            yield lot, rest


def _is_known(move: MovementFact) -> bool:
    return move.first is not None and move.last is not None and move.last - move.first + 1 == move.quantity


def _stood(records: Records, seqs: Sequence[int]) -> Iterator[tuple[int, str]]:
    """Cartons that were put somewhere, alone or on a pallet, with what they held then."""
    for nest in records.nests_in(seqs):
        inside = [nest.child]
        for code in inside:
            # The list grows while it is read: cartons of a pallet follow.
            inside.extend(
                one.child
                for one in records.children_in(code)
                if one.opened <= nest.opened and (one.closed is None or one.closed > nest.opened)
            )
            yield nest.opened, code


def _by_lot(parts: Iterable[tuple[str, StrokeSet]]) -> dict[str, StrokeSet]:
    found: dict[str, StrokeSet] = {}
    for lot, strokes in parts:
        found[lot] = found.get(lot, NO_STROKES) | strokes
    return found


def _laid_out(code: str, kind: str, parts: Iterable[tuple[str, StrokeSet]], *, ordered: bool) -> Axis:
    """Stretches end to end, in the order given."""
    stretches: list[Stretch] = []
    made = 0
    for lot, strokes in parts:
        stretches.append(Stretch(lot, strokes, made - strokes.first + 1))
        made += strokes.last - strokes.first + 1
    return Axis(code, kind, tuple(stretches), ordered)

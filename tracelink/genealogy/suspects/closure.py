"""Everything derived from a cause, as strokes of lots laid out along the cause's own life.

A stamper that is taken off and mounted again goes on counting: its strokes in two lots are one axis. Evidence
found in one lot therefore speaks about the other.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from math import ceil

from tracelink.genealogy.flow.follow import history_of, pressed_of
from tracelink.genealogy.model.cause_kinds import TOOL_KINDS, USED_KINDS, node_of
from tracelink.genealogy.model.facts import STAMPER, SegmentFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.strokes import NO_STROKES, StrokeSet
from tracelink.genealogy.suspects.blends import Blends, MaterialShare, blends_of
from tracelink.genealogy.suspects.carry_over import NO_HOPPER, Carried, Hoppers
from tracelink.genealogy.suspects.part_reach import PART_KINDS, parts_touched
from tracelink.ledger.count_words import in_percent

COMPOUND = "compound"
"""The kind of material that discs are pressed from."""

_ONE_THING = TOOL_KINDS | {"press", "lot", "reel"}
"""Causes whose strokes follow one another on one thing, so that a disc may speak about its neighbours."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Strokes of a lot that follow one another on an axis."""

    lot: str
    """The lot."""
    strokes: StrokeSet
    """The lot's strokes."""
    shift: int
    """Position on the axis minus stroke of the lot."""
    seq: int = 0
    """Journal sequence at which it began; 0 where the axis needs none."""
    positions: StrokeSet = field(init=False)
    """Where the strokes lie on the axis."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "positions", self.strokes.shifted(self.shift))


@dataclass(frozen=True, slots=True)
class Axis:
    """The life of one thing."""

    code: str
    """Whose life."""
    kind: str
    """Kind of the thing, such as stamper or press."""
    stretches: tuple[Stretch, ...]
    """Along the axis."""
    ordered: bool
    """True if neighbours on the axis were made one after the other by one thing."""
    _by_lot: dict[str, list[Stretch]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        by_lot: dict[str, list[Stretch]] = {}
        for stretch in self.stretches:
            by_lot.setdefault(stretch.lot, []).append(stretch)
        object.__setattr__(self, "_by_lot", by_lot)

    @property
    def positions(self) -> StrokeSet:
        """Every position that belongs to a known disc."""
        return StrokeSet.of(*(span for stretch in self.stretches for span in stretch.positions.spans))

    def position(self, lot: str, stroke: int) -> int | None:
        """Where a disc lies on the axis; None if the thing did not make it."""
        for stretch in self.of_lot(lot):
            if stroke in stretch.strokes:
                return stroke + stretch.shift
        return None

    def of_lot(self, lot: str) -> Sequence[Stretch]:
        """The stretches of one lot, along the axis."""
        return self._by_lot.get(lot, ())

    def lots(self, positions: StrokeSet) -> Iterator[tuple[str, StrokeSet]]:
        """The strokes of lots that lie at some positions, one pair per stretch that has any."""
        for stretch in self.stretches:
            met = stretch.positions & positions
            if met:
                yield stretch.lot, met.shifted(-stretch.shift)


def at_most(cause: str, share: MaterialShare) -> str:
    """Say how much of a cause a material can hold, rounded up."""
    return f"at most {in_percent(ceil(share.most * 1000) / 1000, 1)} is {cause}, blended in step {share.step}"


@dataclass(frozen=True, slots=True)
class BlendedDiscs:
    """Discs of one lot that were pressed from material that holds some of a compound lot."""

    cause: str
    """The compound lot."""
    share: MaterialShare
    """What they were pressed from, and how much of the cause it can hold."""
    lot: str
    """Their lot."""
    strokes: StrokeSet
    """The discs."""

    @property
    def reason(self) -> str:
        """Why the discs are possible, as a clause without a full stop."""
        return f"pressed from compound {self.share.material}, of which {at_most(self.cause, self.share)}"

    @property
    def share_permille(self) -> int:
        """The most of the cause in their material, in thousandths, rounded up."""
        return ceil(self.share.most * 1000)


@dataclass(frozen=True, slots=True)
class Closure:
    """What a cause touches."""

    cause: str
    """The code."""
    kind: str
    """Kind of the thing, such as stamper or press."""
    tools: tuple[str, ...]
    """The cause and every tool grown from it, if the cause is a tool."""
    axes: tuple[Axis, ...]
    """One for each stamper above which the cause stands, else one."""
    hoppers: Hoppers = NO_HOPPER
    """For a compound lot: what of it was left in hoppers; those discs are on its axis as well."""
    blended: tuple[BlendedDiscs, ...] = ()
    """For a compound lot: discs pressed from what it was blended into, which are on its axis as well."""
    lots: tuple[str, ...] = field(init=False)
    """The lots touched, each once."""

    def __post_init__(self) -> None:
        lots = dict.fromkeys(stretch.lot for axis in self.axes for stretch in axis.stretches)
        object.__setattr__(self, "lots", tuple(lots))


def closure_of(records: Records, cause: str) -> Closure:
    """Find everything derived from a cause.

    Args:
        records: the records.
        cause: a tool, press, compound lot, label lot, lot, spindle or sample. For cartons and what is built of
            them see direct.py: which strokes they hold is not what makes them suspect.

    Raises:
        UnknownCode: no record names the code.
    """
    kind = node_of(records, cause).kind
    if kind in TOOL_KINDS:
        tools = grown_from(records, cause)
        axes = [_stamper_axis(records, code) for code in tools if _is_stamper(records, code)]
        return Closure(cause, kind, tools, tuple(axes))
    if kind == COMPOUND:
        return _of_material(records, cause)
    if kind in USED_KINDS:
        # A stamper that no tool record describes is still known by the segments that name it.
        axis = (
            _stamper_axis(records, cause)
            if kind == STAMPER
            else _counted(cause, kind, records.segments_with(cause))
        )
        return Closure(cause, kind, (cause,) if kind == STAMPER else (), (axis,))
    if kind in PART_KINDS:
        return Closure(cause, kind, (), (_laid_out(cause, kind, parts_touched(records, cause, kind)),))
    if kind == "lot":
        stretch = Stretch(cause, pressed_of(records, cause), 0)
        return Closure(cause, kind, (), (Axis(cause, kind, (stretch,), ordered=True),))
    return Closure(cause, kind, (), (_place_axis(records, cause, kind),))


def grown_from(records: Records, code: str) -> tuple[str, ...]:
    """Return a tool and all tools that were grown from it, itself first."""
    found, level = [code], [code]
    while level:
        records.look_up_tools(level)
        level = [child.code for tool in level for child in records.children_of(tool)]
        found += level
    return tuple(found)


def _is_stamper(records: Records, code: str) -> bool:
    tool = records.tool(code)
    return tool is not None and tool.kind == STAMPER


def _stamper_axis(records: Records, code: str) -> Axis:
    stretches: list[Stretch] = []
    for segment in records.segments_with(code):
        if segment.strokes:
            life = segment.life_a if segment.stamper_a == code else segment.life_b
            stretches.append(Stretch(segment.lot, segment.strokes, life - segment.first + 1, segment.seq))
    stretches.sort(key=lambda stretch: stretch.positions.first)
    return Axis(code, STAMPER, tuple(stretches), ordered=True)


def _counted(code: str, kind: str, segments: Iterable[SegmentFact]) -> Axis:
    """Lay segments end to end in the order they were begun: a press makes one disc after the other."""
    stretches: list[Stretch] = []
    made = 0
    for segment in sorted(segments, key=lambda segment: (segment.seq, segment.lot, segment.first)):
        if segment.strokes:
            stretches.append(Stretch(segment.lot, segment.strokes, made - segment.first + 1, segment.seq))
            made += len(segment.strokes)
    return Axis(code, kind, tuple(stretches), ordered=kind in _ONE_THING)


def _of_material(records: Records, cause: str) -> Closure:
    """A compound lot: what was pressed from it, from what was left of it in hoppers, and from what it was blended into."""
    blends = blends_of(records, cause)
    blended = [
        BlendedDiscs(cause, share, segment.lot, segment.strokes)
        for share in blends.shares[1:]
        for segment in records.segments_with(share.material)
        if segment.strokes
    ]
    hoppers = _hoppers(cause, blends)
    axis = _counted(cause, COMPOUND, records.segments_with(cause))
    return Closure(
        cause, COMPOUND, (), (_with_more(axis, [*hoppers.carried, *blended]),), hoppers, tuple(blended)
    )


def _hoppers(cause: str, blends: Blends) -> Hoppers:
    carried: list[Carried] = []
    for share, hopper in zip(blends.shares, blends.hoppers, strict=True):
        blend = "" if share.step is None else f"; of it {at_most(cause, share)}"
        most = ceil(share.most * 1000)
        carried += [replace(one, blend=blend, blend_permille=most) for one in hopper.carried]
    gaps = dict.fromkeys(gap for hopper in blends.hoppers for gap in hopper.gaps)
    return Hoppers(tuple(carried), tuple(gaps))


def _with_more(axis: Axis, more: Iterable[Carried | BlendedDiscs]) -> Axis:
    """The discs that hold some of it come after those that were made with the lot itself, each disc once."""
    stretches = list(axis.stretches)
    made = max((stretch.positions.last for stretch in stretches), default=0)
    laid = dict.fromkeys((stretch.lot for stretch in stretches), NO_STROKES)
    for stretch in stretches:
        laid[stretch.lot] |= stretch.strokes
    for one in more:
        new = one.strokes - laid.get(one.lot, NO_STROKES)
        if new:
            stretches.append(Stretch(one.lot, new, made - new.first + 1))
            made += new.last - new.first + 1
            laid[one.lot] = laid.get(one.lot, NO_STROKES) | new
    return Axis(axis.code, axis.kind, tuple(stretches), axis.ordered)


def _laid_out(code: str, kind: str, touched: Iterable[tuple[str, StrokeSet]]) -> Axis:
    """Lay strokes of lots end to end."""
    stretches: list[Stretch] = []
    made = 0
    for lot, strokes in touched:
        if strokes:
            stretches.append(Stretch(lot, strokes, made))
            made += strokes.last
    return Axis(code, kind, tuple(stretches), ordered=kind in _ONE_THING)


def _place_axis(records: Records, place: str, kind: str) -> Axis:
    """Whatever was, or may have been, on a spindle or under a sample tag."""
    lots = dict.fromkeys(move.lot for move in records.movements_into(place))
    return _laid_out(place, kind, ((lot, history_of(records, lot).ever_in(place)) for lot in lots))

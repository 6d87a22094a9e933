"""What each judged disc was made with, so that bad discs can be compared by it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from tracelink.genealogy.commoncause.part_exposure import PartExposure
from tracelink.genealogy.commoncause.step_exposure import Factor, StepExposure
from tracelink.genealogy.model.cause_kinds import TOOL_KINDS
from tracelink.genealogy.model.facts import ActFact, JudgementFact, SegmentFact
from tracelink.genealogy.model.records import Records
from tracelink.genealogy.suspects.evidence import counts_as
from tracelink.identity.plantcode import CodeKind

KINDS = (
    "stamper",
    "mother",
    "father",
    "lacquer",
    "copper",
    "press",
    "compound",
    "label",
    "equipment",
    "lot",
    "reel",
    "part-lot",
    "build",
    "operator",
)
"""What is compared, in the order in which equals are listed: what is nearest to the disc first."""


@dataclass(frozen=True, slots=True)
class ExposedDisc:
    """One judged disc."""

    sample: str
    """Its tag, or "not recorded"."""
    lot: str
    """Its lot."""
    stroke: int
    """Its stroke."""
    bad: bool
    """True if it counts as bad."""
    places: Mapping[Factor, tuple[int, int]]
    """What it was made with, and where it lies in the life of that: sorts discs of one thing by when they were made."""

    @property
    def is_built(self) -> bool:
        """True if it is a built piece and not a disc."""
        return self.sample[:1] == CodeKind.PIECE.value


@dataclass(frozen=True, slots=True)
class JudgedDiscs:
    """The judged discs, ready to be compared."""

    pieces: tuple[ExposedDisc, ...]
    """Those that say something about the defect, by lot and stroke."""
    other_defect: int
    """Discs that were bad for another defect only: nobody recorded that they were free of this one."""
    unmade: int
    """Discs of which no record says what they were made with."""

    @property
    def built(self) -> int:
        """How many of them are built pieces and not discs."""
        return sum(piece.is_built for piece in self.pieces)

    @property
    def many(self) -> str:
        """What they are called: discs, built pieces, or pieces where they are both."""
        if not self.built:
            return "discs"
        return "built pieces" if self.built == len(self.pieces) else "pieces"


def judged_pieces(
    records: Records,
    judgements: Iterable[JudgementFact],
    readings: Iterable[ActFact],
    defect: str | None,
) -> JudgedDiscs:
    """Sort judged discs out and look up what made each.

    Args:
        records: the records.
        judgements: the judgements that stand.
        readings: counter readings at presses, in journal order; who read the counter next ran the press.
        defect: the defect asked about; None counts a disc bad for any.
    """
    verdicts: dict[tuple[str, int], tuple[bool, JudgementFact]] = {}
    silent: set[tuple[str, int]] = set()
    for judgement in judgements:
        disc = (judgement.lot, judgement.stroke)
        good = counts_as(judgement, defect)
        if good is None:
            silent.add(disc)
        elif disc not in verdicts or not good:
            verdicts[disc] = (not good, judgement)
    making = _Making(records, readings)
    pieces, unmade = [], 0
    for (lot, stroke), (bad, judgement) in sorted(verdicts.items(), key=lambda one: one[0]):
        places = dict(making.places(judgement))
        if places:
            pieces.append(ExposedDisc(judgement.sample, lot, stroke, bad, places))
        else:
            unmade += 1
    return JudgedDiscs(tuple(pieces), len(silent - verdicts.keys()), unmade)


class _Making:
    """Looks up what discs were made with, each question once."""

    def __init__(self, records: Records, readings: Iterable[ActFact]) -> None:
        self._records = records
        self._steps = StepExposure(records)
        self._parts = PartExposure(records, self._steps)
        self._segments: dict[str, Sequence[SegmentFact]] = {}
        self._family: dict[str, tuple[Factor, ...]] = {}
        self._read: dict[str, list[ActFact]] = {}
        for act in readings:
            if act.reading is not None:
                self._read.setdefault(act.reading.lot, []).append(act)

    def places(self, judgement: JudgementFact) -> Iterator[tuple[Factor, tuple[int, int]]]:
        """Yield what a judged disc or built piece was made with; nothing if no record says."""
        if judgement.sample[:1] == CodeKind.PIECE.value:
            yield from self._parts.of_piece(judgement.sample, judgement.seq)
            return
        segment = self.segment(judgement.lot, judgement.stroke)
        if segment is not None:
            yield from self.factors(segment, judgement.stroke)

    def segment(self, lot: str, stroke: int) -> SegmentFact | None:
        if lot not in self._segments:
            self._segments[lot] = self._records.segments_of(lot)
        return next((one for one in self._segments[lot] if one.first <= stroke <= one.last), None)

    def factors(self, segment: SegmentFact, stroke: int) -> Iterator[tuple[Factor, tuple[int, int]]]:
        when = (segment.seq, stroke)
        for stamper, life in (
            (segment.stamper_a, segment.life_a),
            (segment.stamper_b, segment.life_b),
        ):
            yield ("stamper", stamper), (life + stroke - segment.first + 1, 0)
            for factor in self._above(stamper):
                yield factor, when
        yield ("press", segment.press), when
        yield ("compound", segment.compound), when
        yield ("label", segment.label_a), when
        yield ("label", segment.label_b), when
        yield ("lot", segment.lot), when
        yield from self._processed(segment, stroke)
        operator = self._operator(segment.lot, stroke)
        if operator is not None:
            yield ("operator", operator), when

    def _processed(self, segment: SegmentFact, stroke: int) -> Iterator[tuple[Factor, tuple[int, int]]]:
        """What its tools, its material and the disc itself went through, in the order in which they did."""
        for stamper in (segment.stamper_a, segment.stamper_b):
            for code in (stamper, *(tool for _, tool in self._above(stamper))):
                yield from ((factor, (segment.seq, stroke)) for factor, _ in self._steps.of_tool(code))
        for factor, _ in self._steps.of_material(segment.compound):
            yield factor, (segment.seq, stroke)
        for factor, seq in self._steps.of_disc(segment.lot, stroke):
            yield factor, (seq, stroke)

    def _above(self, stamper: str) -> tuple[Factor, ...]:
        """The tools a stamper was grown from."""
        if stamper not in self._family:
            found: list[Factor] = []
            tool = self._records.tool(stamper)
            while tool is not None and tool.parent is not None:
                tool = self._records.tool(tool.parent)
                if tool is not None and tool.kind in TOOL_KINDS:
                    found.append((tool.kind, tool.code))
            self._family[stamper] = tuple(found)
        return self._family[stamper]

    def _operator(self, lot: str, stroke: int) -> str | None:
        for act in self._read.get(lot, ()):
            if act.reading is not None and act.reading.counter >= stroke:
                return act.person
        return None

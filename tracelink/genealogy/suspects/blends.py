"""Material that holds some of a lot because it was blended or ground of it, and at most how much.

A blend is taken to be mixed through: of each of its parts it holds the share by mass that went in. Discs of a lot that are
ground may all have been pressed from the most affected material of that lot: which discs they were is not known. So the
share is the most that there can be; it is 1 for the lot itself, and falls with every blend.

Steps are followed in the order in which they made their material. What is ground was pressed before, so a lot counts by
the material that was there when it was ground: with that order each share is known when it is asked for, and a lot
that was pressed from its own regrind is no circle.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from fractions import Fraction
from heapq import heappop, heappush

from tracelink.genealogy.model.records import Records
from tracelink.genealogy.model.step_facts import StepFact, StepItemFact
from tracelink.genealogy.suspects.carry_over import Carried, Hoppers, carried_over
from tracelink.ledger.closed_sets import StepInput


@dataclass(frozen=True, slots=True)
class MaterialShare:
    """A lot of material that can hold some of the cause."""

    material: str
    """Its code."""
    most: Fraction
    """Greatest share of the cause in it, by mass: above 0, 1 at most."""
    step: str | None
    """The step that made it; None for the cause itself."""


@dataclass(frozen=True, slots=True)
class Blends:
    """A material lot and all that can hold some of it."""

    shares: tuple[MaterialShare, ...]
    """The lot itself first, then as they were made."""
    hoppers: tuple[Hoppers, ...]
    """What of each was left in the hoppers of presses, in the same order."""


def blends_of(records: Records, material: str) -> Blends:
    """Follow a material lot through blends and through the discs of it that were ground.

    Args:
        records: the records.
        material: a compound lot.
    """
    found = _BlendFollower(records)
    found.add(MaterialShare(material, Fraction(1), None), 0)
    found.follow()
    return Blends(tuple(found.shares.values()), tuple(found.hoppers.values()))


@dataclass(slots=True)
class _BlendFollower:
    """Follows steps in the order in which they made material."""

    records: Records
    shares: dict[str, MaterialShare] = field(default_factory=dict)
    hoppers: dict[str, Hoppers] = field(default_factory=dict)
    _made: dict[str, int] = field(default_factory=dict)
    """Material -> entry since which it is there."""
    _waiting: list[tuple[int, str]] = field(default_factory=list)
    _steps: dict[str, StepFact] = field(default_factory=dict)

    def add(self, share: MaterialShare, seq: int) -> None:
        """Take a lot that holds some of the cause, and note the steps that it or its discs went into."""
        material = share.material
        self.shares[material] = share
        self._made[material] = seq
        self.hoppers[material] = carried_over(self.records, material)
        for step in self._steps_after(material):
            if step.outputs and step.code not in self._steps:
                self._steps[step.code] = step
                heappush(self._waiting, (step.outputs[0].seq, step.code))

    def _steps_after(self, material: str) -> Iterator[StepFact]:
        yield from self.records.steps_with(material)
        lots = [segment.lot for segment in self.records.segments_with(material) if segment.strokes]
        lots += [one.lot for one in self.hoppers[material].carried]
        for lot in dict.fromkeys(lots):
            yield from self.records.steps_with(lot)

    def follow(self) -> None:
        """Make out the share of each step, until nothing is left."""
        while self._waiting:
            _, code = heappop(self._waiting)
            step = self._steps[code]
            held = sum((self._of(item) * (item.amount or 0) for item in step.items), Fraction(0))
            if not held or not step.taken:
                continue
            for output in step.outputs:
                if output.material not in self.shares:
                    self.add(MaterialShare(output.material, held / step.taken, code), output.seq)

    def _of(self, item: StepItemFact) -> Fraction:
        """The most of the cause that what went in can hold."""
        if item.what is StepInput.MATERIAL:
            known = self.shares.get(item.thing)
            return Fraction(0) if known is None else known.most
        if item.what is not StepInput.GROUND or item.lot is None:
            return Fraction(0)
        there = {name for name, seq in self._made.items() if seq < item.seq}
        pressed = {segment.compound for segment in self.records.segments_of(item.lot) if segment.strokes}
        direct = [self.shares[name].most for name in there & pressed]
        left = [
            self.shares[name].most * _largest(one)
            for name in sorted(there)
            for one in self.hoppers[name].carried
            if one.lot == item.lot
        ]
        return max([*direct, *left], default=Fraction(0))


def _largest(one: Carried) -> Fraction:
    # Rounded up at the ninth decimal, so that the share of a float is never too small.
    return min(Fraction(1), Fraction(int(one.largest * 10**9) + 1, 10**9))

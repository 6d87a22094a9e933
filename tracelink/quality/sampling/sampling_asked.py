"""What decides which discs of a lot are drawn: asked for at a command, or kept for a product."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction

from tracelink.errors import UsageError
from tracelink.quality.sampling.attribute_plan import AttributePlan, SamplingPlan, attribute_plan
from tracelink.quality.sampling.attribute_tables import InspectionSeverity
from tracelink.quality.sampling.draw import drawn_strokes
from tracelink.quality.sampling.zero_acceptance import ZeroPlan, zero_plan


@dataclass(frozen=True, slots=True)
class SamplingAsked:
    """What decides which discs of a lot are drawn, beside the first and last ones of each stamper."""

    aql: str | None = None
    """A plan out of the tables: bad discs in a hundred, as the tables name it, such as 1.5."""
    level: str = "II"
    """Inspection level of that plan: S-1 to S-4, I, II or III."""
    severity: str = "normal"
    """Its severity: normal, tightened or reduced."""
    detect: str | None = None
    """A plan that allows no bad disc: the share of bad ones to be spoken against, in a hundred, 0.1 to 99.9."""
    confidence: int = 95
    """How surely that plan shows a bad disc in a lot with that share, per cent, 1 to 99."""
    one_in: int | None = None
    """Also one disc in so many; None for none."""
    inspection: str | None = None
    """The kind of inspection, as plans are kept for; None for that of the only plan, or for every defect."""

    @property
    def is_empty(self) -> bool:
        """True if nothing is asked for beside first and last discs."""
        return self.aql is None and self.detect is None and self.one_in is None

    def plan(self, lot_size: int) -> SamplingPlan | None:
        """Return the plan for a lot; None if none is asked for.

        Raises:
            UsageError: two plans are asked for, or one that there is not.
        """
        if self.aql is not None and self.detect is not None:
            raise UsageError("both an AQL and a share to detect: expected one of them, a lot has one plan")
        if self.aql is not None:
            return attribute_plan(lot_size, self.level, self.aql, _severity(self.severity))
        return None if self.detect is None else zero_plan(lot_size, _share(self.detect), self.confidence)


@dataclass(frozen=True, slots=True)
class LotToDraw:
    """A lot that a plan draws from."""

    code: str
    planned: int
    """Discs that were planned; the plan is made for so many."""
    pressed: int
    ended: bool
    """True if no more will be pressed."""
    missing: frozenset[int]
    """Strokes whose discs are not to be had."""


def plan_words(plan: SamplingPlan) -> tuple[str, ...]:
    """Return what names a plan: the draw follows from these words and the lot."""
    if isinstance(plan, AttributePlan):
        return str(plan.lot_size), plan.level, plan.aql, plan.severity.value
    assert isinstance(plan, ZeroPlan), "there are two kinds of plan"
    return str(plan.lot_size), "zero", f"{float(plan.share):g}", str(plan.confidence)


def seed_of(lot: str, plan: SamplingPlan) -> str:
    """Return what the draw from a lot follows from."""
    return " ".join((lot, *plan_words(plan)))


def drawn_by(plan: SamplingPlan, lot: LotToDraw) -> dict[int, int | None]:
    """Return the strokes that a plan draws from a lot; each with the stroke that it stands in for, if that one is missing."""
    seed = seed_of(lot.code, plan)

    def strokes(missing: frozenset[int]) -> list[int]:
        return list(
            drawn_strokes(seed, lot.planned, plan.size, lot.pressed, ended=lot.ended, missing=missing)
        )

    first = strokes(frozenset())
    if not lot.missing:
        return dict.fromkeys(first)
    # One disc of each part either way, so that they stand side by side.
    return {now: None if now == was else was for was, now in zip(first, strokes(lot.missing), strict=True)}


def _severity(given: str) -> InspectionSeverity:
    for severity in InspectionSeverity:
        if severity.value == given:
            return severity
    known = ", ".join(severity.value for severity in InspectionSeverity)
    raise UsageError(f"severity {given!r}: expected one of {known}")


def _share(given: str) -> Fraction:
    try:
        # Through a decimal: a fraction would also take 1/3, and a float not be what was written.
        return Fraction(Decimal(str(given).strip()))
    except (InvalidOperation, ValueError, OverflowError):
        raise UsageError(f"a share of {given!r}: expected percent, such as 2.5") from None

"""Which discs of a lot the lab draws and why, what of it is done, and what the plan says of what was found."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection

from tracelink.errors import UnknownCode, UsageError
from tracelink.genealogy.sampling.lot_sampling import LotSampling
from tracelink.genealogy.sampling.strokes_to_draw import LotRun, strokes_to_draw
from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.ledger.count_words import either
from tracelink.quality.sampling.attribute_plan import AttributePlan, SampleOutcome, SamplingPlan
from tracelink.quality.sampling.sampling_asked import LotToDraw, SamplingAsked, drawn_by, seed_of
from tracelink.quality.sampling.severity_switching import (
    InspectedLot,
    SwitchingRules,
    after_lots,
)
from tracelink.quality.sampling.zero_acceptance import ZeroPlan
from tracelink.report.pages import samples_text
from tracelink.services.codes import resolve_thing
from tracelink.store.lab.kept_plans import KeptPlan, kept_plans, missing_strokes
from tracelink.store.office.sampled_lots import rejected_before, sampled_lot
from tracelink.store.records.sql_records import SqlRecords


@dataclass(frozen=True, slots=True)
class LotSamples(LotSampling):
    """The discs of a lot that the lab draws, as the records have it."""

    def to_dict(self) -> dict[str, Any]:
        """Return the same data as `runout samples --format json`."""
        return {
            "lot": self.lot,
            "head": {"seq": self.head[0], "hash": self.head[1]},
            "planned": self.planned,
            "pressed": self.pressed,
            "plan": None if self.plan is None else _plan_in_json(self.plan),
            "seed": self.seed,
            "judged": self.judged,
            "bad": self.bad,
            "outcome": None if self.outcome is None else self.outcome.value,
            "left": self.left,
            "others": len(self.others),
            "kept_by": self.kept_by,
            "bad_apart": self.bad_apart,
            "inspection": self.inspection,
            "defects": sorted(self.defects),
            "severity_by_lots_before": samples_text.standing(self.before),
            "strokes": samples_text.rows(self.strokes),
        }

    def to_svg(self, at: str) -> str:
        """Draw what the plan lets through as a curve, with this lot on it.

        Args:
            at: when it is drawn, RFC 3339 with offset; shown on the picture.

        Raises:
            UsageError: there is no plan, or it looks at every disc.
        """
        from tracelink.report.pictures.plan_curve_svg import plan_curve_svg  # noqa: PLC0415  only when asked for

        return plan_curve_svg(self, at=at)


def lot_samples(conn: Connection, given: str, asked: SamplingAsked) -> LotSamples:
    """Say which discs of a lot the lab draws, and how far it is.

    Args:
        conn: a connection inside a transaction.
        given: the lot, as code or raw scan.
        asked: the plan.

    Raises:
        UnknownCode, IdentifierError: the code is unknown or invalid.
        UsageError: it is no lot, or there is no such plan.
    """
    records = SqlRecords(conn)
    code = resolve_thing(records, given)
    if code.isdigit() or PlantCode.parse(code).kind is not CodeKind.LOT:
        raise UsageError(f"{code} is not a lot: expected the code of a lot")
    lot = sampled_lot(conn, code)
    if lot is None:
        raise UnknownCode(f"lot {code} is not in the records: is it of this plant?")
    kept = _kept_for(conn, code, asked)
    by_kept = kept is not None and asked.is_empty
    asked = kept.asked if kept is not None and by_kept else asked
    plan = asked.plan(lot.planned)
    seed = None if plan is None else seed_of(code, plan)
    missing = missing_strokes(conn, code)
    to_draw = LotToDraw(code, lot.planned, lot.pressed, lot.ended, missing)
    by_plan = {} if plan is None else drawn_by(plan, to_draw)
    run = LotRun(records.segments_of(code), lot.pressed, lot.ended, missing)
    strokes = strokes_to_draw(run, by_plan, _one_in(asked.one_in), lot.samples)
    used = {one.sample.tag for one in strokes if one.sample is not None}
    rules = SwitchingRules(*(records.setting(name) for name in _RULES))
    defects = frozenset() if kept is None else kept.defects
    lots = (
        InspectedLot(SampleOutcome.REACHED if rejected else SampleOutcome.WITHIN)
        for rejected in rejected_before(conn, code, defects)
    )
    return LotSamples(
        code,
        records.head(),
        lot.planned,
        lot.pressed,
        plan,
        seed,
        after_lots(lots, rules),
        strokes,
        tuple(sample for sample in lot.samples if sample.tag not in used),
        kept.entry if kept is not None and by_kept else None,
        asked.inspection,
        defects,
    )


def _kept_for(conn: Connection, lot: str, asked: SamplingAsked) -> KeptPlan | None:
    """The kept plan of the inspection that is asked for; where neither that nor a plan is named, the one without a kind, or the only one.

    Raises:
        UsageError: no plan is kept for that inspection, or several are and none is named.
    """
    plans = {plan.asked.inspection: plan for plan in kept_plans(conn, lot)}
    known = either(sorted(kind for kind in plans if kind is not None))
    if asked.inspection is not None:
        if asked.inspection not in plans:
            expected = known or "none: the plant file names them in [[sampling_plan]]"
            raise UsageError(f"inspection {asked.inspection!r} of lot {lot}: expected {expected}")
        return plans[asked.inspection]
    if not asked.is_empty or not plans:
        return None
    if len(plans) > 1 and None not in plans:
        raise UsageError(f"lot {lot} is inspected by {len(plans)} plans: expected the inspection, {known}")
    return plans.get(None) or next(iter(plans.values()))


_RULES = ("sampling_end_rejected", "sampling_end_tightened", "sampling_reduced_after")
"""The settings behind `SwitchingRules`, in its order."""


def _one_in(given: int | None) -> int | None:
    if given is not None and given < 1:
        raise UsageError(f"one disc in {given}: expected one in 1 or more")
    return given


def _plan_in_json(plan: SamplingPlan) -> dict[str, Any]:
    common: dict[str, Any] = {
        "lot_size": plan.lot_size,
        "size": plan.size,
        "whole_lot": plan.whole_lot,
        "acceptance": plan.acceptance,
        "rejection": plan.rejection,
    }
    names = ("level", "aql", "severity", "code_letter", "letter_used", "detect", "confidence")
    more: dict[str, Any] = dict.fromkeys(names)
    if isinstance(plan, AttributePlan):
        more |= {"level": plan.level, "aql": plan.aql, "severity": plan.severity.value}
        more |= {"code_letter": plan.letter, "letter_used": plan.used}
    if isinstance(plan, ZeroPlan):
        more |= {"detect": float(plan.share), "confidence": plan.confidence}
    return common | more

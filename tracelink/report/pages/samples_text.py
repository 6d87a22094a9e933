"""The discs that the lab draws, as rows and as text."""

from __future__ import annotations

from collections.abc import Iterable
from math import ceil

from tracelink.genealogy.sampling.lot_sampling import LotSampling
from tracelink.genealogy.sampling.strokes_to_draw import DrawState, ReasonToDraw, StrokeToDraw
from tracelink.ledger.count_words import counted, grouped, in_percent
from tracelink.quality.sampling.attribute_plan import AttributePlan, SampleOutcome, SamplingPlan
from tracelink.quality.sampling.attribute_tables import InspectionSeverity
from tracelink.quality.sampling.operating_characteristic import named_share, share_within, within_of_lot
from tracelink.quality.sampling.severity_switching import Switching
from tracelink.quality.sampling.zero_acceptance import ZeroPlan
from tracelink.report.format.table import Cell, Column, Kind

COLUMNS = (
    Column("stroke", "stroke", Kind.NUMBER),
    Column("why", "why", Kind.TEXT),
    Column("state", "state", Kind.TEXT),
    Column("sample", "sample"),
    Column("defect", "defect", Kind.TEXT),
    Column("stamper_a", "stamper A"),
    Column("stamper_b", "stamper B"),
)
DUE_COLUMNS = (
    Column("due", "due"),
    Column("days_late", "days late", Kind.DIFFERENCE),
    Column("sample", "sample"),
    Column("what", "what", Kind.TEXT),
    Column("slow_test", "slow test", Kind.TEXT),
    Column("reading", "after", Kind.TEXT),
    Column("lot", "lot or build order"),
    Column("stroke", "stroke or number", Kind.NUMBER),
)
"""Readings of slow tests."""
DUE_SCREEN = DUE_COLUMNS[:6]
"""What a person needs who looks for the samples; where they were made is in csv and json."""
_STATES = {
    DrawState.AHEAD: "not pressed yet",
    DrawState.OPEN: "to draw",
    DrawState.DRAWN: "to judge",
    DrawState.GOOD: "good",
    DrawState.BAD: "bad",
}
SCREEN = COLUMNS[:5]
"""What a person needs at the bench; the stampers that pressed each disc are in csv and json."""
_OFTEN, _SELDOM = 0.95, 0.10
"""The chances whose share of bad discs is told: the usual risks of 5 % and 10 %, common practice."""


def rows(strokes: Iterable[StrokeToDraw]) -> list[dict[str, Cell]]:
    """Return one row per stroke, keys of `COLUMNS`."""
    return [_row(one) for one in strokes]


def _row(one: StrokeToDraw) -> dict[str, Cell]:
    stamper_a, stamper_b = one.stampers or (None, None)
    return {
        "stroke": one.stroke,
        "why": [*map(_reason, one.reasons)],
        "state": _STATES[one.state],
        "sample": None if one.sample is None else one.sample.tag,
        "defect": None if one.sample is None else one.sample.defect,
        "stamper_a": stamper_a,
        "stamper_b": stamper_b,
    }


def _reason(reason: ReasonToDraw) -> str:
    said = reason.why.value if reason.stamper is None else f"{reason.why.value} {reason.stamper}"
    return said if reason.instead_of is None else f"{said}, in place of {reason.instead_of}"


def standing(before: Switching) -> str:
    """Return the severity that the lots before speak for; `discontinued` if inspection has ended."""
    return "discontinued" if before.discontinued else before.severity.value


def sentences(answer: LotSampling) -> list[str]:
    """Say what the plan asks for, what it lets through, and how far the lab is."""
    said = [*_plan_sentences(answer), _progress(answer)]
    if answer.others:
        many = counted(len(answer.others), "other sample")
        said.append(f"{many} of the lot: discs that were not to be drawn, so the plan does not count them.")
    if answer.bad_apart:
        said.append(f"{counted(answer.bad_apart, 'bad disc')} beside those of a plan. Quality decides.")
    return said


def _plan_sentences(answer: LotSampling) -> list[str]:
    plan = answer.plan
    if plan is None:
        return [
            "No plan was asked for (--aql or --detect) or is kept for the product, so no disc is drawn at random."
        ]
    said = [_asks_for(plan), _lets_through(plan)]
    if answer.kept_by is not None:
        said.insert(0, f"The plan that is kept for the product (entry {answer.kept_by}){_looks_for(answer)}.")
    if answer.pressed > answer.planned:
        said.append(
            f"{grouped(answer.pressed)} discs were pressed and {grouped(answer.planned)} were planned: the plan is for "
            "those planned, the draw goes on as densely."
        )
    if isinstance(plan, AttributePlan):
        said += _severity_sentence(answer, plan.severity)
    said.append(f"The draw follows from the words {answer.seed!r}; asking again draws the same discs.")
    return said


def _looks_for(answer: LotSampling) -> str:
    if answer.inspection is None:
        return ""
    counting = f": {', '.join(sorted(answer.defects))}" if answer.defects else ""
    return f", inspection {answer.inspection}{counting}"


def _asks_for(plan: SamplingPlan) -> str:
    many = "all" if plan.whole_lot else grouped(plan.size)
    asked = f"Look at {many} of {counted(plan.lot_size, 'disc')}"
    if isinstance(plan, AttributePlan):
        arrow = "" if plan.used == plan.letter else f", which leads to {plan.used}"
        asked += (
            f": AQL {plan.aql}, level {plan.level}, {plan.severity.value}, code letter {plan.letter}{arrow}"
        )
    elif isinstance(plan, ZeroPlan):
        asked += f": with {float(plan.share):g} % or more of them bad, {plan.confidence} % sure to find one, taken at random"
    within = f"Up to {plan.acceptance} may be bad" if plan.acceptance else "None may be bad"
    return f"{asked}. {within}; {plan.rejection} or more reach the rejection number."


def _lets_through(plan: SamplingPlan) -> str:
    if plan.whole_lot:
        return "Every disc is looked at."
    often, seldom = (share_within(plan.size, plan.acceptance, chance) for chance in (_OFTEN, _SELDOM))
    bad = ceil(plan.lot_size * named_share(plan) / 100)
    chance = within_of_lot(plan.lot_size, bad, plan.size, plan.acceptance)
    return (
        f"What it lets through: with {grouped(bad)} bad this lot would be within the plan with a chance of "
        f"{in_percent(chance, 1)}. Of lots of a steady process, {in_percent(_OFTEN)} are within it at "
        f"{in_percent(often, 2)} bad discs, {in_percent(_SELDOM)} at {in_percent(seldom, 1)}."
    )


def _severity_sentence(answer: LotSampling, used: InspectionSeverity) -> list[str]:
    before = answer.before
    if before.discontinued:
        due = "its inspection has ended until the cause is mended, and goes on tightened then"
    elif before.severity is used:
        return []
    else:
        due = f"it is due for {before.severity.value} inspection"
    kind = "" if answer.inspection is None else f" in inspection {answer.inspection}"
    return [f"By what was decided on the lots of this product before it{kind}, {due}. Quality decides."]


def _progress(answer: LotSampling) -> str:
    left = (
        f"{counted(answer.left, 'stroke')} left to draw or judge"
        if answer.left
        else "Every stroke listed is judged"
    )
    if answer.plan is None:
        return f"{left}."
    found = f"of the plan {grouped(answer.judged)} judged, {grouped(answer.bad)} bad"
    return f"{left}; {found}. {_STANDING[answer.outcome]} An authorised person decides on the lot."


_STANDING = {
    SampleOutcome.WITHIN: "That is within the plan.",
    SampleOutcome.BETWEEN: (
        "That is between its two numbers: within the plan, and the next lot is inspected normally."
    ),
    SampleOutcome.REACHED: "The rejection number is reached.",
    None: "The plan says nothing before all of its discs are judged.",
}

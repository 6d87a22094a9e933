"""What a sampling plan lets through as a curve, with the lot in question on it."""

from __future__ import annotations

from collections.abc import Iterator

from tracelink.errors import UsageError
from tracelink.genealogy.sampling.lot_sampling import LotSampling
from tracelink.ledger.count_words import grouped, in_percent
from tracelink.quality.confidence import CONFIDENCE, most_bad
from tracelink.quality.sampling.attribute_plan import SamplingPlan
from tracelink.quality.sampling.operating_characteristic import named_share, share_within, within_of_lot
from tracelink.report.format import svg
from tracelink.report.format.plain import imprint

_WIDTH, _HEIGHT = 760.0, 470.0
_LEFT, _RIGHT, _TOP, _BOTTOM = 70.0, 720.0, 76.0, 360.0
_POINTS = 80
_TICKS = 8
_STEPS = tuple(many * unit for unit in (0.0001, 0.001, 0.01, 0.1) for many in (1, 2, 5))
_SELDOM = 0.002
"""The curve is drawn up to the share of bad discs that is within the plan no oftener than this."""


def plan_curve_svg(answer: LotSampling, *, at: str) -> str:
    """Draw the chance that the sample is within the plan against the share of bad discs in the lot.

    Args:
        answer: the lot with its plan.
        at: when it was drawn, RFC 3339 with offset.

    Returns:
        A whole SVG that needs nothing else.

    Raises:
        UsageError: there is no plan, or it looks at every disc.
    """
    plan = answer.plan
    if plan is None:
        raise UsageError("a curve is drawn of a plan: none was asked for")
    if plan.whole_lot:
        raise UsageError(f"the plan looks at all {plan.lot_size} discs of {answer.lot}: it has no curve")
    found = answer.bad / answer.judged if answer.judged else 0.0
    most = min(
        1.0,
        1.1 * max(share_within(plan.size, plan.acceptance, _SELDOM), float(named_share(plan)) / 100, found),
    )
    title = f"Lot {answer.lot}: what its plan lets through"
    asked = (
        f"{grouped(plan.size)} of {grouped(plan.lot_size)} discs, up to {grouped(plan.acceptance)} may be bad. "
        "Exact for a random sample of this lot."
    )
    parts = [
        svg.text(24, 24, title, font_size=14, font_weight="bold"),
        svg.text(24, 42, asked, font_size=11),
        *_axes(most),
        svg.path(_curve(plan, most, 0.0, most), stroke_width=2),
        *_named(plan, most),
        *_lot(answer, plan, found, most),
        svg.text(24, _HEIGHT - 14, imprint(answer.head, at), font_size=11),
    ]
    return svg.picture(_WIDTH, _HEIGHT, title, parts)


def _x(share: float, most: float) -> float:
    return _LEFT + (_RIGHT - _LEFT) * share / most


def _y(chance: float) -> float:
    return _BOTTOM - (_BOTTOM - _TOP) * chance


def _chance(plan: SamplingPlan, share: float) -> float:
    return within_of_lot(plan.lot_size, round(share * plan.lot_size), plan.size, plan.acceptance)


def _curve(plan: SamplingPlan, most: float, first: float, last: float) -> str:
    # Only at whole discs: a lot of 60 has no 1 % bad.
    numbers = sorted(
        {round((first + (last - first) * step / _POINTS) * plan.lot_size) for step in range(_POINTS + 1)}
    )
    shares = [min(number / plan.lot_size, most) for number in numbers]
    return "M" + "L".join(f"{_x(share, most):.1f},{_y(_chance(plan, share)):.1f}" for share in shares)


def _axes(most: float) -> Iterator[str]:
    for quarter in range(5):
        chance = quarter / 4
        yield svg.line(_LEFT, _y(chance), _RIGHT, _y(chance), stroke=svg.FAINT, stroke_width=0.5)
        yield svg.text(_LEFT - 8, _y(chance) + 4, in_percent(chance), font_size=11, text_anchor="end")
    step = next((step for step in _STEPS if most / step <= _TICKS), _STEPS[-1])
    digits = 0 if step >= 0.01 else 2
    for number in range(int(most / step) + 1):
        x = _x(number * step, most)
        yield svg.line(x, _BOTTOM, x, _BOTTOM + 5)
        yield svg.text(x, _BOTTOM + 19, in_percent(number * step, digits), font_size=11, text_anchor="middle")
    yield svg.line(_LEFT, _BOTTOM, _RIGHT, _BOTTOM)
    yield svg.line(_LEFT, _TOP, _LEFT, _BOTTOM)
    yield svg.text(_LEFT, _TOP - 12, "chance that the sample is within the plan", font_size=11)
    yield svg.text(_RIGHT, _BOTTOM + 36, "bad discs in the lot", font_size=11, text_anchor="end")


def _named(plan: SamplingPlan, most: float) -> Iterator[str]:
    share = float(named_share(plan)) / 100
    x = _x(share, most)
    yield svg.line(x, _TOP, x, _BOTTOM, stroke=svg.FAINT, stroke_dasharray="3 3")
    words = (
        f"{in_percent(share, 2)}, the share that the plan is named for: {in_percent(_chance(plan, share), 1)}"
    )
    yield svg.text(24, _BOTTOM + 58, f"Dashed: {words}", font_size=11)


def _lot(answer: LotSampling, plan: SamplingPlan, found: float, most: float) -> Iterator[str]:
    if not answer.judged:
        words = "No disc of the plan is judged yet, so the lot is not on the curve."
        yield svg.text(24, _BOTTOM + 76, words, font_size=11)
        return
    # A handful of good discs looks like none bad: how bad the lot may be with them is drawn as well.
    worst = most_bad(plan.lot_size, min(answer.judged, plan.lot_size), answer.bad)
    last = min(most, worst / plan.lot_size)
    yield svg.path(_curve(plan, most, min(found, last), last), stroke=svg.ACCENT, stroke_width=5)
    x, y = _x(found, most), _y(_chance(plan, found))
    yield svg.cross(x, y, 7) if answer.bad else svg.ring(x, y, 6)
    mark = "Cross" if answer.bad else "Ring"
    words = (
        f"{mark}: the lot, if it is as its sample so far: {grouped(answer.bad)} bad of {grouped(answer.judged)} judged, "
        f"{in_percent(found, 1)}. Thick: up to {grouped(worst)} bad, with {in_percent(CONFIDENCE)} confidence."
    )
    yield svg.text(24, _BOTTOM + 76, words, font_size=11)

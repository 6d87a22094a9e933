"""A lot of which every disc is drawn and measured: quiet at first, then the stamper of side A drifts."""

import random

from support_lab import LAB_DATA, add_to
from support_plant import LAB, MATRICES, Floor, n, stamper

from tracelink.services.badge_proof import Badge
from tracelink.services.desks.charts.chart_baselines import BaselineAsked, freeze_baseline
from tracelink.services.desks.charts.charted_values import ChartAsked

QUIET = -61.0
"""Noise of discs of a good stamper, dB; the limit of the plant is -55.0."""
TOOL = n(stamper(MATRICES[0]))
"""The stamper of side A."""


def noise(seed: int, *, discs: int, quiet: int, step: float) -> list[float]:
    """Noise values in dB, quiet for so many discs, then louder by `step` with each."""
    chance = random.Random(seed)
    return [
        round(QUIET + chance.gauss(0, 0.6) + max(0, disc - quiet) * step, 1) for disc in range(1, discs + 1)
    ]


DRIFT = noise(5, discs=40, quiet=20, step=0.7)
"""Quiet for twenty discs; the first over the limit is the 27th."""


def measured(floor: Floor, disc: int, value: float) -> str:
    """Draw a disc of lot 1 from its stack and measure the noise of side A; returns what the bench said."""
    floor.scan(LAB, "SAMPLE", "L1", f"S{disc}", f"#{disc}", "K11")
    floor.scan(LAB, "MEASURE", f"S{disc}", f'"noise={value:.1f} dB', '"A', "G1")
    return floor.verdicts[-1].sentence


def quiet_floor(discs: int = 20) -> Floor:
    """A lot of 40 discs of which the first were measured at the bench: quiet."""
    floor = Floor.copy()
    add_to(floor, LAB_DATA)
    floor.press(1, strokes=40, stacks=1)
    floor.scan(LAB, "P1")
    for disc, value in enumerate(DRIFT[:discs], 1):
        measured(floor, disc, value)
    return floor


def frozen(floor: Floor, kind: str = "individuals") -> None:
    """Freeze the baseline of the stamper by what was measured so far."""
    asked = BaselineAsked(ChartAsked("noise", kind))
    freeze_baseline(floor.ledger, TOOL, asked, "first run, all good", Badge(n("P1")))

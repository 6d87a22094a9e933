"""How long charts run before they signal: by simulation, and by the equation of the run length."""

import random
from math import sqrt
from statistics import fmean, stdev

import numpy as np
from scipy.special import ndtr

from tracelink.quality.charts.control_chart import ChartBaseline, ChartKind, ChartTuning
from tracelink.quality.charts.measured_chart import measured_chart
from tracelink.quality.charts.run_rules import RuleSet, run_signals

_BLOCK = 64
_LONGEST_RULE = 15


def run_lengths(rules, *, runs, seed, shift=0.0):
    """Return the mean number of points up to the first signal, and its standard error."""
    chance = random.Random(seed)
    lengths = [_run(rules, chance, shift) for _ in range(runs)]
    return fmean(lengths), stdev(lengths) / sqrt(runs)


def _run(rules, chance, shift):
    points, looked_at = [], 0
    while True:
        points += [chance.gauss(shift, 1) for _ in range(_BLOCK)]
        # What no rule looks back to is left out; a signal before the block was looked for already.
        begin = max(0, looked_at - _LONGEST_RULE)
        ended = [begin + one.point for one in run_signals(points[begin:], rules)]
        new = [point for point in ended if point > looked_at]
        if new:
            return min(new)
        looked_at = len(points)


def cusum_run_lengths(slack, decision, shift, *, runs, seed):
    """Return the mean number of points up to the first signal of either sum, by simulation, and its standard error."""
    chance = random.Random(seed)
    lengths = [_cusum_run(slack, decision, shift, chance) for _ in range(runs)]
    return fmean(lengths), stdev(lengths) / sqrt(runs)


def _cusum_run(slack, decision, shift, chance):
    baseline, tuning = ChartBaseline(ChartKind.CUSUM, 0.0, 1.0, 1, 100), ChartTuning(0.2, 3, slack, decision)
    points = []
    while True:
        points += [(chance.gauss(shift, 1),) for _ in range(_BLOCK)]
        first = measured_chart(baseline, points, RuleSet.WESTERN_ELECTRIC, tuning).first_signal
        if first is not None:
            return first


def cusum_run_length(slack, decision, shift, *, two_sided, cells=120):
    """Return the mean run length of a sum, by a chain of states on a grid, as Brook and Evans (1972) made it."""
    up = _one_sided(slack, decision, shift, cells)
    if not two_sided:
        return up
    return 1 / (1 / up + 1 / _one_sided(slack, decision, -shift, cells))


def _one_sided(slack, decision, shift, cells):
    width = 2 * decision / (2 * cells - 1)
    centres = width * np.arange(cells)
    # The sum moves by a normal step of mean shift - slack; what falls below 0 stays at 0.
    edges = ndtr(centres[None, :] + width / 2 - centres[:, None] - shift + slack)
    step = np.hstack([edges[:, :1], np.diff(edges)])
    return float(np.linalg.solve(np.eye(cells) - step, np.ones(cells))[0])

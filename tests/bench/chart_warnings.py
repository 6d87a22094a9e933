"""How early charts warn on plants with a planted fault, how often without one, and how often `cause` names the true tool.

Run by hand: python tests/bench/chart_warnings.py [PLANTS [SEED]], 100 plants and seed 17 unless told otherwise. Prints the three
tables of `runout guide charts`. Plants are made up in memory: discs of a stamper, one in fifty measured, normally scattered;
their baseline is the first 25 points. Everything is in standard deviations of a good process; the limit lies at 5. Plants of
counts have a share of bad discs, or a mean number of ticks on each disc, that is another from some disc on.
"""

import random
import sys
from dataclasses import dataclass
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from tracelink.genealogy.charting.charted_discs import ChartedDisc, ChartingRules, baseline_of, points_of
from tracelink.genealogy.charting.process_chart import FrozenBaseline, process_chart
from tracelink.genealogy.commoncause.compare import common_cause
from tracelink.genealogy.commoncause.exposure import ExposedDisc, JudgedDiscs
from tracelink.quality.charts.control_chart import ChartBaseline, ChartKind, ChartTuning
from tracelink.quality.charts.run_rules import RuleSet

LIMIT = 5.0
ONE_IN = 50
BASELINE, QUIET, LIFE = 25, 30, 60
"""Points of the baseline, good ones after it, and those of the fault."""
TUNING = ChartTuning(weight=0.2, width=3, slack=0.5, decision=5)
FAULTS = {
    "step of 1": lambda after: 1.0,
    "step of 2": lambda after: 2.0,
    "drift to the limit in 20 points": lambda after: LIMIT * after / 20,
    "drift to the limit in 60 points": lambda after: LIMIT * after / 60,
}
CHARTS = (
    ("individuals, Western Electric", ChartKind.INDIVIDUALS, RuleSet.WESTERN_ELECTRIC, 1),
    ("individuals, Nelson", ChartKind.INDIVIDUALS, RuleSet.NELSON, 1),
    ("EWMA 0.2", ChartKind.EWMA, RuleSet.WESTERN_ELECTRIC, 1),
    ("CUSUM 0.5, 5", ChartKind.CUSUM, RuleSet.WESTERN_ELECTRIC, 1),
)


@dataclass(frozen=True)
class Counts:
    """A made-up plant of which discs are judged, or ticks on them counted."""

    kind: ChartKind
    size: int
    """Discs for each point."""
    good: float
    """Share bad, or ticks on each disc, before the change."""
    changed: float
    """The same after it."""

    def __str__(self) -> str:
        if self.kind is ChartKind.NP:
            return f"{100 * self.good:g} % bad, then {100 * self.changed:g} %"
        return f"{self.good:g} ticks on a disc, then {self.changed:g}"


COUNTS = (
    *(Counts(ChartKind.NP, size, 0.01, 0.1) for size in (5, 25, 100)),
    *(Counts(ChartKind.NP, size, 0.05, 0.2) for size in (5, 25, 100)),
    *(Counts(ChartKind.NP, size, 0.05, 0.6) for size in (5, 25)),
    Counts(ChartKind.C, 1, 0.5, 2.0),
    *(Counts(ChartKind.U, size, 0.5, 2.0) for size in (5, 10)),
    Counts(ChartKind.U, 10, 2.0, 3.0),
)


@dataclass(frozen=True)
class Warned:
    """What a chart did on one plant."""

    false: int
    """Points before the fault that warned."""
    first: int | None
    """The first point from the fault on that warned, from 1; None if none did."""
    bad: int | None
    """The first point beyond the limit, from 1; None if none was."""


def main() -> None:
    """Print the tables."""
    plants = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 17
    print(f"{plants} plants for each row, seed {seed}\n")
    print(
        "| fault | chart | plants with a bad disc | warned before it | discs earlier | false alarms in 100 |"
    )
    print("|---|---|---|---|---|---|")
    for fault, shift in FAULTS.items():
        for name, kind, rules, size in CHARTS:
            chance = random.Random(f"{seed} {fault} {name}")
            found = [plant(chance, shift, kind, rules, size) for _ in range(plants)]
            print(row(fault, name, found))
    print(
        "\n| what is counted | chart | discs per point | warned | discs after the change | false alarms in 100 |"
    )
    print("|---|---|---|---|---|---|")
    for counts in COUNTS:
        chance = random.Random(f"{seed} {counts}")
        print(counts_row(counts, [counted_plant(chance, counts) for _ in range(plants)]))
    print("\n| bad discs | discs judged, median | true tool first | true tool stands out |")
    print("|---|---|---|---|")
    for bad in (1, 2, 3, 4, 5, 7, 10):
        chance = random.Random(f"{seed} cause {bad}")
        print(cause_row(bad, [ranked(chance, bad) for _ in range(plants)]))


def plant(chance: random.Random, shift, kind: ChartKind, rules: RuleSet, size: int) -> Warned:
    """Make a plant, freeze a baseline, and chart what comes after it."""
    values = [chance.gauss(0, 1) for _ in range(BASELINE + QUIET)]
    values += [chance.gauss(0, 1) + shift(after) for after in range(1, LIFE + 1)]
    discs = [disc_of(number, value) for number, value in enumerate(values, 1)]
    how = ChartingRules(rules, TUNING, 20)
    baseline = baseline_of(kind, points_of(kind, discs[:BASELINE], size)[0], 20)
    later = discs[BASELINE:]
    chart = process_chart(kind, size, later, FrozenBaseline(1, "T", baseline), how)
    fault = [point for point in chart.signalled if point > QUIET]
    bad = next((number for number, disc in enumerate(later, 1) if number > QUIET and disc.outside), None)
    return Warned(sum(point <= QUIET for point in chart.signalled), min(fault, default=None), bad)


def counted_plant(chance: random.Random, counts: Counts) -> Warned:
    """The same of a plant of counts; places are discs. A baseline without a bad disc is none: such a plant is made again."""
    kind, size = counts.kind, counts.size
    how = ChartingRules(RuleSet.WESTERN_ELECTRIC, TUNING, 20)
    while True:
        means = [counts.good] * ((BASELINE + QUIET) * size) + [counts.changed] * (LIFE * size)
        draw = bad_disc if kind is ChartKind.NP else ticks
        discs = [disc_of(number, draw(chance, mean)) for number, mean in enumerate(means, 1)]
        baseline = baseline_of(kind, points_of(kind, discs[: BASELINE * size], size)[0], 20)
        if isinstance(baseline, ChartBaseline):
            break
    chart = process_chart(kind, size, discs[BASELINE * size :], FrozenBaseline(1, "T", baseline), how)
    fault = [point for point in chart.signalled if point > QUIET]
    return Warned(sum(point <= QUIET for point in chart.signalled), min(fault, default=None), None)


def bad_disc(chance: random.Random, share: float) -> float:
    """1 for a bad disc."""
    return float(chance.random() < share)


def ticks(chance: random.Random, mean: float) -> float:
    """A Poisson number: how many exponential steps fit into one."""
    found, at = 0, chance.expovariate(mean)
    while at < 1:
        found, at = found + 1, at + chance.expovariate(mean)
    return float(found)


def counts_row(counts: Counts, found: list[Warned]) -> str:
    """One line of the table of counts."""
    warned = [counts.size * (one.first - QUIET) for one in found if one.first is not None]
    share, after = f"{100 * len(warned) / len(found):.0f} %", f"{median(warned):,.0f}" if warned else ""
    false = 100 * sum(one.false for one in found) / (QUIET * len(found))
    return f"| {counts} | {counts.kind.value} | {counts.size} | {share} | {after} | {false:.1f} |"


def disc_of(number: int, value: float) -> ChartedDisc:
    """One measured disc."""
    return ChartedDisc(f"S{number}", "L", ONE_IN * number, ONE_IN * number, value, abs(value) > LIMIT, {})


def row(fault: str, name: str, found: list[Warned]) -> str:
    """One line of the first table."""
    with_bad = [one for one in found if one.bad is not None]
    ahead = [one.bad - one.first for one in with_bad if one.first is not None and one.first < one.bad]
    share = f"{100 * len(ahead) / len(with_bad):.0f} %" if with_bad else "none came"
    earlier = f"{ONE_IN * median(ahead):,.0f}" if ahead else ""
    false = 100 * sum(one.false for one in found) / (QUIET * len(found))
    return f"| {fault} | {name} | {len(with_bad)} | {share} | {earlier} | {false:.1f} |"


def ranked(chance: random.Random, wanted: int) -> tuple[int, bool, bool]:
    """Judge discs of a plant with one bad stamper until so many bad ones are found; was it ranked first?

    Eight stampers on three presses, four compounds, lots of one stamper, press and compound each. Six in ten discs of the bad
    stamper are bad, and one in a hundred of the others.
    """
    lots = [
        (f"T{chance.randrange(8)}", f"W{chance.randrange(3)}", f"C{chance.randrange(4)}") for _ in range(24)
    ]
    lots[0] = ("T0", *lots[0][1:])
    pieces: list[ExposedDisc] = []
    while sum(piece.bad for piece in pieces) < wanted:
        lot = chance.randrange(len(lots))
        stamper, press, compound = lots[lot]
        bad = chance.random() < (0.6 if stamper == "T0" else 0.01)
        place = (lot, len(pieces) + 1)
        made = {("stamper", stamper): place, ("press", press): place, ("compound", compound): place}
        pieces.append(
            ExposedDisc(
                f"S{len(pieces)}", f"L{lot}", len(pieces) + 1, bad, made | {("lot", f"L{lot}"): place}
            )
        )
    candidates = common_cause(JudgedDiscs(tuple(pieces), 0, 0)).candidates
    stands_out = any(one.code == "T0" and one.significant for one in candidates)
    return len(pieces), bool(candidates) and candidates[0].code == "T0", stands_out


def cause_row(bad: int, found: list[tuple[int, bool, bool]]) -> str:
    """One line of the second table."""
    first, stands_out = (100 * sum(one[place] for one in found) / len(found) for place in (1, 2))
    judged = median(one[0] for one in found)
    return f"| {bad} | {judged:.0f} | {first:.0f} % | {stands_out:.0f} % |"


if __name__ == "__main__":
    main()

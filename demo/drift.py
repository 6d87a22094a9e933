"""After the ten days: a lot whose A side gets noisier and noisier, measured by an instrument that writes files.

It runs on a press of its own, so that nothing of the ten days is touched. The plant names what its lab measures, the limits
and the gauges just before.
"""

import random
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from clockwork import day_start, local_time
from plantdata import MOTH, badge, badge_scan, code
from plantfile import as_toml
from pressroom import CYCLE_S, STACK
from stock import PHASE_2_DAY, Plant
from writer import write_log

from tracelink.identity.rawlines import raw_act, raw_plant

PRESS, LOT = code("W", 32), code("L", 4790)
TESTER, SCALE = code("G", 1), code("G", 2)
BEGIN = day_start(PHASE_2_DAY) + 30 * 3600
"""On the Saturday after."""
BEFORE = local_time(BEGIN - 3600)
"""When the lab's tests are named."""
NEXT_DAY = local_time(BEGIN + 24 * 3600)[:10]
"""From when on the lots of the product have a plan."""
PLAYED = "played"
"""The slow test: a disc is played for hours and looked at again."""
STROKES, SAMPLES = 1400, 35
"""As in the full plant; so many samples are drawn of a plant of any size."""
STEADY = 20
"""Samples before the side gets noisier: those of the first file, of which the baseline of the chart is made."""
LOUDER_DB, SPREAD_DB, USUAL_DB, LIMIT_DB = 0.42, 0.35, -60.0, -55.0
"""Decibel a sample, spread, usual value and limit: choices of this plant."""


@dataclass(frozen=True, slots=True)
class Drift:
    """What the story needs of it."""

    plan: Path
    pressing: tuple[Path, Path]
    """The logs of press and bench, up to the last sample drawn."""
    files: tuple[Path, ...]
    """Files of the instrument, in order."""
    judging: Path
    """The log in which the samples are judged."""
    stamper: str
    by: str
    """The lab technician."""
    measured: str
    """When the last file was written."""
    looked_at: str
    """A day on which a reading of the slow test is due."""


@dataclass(frozen=True, slots=True)
class _Disc:
    tag: str
    stroke: int
    a: float
    b: float
    mass: float


def prepare(out: Path, plant: Plant) -> Drift:
    """Write the plant file, the logs and the files of the instrument.

    Args:
        out: the demo's folder.
        plant: after its last day.
    """
    strokes = plant.scale.strokes(STROKES)
    stampers = [plant.stampers[MOTH.matrix(1, side)][0].code for side in "AB"]
    discs = list(_discs(plant.dice("drift"), strokes))
    folder = out / "lab"
    folder.mkdir(exist_ok=True)
    plan = folder / "lab.toml"
    plan.write_text(as_toml(_plan(strokes)), encoding="utf-8", newline="\n")
    files = (folder / "noise-1.csv", folder / "noise-2.csv")
    for file, part in zip(files, (discs[:STEADY], discs[STEADY:]), strict=True):
        file.write_text(_csv(part), encoding="utf-8", newline="\n")
    run = _Run(plant, stampers, discs, strokes)
    logs = out / "logs"
    pressing, judging = (logs / "drift-press.jsonl", logs / "drift-bench.jsonl"), logs / "drift-judging.jsonl"
    write_log(pressing[0], PRESS, run.at_press())
    bench = plant.stations["Lab"]
    drawn = run.at_bench()
    write_log(pressing[1], bench.code, drawn, len(bench.scans) + 1)
    write_log(judging, bench.code, run.judged(), len(bench.scans) + len(drawn) + 1)
    looked_at = local_time(BEGIN + 3 * 24 * 3600)[:10]
    return Drift(
        plan, pressing, files, judging, stampers[0], badge("Hana"), local_time(run.second(strokes)), looked_at
    )


class _Run:
    """The lot on its press, and what is drawn of it."""

    def __init__(self, plant: Plant, stampers: list[str], discs: list[_Disc], strokes: int) -> None:
        self._seconds = plant.scale.seconds(CYCLE_S)
        self._stack = plant.scale.pack(STACK)
        self._stampers, self._discs, self._strokes = stampers, discs, strokes

    def second(self, stroke: int) -> int:
        """Return when a stroke was pressed."""
        return BEGIN + 900 + self._seconds * stroke

    def at_press(self) -> list[tuple[int, str]]:
        """Return the scans of the press."""
        codes = [LOT, *self._stampers, code("C", 39), MOTH.label(1, "A"), MOTH.label(1, "B")]
        sides = [f'"{MOTH.matrix(1, side)}' for side in "AB"]
        begin = [badge_scan("Finn"), raw_act("SETUP"), *map(raw_plant, codes), raw_act("START"), *sides]
        scans = [(BEGIN + 10 * place, raw) for place, raw in enumerate(begin)]
        ends = [*range(self._stack, self._strokes, self._stack), self._strokes]
        for place, stroke in enumerate(ends):
            raws = (raw_act("STACK"), raw_plant(code("K", 9800 + place)), f"#{stroke}")
            # A sample of the last stroke is drawn before its stack is read.
            scans += [(self.second(stroke) + 60 + 5 * step, raw) for step, raw in enumerate(raws)]
        last = self.second(self._strokes) + 90
        return [*scans, (last, raw_act("STOP")), (last + 5, f"#{self._strokes}")]

    def at_bench(self) -> list[tuple[int, str]]:
        """Return the scans of who draws the samples."""
        scans = [(BEGIN + 300, badge_scan("Hana"))]
        for disc in self._discs:
            raws = (raw_act("SAMPLE"), raw_plant(LOT), raw_plant(disc.tag), f"#{disc.stroke}")
            scans += [(self.second(disc.stroke) + 5 * step, raw) for step, raw in enumerate(raws)]
        return scans

    def judged(self) -> list[tuple[int, str]]:
        """Return the scans of who judges, once all is measured."""
        raws = [badge_scan("Ivo")]
        for disc in self._discs:
            bad = round(disc.a, 1) > LIMIT_DB
            word, defect = ("BAD", ['"surface noise']) if bad else ("GOOD", [])
            raws += [raw_act(word), raw_plant(disc.tag), *defect]
        # The first and the last of the quiet ones are played for weeks.
        for disc in (self._discs[0], self._discs[STEADY - 1]):
            raws += [raw_act("SLOWTEST"), raw_plant(disc.tag), f'"{PLAYED}']
        begin = self.second(self._strokes) + 1800
        return [(begin + 6 * place, raw) for place, raw in enumerate(raws)]


def _plan(strokes: int) -> dict[str, Any]:
    since, calibrated, due = BEFORE[:10], "2025-01-15", "2025-12-31"
    return {
        "station": [
            {"code": PRESS, "area": "press", "name": "Press 4"},
        ],
        "lot": [{"code": LOT, "gtin": MOTH.gtin, "piece": 1, "quantity": strokes}],
        "lab_test": [
            {
                "name": "noise",
                "unit": "dB",
                "measured_on": "side",
                "method": "silent groove, weighted",
                "defect": "surface noise",
            },
            {"name": "mass", "unit": "g", "measured_on": "disc", "method": "scale", "defect": "wrong mass"},
        ],
        "limit": [
            {"test": "noise", "upper": f"{LIMIT_DB:.1f}", "since": since},
            {"test": "mass", "lower": "135.0", "upper": "150.0", "since": since},
        ],
        "gauge": [
            _gauge(TESTER, "groove tester", "noise", calibrated, due),
            _gauge(SCALE, "scale", "mass", calibrated, due),
        ],
        "instrument": [
            {
                "name": "groove tester",
                "decimal": "comma",
                "separator": "semicolon",
                "sample": "Tag",
                "side": "Side",
                "gauge": TESTER,
                "values": [{"heading": "Noise", "test": "noise", "unit": "dB"}],
            }
        ],
        "slow_test": [
            {
                "name": PLAYED,
                "readings": [
                    {"label": "10 hours played", "days": 2},
                    {"label": "50 hours played", "days": 14},
                ],
            }
        ],
        # The lot of this story is drawn from far more densely than any plan asks.
        "sampling_plan": [{"gtin": MOTH.gtin, "aql": "4.0", "level": "S-2", "since": NEXT_DAY}],
    }


def _gauge(tag: str, name: str, test: str, calibrated: str, due: str) -> dict[str, Any]:
    days = {"calibrated": calibrated, "due": due}
    return {"code": tag, "name": name, "tests": [test], "resolution": "0.1", **days}


def _discs(dice: random.Random, strokes: int) -> Iterator[_Disc]:
    for place in range(SAMPLES):
        louder = LOUDER_DB * max(0, place - STEADY + 1)
        yield _Disc(
            code("S", 90300 + place),
            1 + place * (strokes - 1) // (SAMPLES - 1),
            USUAL_DB + louder + dice.gauss(0, SPREAD_DB),
            USUAL_DB + 0.4 + dice.gauss(0, SPREAD_DB),
            141.0 + dice.gauss(0, 0.7),
        )


def _csv(discs: list[_Disc]) -> str:
    lines = ["Tag;Side;Noise"]
    for disc in discs:
        lines += [
            f"{disc.tag};{side};{value:.1f}".replace(".", ",")
            for side, value in (("A", disc.a), ("B", disc.b))
        ]
    return "\n".join(lines) + "\n"

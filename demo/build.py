"""Build the demo plant: ten days of an invented pressing plant as plant file, station logs and labels.

Run `python demo/build.py OUT`. The same seed and scale give the same files, byte for byte.
"""

import argparse
from pathlib import Path

from clockwork import Clock, day_start
from dockside import Gate
from labelsheet import write_labels
from labroom import Lab
from measure import Scale
from packing import Line
from plantdata import PRESS_QUEUES
from plantfile import as_toml, plant_file
from pressroom import Press
from stock import PHASE_2_DAY, Plant
from story import story_of
from toolshop import work as tool_room
from writer import write_logs, write_story

SEED = 20310303
"""Of all dice of the demo as it is told."""
LEAST_SCALE = 0.05


def run_plant(seed: int, scale: Scale) -> Plant:
    """Let the plant work its ten days.

    Args:
        seed: of all dice.
        scale: how large the plant is.
    """
    clock = Clock()
    plant = Plant(seed, scale, clock)
    lab = Lab(plant)
    clock.start(tool_room(plant), 0)
    clock.start(lab.work(), day_start(0))
    for number, queue in enumerate(PRESS_QUEUES, 1):
        clock.start(Press(plant, lab, number).work(queue), day_start(0))
    for number in (1, 2):
        clock.start(Line(plant, number).work(), day_start(0))
        clock.start(Gate(plant, number).work(), day_start(0))
    clock.run(day_start(PHASE_2_DAY + 1))
    return plant


def build(out: Path, seed: int = SEED, scale: float = 1.0, *, labels: bool = True) -> Plant:
    """Write the demo plant into a folder.

    Args:
        out: the folder; made if it is not there. Files of an earlier build are replaced.
        seed: of all dice.
        scale: share of the full plant, 0.05 to 1.
        labels: whether to draw the label pictures too.
    """
    plant = run_plant(seed, Scale(scale))
    out.mkdir(parents=True, exist_ok=True)
    (out / "plant.toml").write_text(as_toml(plant_file(plant.scale)), encoding="utf-8", newline="\n")
    for old in (out / "logs").glob("phase*.jsonl"):
        old.unlink()
    write_logs(out / "logs", plant)
    pictures = write_labels(out / "labels", plant) if labels else {}
    write_story(out / "story.json", story_of(plant, pictures))
    return plant


def main() -> None:
    """Read the command line and build."""
    parser = argparse.ArgumentParser(
        description="Build the demo plant: plant file, station logs, labels, story."
    )
    parser.add_argument("out", type=Path, help="folder to write into")
    parser.add_argument("--seed", type=int, default=SEED, help="of all dice (default: %(default)s)")
    parser.add_argument(
        "--scale", type=float, default=1.0, help="share of the full plant, 0.05 to 1 (default: 1)"
    )
    parser.add_argument("--no-labels", action="store_true", help="leave the label pictures out")
    given = parser.parse_args()
    if not LEAST_SCALE <= given.scale <= 1:
        parser.error(f"scale is {given.scale}: expected {LEAST_SCALE} to 1")
    plant = build(given.out, given.seed, given.scale, labels=not given.no_labels)
    scans = sum(len(station.scans) for station in plant.stations.values())
    print(f"{scans} scans of {len(plant.stations)} stations are in {given.out}.")


if __name__ == "__main__":
    main()

"""Play the demo plant and tell its story: `python demo/play.py OUT`, or `runout demo OUT`.

Everything is done through the command `runout`, as a person would; each command is shown before it runs.
Everything in the plant is invented: titles, people, places, customers.
"""

import argparse
import json
import shlex
import subprocess
import sys
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from build import LEAST_SCALE, SEED, build
from caseplay import LETTERS, open_case, work_case
from clockwork import day_start, local_time
from drift import BEFORE, Drift
from drift import prepare as prepare_drift
from hall.hallstory import break_a_turntable, build_turntables
from hall.secondhall import prepare as prepare_hall
from liveline import LiveLine, prepare
from plantdata import SPARE_LINE
from processroom import BEFORE as BEFORE_THE_WASH
from processroom import BLEND, WASH_2, ProcessRoom
from processroom import LOT as WASHED
from processroom import prepare as prepare_processes
from smallorders import BY, SmallOrders
from smallorders import prepare as prepare_orders
from stock import PHASE_2_DAY

LEDGER = "runout.db"
MADE = (
    LEDGER,
    f"{LEDGER}-wal",
    f"{LEDGER}-shm",
    f"{LEDGER}.key",
    f"{LEDGER}.key.last",
    f"{LEDGER}.pin-key",
    f"{LEDGER}.{SPARE_LINE}.key",
    f"{LEDGER}.{SPARE_LINE}.key.scans",
    "scope.html",
    "scope.json",
    "genealogy.svg",
    "genealogy.html",
    "chart.svg",
    "chart.html",
    "bath.html",
    "bath.svg",
    "unit.svg",
    "reel.html",
    "reel.svg",
    "labels/cards-line.pdf",
    "labels/cards-dock.pdf",
)
FINDINGS = 1
BEFORE_THE_FIRST_DAY = local_time(-58 * 3600)
"""The Friday before the tool room begins: what the plant file says is so since then, materials are there."""
HOLD_AT = local_time(day_start(PHASE_2_DAY) + 5 * 3600)
"""Before the tenth day's work begins."""


class Teller:
    """Runs commands in the demo's folder and says what they are for."""

    def __init__(self, out: Path) -> None:
        """Args: out: the folder the demo plays in."""
        self.out = out
        self.began = time.monotonic()

    def chapter(self, title: str, *sentences: str) -> None:
        """Begin a part of the story."""
        print(f"\n== {title}")
        for sentence in sentences:
            print(sentence)
        sys.stdout.flush()

    def ask(self, *words: str) -> str:
        """Run one `runout` command, shown first, and return what it says, without showing that."""
        done = self._done(words, captured=True)
        _require_code(done, words, (0,))
        return done.stdout.strip()

    def run(self, *words: str, allowed: Sequence[int] = (0,), shown: int | None = None) -> None:
        """Run one `runout` command, shown first.

        Args:
            words: what stands behind `runout`.
            allowed: exit codes that belong to the story.
            shown: how many lines of the output to show; None for all.
        """
        done = self._done(words, captured=shown is not None)
        if shown is not None:
            lines = done.stdout.splitlines()
            print("\n".join([*lines[:shown], f"... {len(lines) - shown} more lines"]))
        _require_code(done, words, allowed)

    def _done(self, words: Sequence[str], *, captured: bool) -> subprocess.CompletedProcess[str]:
        print(f"\n$ runout {shlex.join(words)}")
        sys.stdout.flush()
        return subprocess.run(  # noqa: S603  our own command
            [str(Path(sys.executable).with_name("runout")), *words],
            cwd=self.out,
            text=True,
            check=False,
            stdout=subprocess.PIPE if captured else None,
        )


def _require_code(
    done: subprocess.CompletedProcess[str], words: Sequence[str], allowed: Sequence[int]
) -> None:
    if done.returncode not in allowed:
        sys.exit(f"runout {words[0]} ended with {done.returncode}; expected one of {list(allowed)}")


def play(out: Path, scale: float) -> None:
    """Build the plant in a folder and tell its story.

    Args:
        out: the folder; what an earlier run left in it is replaced.
        scale: share of the full plant.
    """
    teller = Teller(out)
    teller.chapter(
        "Ten days of an invented plant",
        "Three presses, two packing lines, a tool room, a lab, a dock, in March 2025.",
        "Their scans are loaded now: the ledger keeps when a thing happened and when it was recorded, and its reports",
        "say that the records were loaded later. At a working plant both times are a second apart.",
    )
    plant = build(out, SEED, scale)
    scans = sum(len(station.scans) for station in plant.stations.values())
    print(
        f"{scans} raw scans of {len(plant.stations)} stations are in {out}/logs, label pictures in {out}/labels."
    )
    for name in MADE:
        (out / name).unlink(missing_ok=True)
    story = json.loads((out / "story.json").read_text(encoding="utf-8"))
    live = prepare(out, plant)
    small = prepare_orders(out, plant)
    drift = prepare_drift(out, plant)
    room = prepare_processes(out, plant, drift)
    hall = prepare_hall(out, plant, drift)
    _run_the_plant(teller, out)
    _what_was_stopped(teller)
    _live_line(teller, live, story)
    _bad_stamper(teller, story)
    _after_the_hold(teller, out)
    _small_orders(teller, small)
    work_case(teller, story)
    _noisier_and_noisier(teller, drift, story)
    _a_bad_bath(teller, room, story)
    build_turntables(teller, hall, story["people"]["quality_lead"])
    break_a_turntable(teller, hall, story["people"]["quality_lead"])
    _genealogy(teller, story)
    _numbers(teller, story)
    _proof(teller)
    took = time.monotonic() - teller.began
    teller.chapter("What there is to look at", f"The whole story took {took:.0f} s.")
    for name, what in (
        ("scope.html", "the scope of the bad stamper, for the authorised person who decides"),
        (f"{LETTERS}/", "the letters to those who got some of its discs"),
        ("genealogy.svg", "the family tree of one lot, from the lacquers to the shipments"),
        ("genealogy.html", "the same lot as a page"),
        ("chart.html", "the control chart of a stamper that gets noisier"),
        ("bath.html", "a lot of a blend, washed in two baths of which one had gone bad"),
        ("unit.svg", "a turntable of the second hall, with all it is built of"),
        ("reel.html", "the scope of a bad reel: turntables and customers that got its connectors"),
        ("labels/", "label pictures; read one with: runout label read labels/sleeve.png"),
        (
            "labels/cards-line.pdf",
            "the card of a packing line: its actions, and the reasons that are scanned",
        ),
        (LEDGER, f"the ledger: cd {out} and try runout trace, contain, findings, hold"),
    ):
        print(f"  {out / name}: {what}")


def _logs(out: Path, phase: int) -> list[str]:
    return sorted(str(log.relative_to(out)) for log in (out / "logs").glob(f"phase{phase}-*.jsonl"))


def _run_the_plant(teller: Teller, out: Path) -> None:
    teller.chapter(
        "The plant runs",
        "Every scan goes through the very same path as a live one. Cards with the actions of a station and the reasons of",
        "the plant hang there: whoever rejects a disc scans why.",
    )
    teller.run("init", "--plant", "plant.toml", "--at", BEFORE_THE_FIRST_DAY)
    for area in ("line", "dock"):
        teller.run("label", "acts", area, f"labels/cards-{area}.pdf", "--reasons")
    teller.run("replay", *_logs(out, 1), allowed=(FINDINGS,))


def _what_was_stopped(teller: Teller) -> None:
    teller.chapter(
        "What the stations stopped",
        "A sleeve of the edition packed before, a second copy of disc 1, a number printed twice, a swapped",
        "stamper pair at set-up, old sleeves, a scratched barcode. Each is an entry with its raw characters.",
    )
    for finding in ("wrong-title", "second-copy", "duplicate-number", "pair-swapped"):
        teller.run("findings", "--finding", finding, allowed=(FINDINGS,))


def _live_line(teller: Teller, live: LiveLine, story: dict[str, Any]) -> None:
    teller.chapter(
        "A live line, labels read from pictures",
        f'The stack {live.spindle} of "{live.title}" had lost its card for days; it turned up behind line 3. The line',
        "is opened with it. Then three label pictures are held before the camera: a disc, a sleeve that is not",
        "its own, and the right one. Two independent readers must agree on every bar code. This line signs its scans",
        "with a key that lies on its machine: two people enrol it, and from then on nobody else can make a scan of it.",
    )
    teller.run("replay", _inside(teller, live.log))
    people = story["people"]
    words = ("--by", people["quality_lead"], "--second", people["second_person"])
    key = teller.ask("station-key", "make", live.station)
    teller.run("station-key", "enrol", key, *words, "--reason", "line 3 signs what it scans")
    pictures = [
        ("--image", _inside(teller, file)) for file in (live.disc, live.wrong_sleeve, live.right_sleeve)
    ]
    shown = [word for pair in pictures for word in pair]
    teller.run("line", "--station", live.station, *shown, allowed=(FINDINGS,))


def _inside(teller: Teller, file: Path) -> str:
    return str(file.relative_to(teller.out))


def _bad_stamper(teller: Teller, story: dict[str, Any]) -> None:
    bad = story["bad_stamper"]
    rows = [
        f"  {one['sample']}  lot {one['lot']} disc {one['stroke']:>5}  stroke {one['life']:>5} of the stamper: "
        + ("good" if one["defect"] is None else f"BAD, {one['defect']}")
        for one in bad["samples"]
    ]
    teller.chapter(
        "One bad stamper",
        f"On the evening of the ninth day the lab has heard the samples of stamper {bad['code']} ({bad['matrix']}):",
        *rows,
        "Somewhere between the last good and the first bad disc it was scratched. What did it touch, how sure is",
        "that, and where is it now? The lead of quality holds all of it in the same step.",
    )
    people = story["people"]
    words = ["contain", bad["code"], "--shape", "from-onset", "--defect", bad["defect"]]
    teller.run(
        *words,
        *("--hold", "--by", people["quality_lead"], "--reason", bad["defect"], "--at", HOLD_AT),
        *("--html", "scope.html"),
        allowed=(FINDINGS,),
    )
    open_case(teller, story, HOLD_AT)


def _after_the_hold(teller: Teller, out: Path) -> None:
    teller.chapter(
        "The next day",
        "The floor works on. A line reaches for a held spindle, the dock for held pallets: each is refused, the",
        "rest goes on.",
    )
    teller.run("replay", *_logs(out, 2), allowed=(FINDINGS,))
    teller.run("findings", "--finding", "on-hold", allowed=(FINDINGS,))


def _small_orders(teller: Teller, small: SmallOrders) -> None:
    teller.chapter(
        "Small orders, returns, and a count",
        "Two orders come as a file, one of them for two products; stock is kept for each line. One carton leaves a",
        "pallet on its own. A carton of the numbered edition comes back, sleeve by sleeve, and one disc alone, which",
        "is destroyed before a witness; its sleeve is then seen again. A carton is counted: one is missing.",
    )
    teller.run("orders", _inside(teller, small.orders), "--by", BY)
    teller.run("allocate", small.two_lines, "--by", BY)
    teller.run("replay", _inside(teller, small.log), allowed=(FINDINGS,))
    teller.run("findings", "--finding", "destroyed-number", allowed=(FINDINGS,))
    teller.run("investigate", "list", allowed=(FINDINGS,))


def _noisier_and_noisier(teller: Teller, drift: Drift, story: dict[str, Any]) -> None:
    teller.chapter(
        "A stamper gets noisier",
        "The plant names what its lab measures, with limits and gauges. Another lot runs; its samples lie on an instrument",
        "that writes files. They are read as the plant file says, all of a file or nothing, and no file twice. After the first",
        "file the lab freezes the baseline of a chart; from then on a value that does not fit warns before one is over its limit.",
        "Two of the quiet discs are played for weeks: what is to be looked at, and when, stands last.",
    )
    quality = story["people"]["quality_lead"]
    teller.run("plan", _inside(teller, drift.plan), "--by", quality, "--at", BEFORE)
    teller.run("replay", *(_inside(teller, log) for log in drift.pressing))
    for number, file in enumerate(drift.files):
        words = ("read-results", _inside(teller, file), "--instrument", "groove tester", "--by", drift.by)
        teller.run(*words, "--at", drift.measured, "--format", "csv", allowed=(0, FINDINGS), shown=3)
        if number == 0:
            why = (
                "--reason",
                "first run of the stamper, all quiet",
                "--by",
                drift.by,
                "--at",
                drift.measured,
            )
            teller.run("baseline", drift.stamper, "--test", "noise", *why)
    teller.run("findings", "--finding", "chart-signal", "--last", "2", allowed=(FINDINGS,))
    teller.run("replay", _inside(teller, drift.judging))
    teller.run("results", drift.stamper, "--test", "noise", allowed=(FINDINGS,))
    drawn = ("--svg", "chart.svg", "--html", "chart.html")
    teller.run("chart", drift.stamper, "--test", "noise", *drawn, allowed=(FINDINGS,))
    words = ("contain", drift.stamper, "--shape", "from-onset", "--defect", "surface noise")
    teller.run(*words, allowed=(FINDINGS,))
    teller.run("samples", "--due", "--date", drift.looked_at, allowed=(FINDINGS,))


def _a_bad_bath(teller: Teller, room: ProcessRoom, story: dict[str, Any]) -> None:
    teller.chapter(
        "A wash bath goes bad",
        "Beside pressing, a process room works in steps: a stamper goes through the nickel tank, pellets are blended with what",
        "was ground of the noisy lot, and the stacks of a lot pressed from that blend are washed in two baths. In the second",
        "bath two stacks stood before anybody read it. Which disc met which water nobody knows: what was in it is taken in.",
    )
    quality = story["people"]["quality_lead"]
    teller.run("plan", _inside(teller, room.plan), "--by", quality, "--at", BEFORE_THE_WASH)
    teller.run("replay", *(_inside(teller, log) for log in room.logs), allowed=(FINDINGS,))
    teller.run("trace", BLEND, "--back", shown=19)
    hold = ("--hold", "--by", quality, "--reason", "rinse water ran out", "--at", room.noticed)
    teller.run("contain", WASH_2, "--shape", "intermittent", *hold, allowed=(FINDINGS,))
    drawn = ("--svg", "bath.svg", "--html", "bath.html")
    teller.run("trace", WASHED, "--format", "csv", *drawn, shown=6)


def _genealogy(teller: Teller, story: dict[str, Any]) -> None:
    lot = story["bad_stamper"]["lots"][0]
    teller.chapter(
        "The genealogy of one lot",
        "Back to the lacquers, the pellets and the press; forward to every carton, pallet and consignee.",
    )
    teller.run("trace", lot, "--back")
    teller.run("trace", lot, "--format", "csv", "--svg", "genealogy.svg", "--html", "genealogy.html", shown=4)


def _numbers(teller: Teller, story: dict[str, Any]) -> None:
    teller.chapter(
        "Do the numbers add up?",
        "Every disc of a lot stands in one line. Of the numbered sleeves one was spoiled; the rest that is neither",
        "used nor counted back is the difference, and each number is looked at by itself.",
    )
    batch = story["numbered_batch"]
    teller.run("balance", story["bad_stamper"]["lots"][0])
    teller.run("label", "count", batch, "spoiled", "1", "--by", story["people"]["quality_lead"])
    teller.run("balance", batch, allowed=(FINDINGS,))
    teller.run("board", "line", "--once", "--date", HOLD_AT[:10])


def _proof(teller: Teller) -> None:
    teller.chapter(
        "Is it all there, and unchanged?",
        "Every entry is checked against the one before, every table row against a replay of the journal.",
    )
    teller.run("audit", "verify")


def main() -> None:
    """Read the command line and play."""
    parser = argparse.ArgumentParser(description="Build the demo plant in OUT, run it, and tell its story.")
    parser.add_argument("out", type=Path, help="folder to play in; made if it is not there")
    parser.add_argument(
        "--scale", type=float, default=1.0, help="share of the full plant, 0.05 to 1 (default: 1)"
    )
    given = parser.parse_args()
    if not LEAST_SCALE <= given.scale <= 1:
        parser.error(f"scale is {given.scale}: expected {LEAST_SCALE} to 1")
    play(given.out, given.scale)


if __name__ == "__main__":
    main()

"""The second hall, as the demo tells it."""

from pathlib import Path
from typing import Any, Protocol

from hall.droptest import DEFECT
from hall.secondhall import BEFORE, SecondHall

FINDINGS = 1


class Tells(Protocol):
    """What a chapter needs of the teller."""

    out: Path

    def chapter(self, title: str, *sentences: str) -> None:
        """Begin a part of the story."""

    def run(self, *words: str, allowed: Any = (0,), shown: int | None = None) -> None:
        """Run one command."""


def build_turntables(teller: Tells, hall: SecondHall, quality: str) -> None:
    """Two days of the hall, and what its parts come to."""
    teller.chapter(
        "A second hall builds turntables",
        "On the Monday and Tuesday after, the plant's other hall builds turntables of a dozen kinds of bought parts. Lots are",
        "tested, taped on reels and poured into trays; a machine places parts on boards, which are soldered, tested and joined",
        "with arms and loose parts. A motor lot fails its test, a wrong reel is stopped at set-up, a reel is joined to the tail of",
        "another in the middle of a board, a board and a turntable are repaired. On the second day another rubber foot is wanted.",
        "At the end what is left is counted: one connector and two screws are missing.",
    )
    teller.run("plan", _inside(teller, hall.plan), "--by", quality, "--at", BEFORE)
    teller.run("replay", *(_inside(teller, log) for log in hall.logs), allowed=(FINDINGS,))
    for code in (hall.last_reel, hall.screws, hall.bad_reel):
        teller.run("balance", code, allowed=(0, FINDINGS))
    teller.run("trace", hall.unit, "--format", "csv", "--svg", "unit.svg", shown=6)


def break_a_turntable(teller: Tells, hall: SecondHall, quality: str) -> None:
    """Three weeks later, at the lab: from a broken turntable to a reel, and from the reel to customers."""
    teller.chapter(
        "Turntables break in the drop test",
        "Six of the turntables are dropped at the lab, fifty times in three weeks. Two of them break: a connector is loose. What",
        "were both built of, and the others not? Their connectors came off one reel, which had been joined to another's tail.",
        "Which turntables have connectors of that reel, and who has them? What can still leave is held, and a case is opened. Its",
        "first positions are of a lot of which another reel lies in the store: that one is held as well, before anybody loads it.",
    )
    teller.run("replay", _inside(teller, hall.dropped))
    teller.run("cause", "--defect", DEFECT, allowed=(0, FINDINGS))
    asked = (hall.bad_reel, "--shape", "intermittent", "--defect", DEFECT)
    why = ("--by", quality, "--reason", DEFECT, "--at", hall.noticed)
    teller.run("contain", *asked, "--hold", *why, "--html", "reel.html", allowed=(FINDINGS,))
    teller.run("case", "open", *asked, *why)
    lot = (hall.bad_lot, "--shape", "intermittent", "--defect", DEFECT)
    teller.run("contain", *lot, "--hold", *why, allowed=(FINDINGS,), shown=14)
    teller.run("trace", hall.bad_reel, "--forward", "--format", "csv", "--svg", "reel.svg", shown=6)


def _inside(teller: Tells, file: Path) -> str:
    return str(file.relative_to(teller.out))

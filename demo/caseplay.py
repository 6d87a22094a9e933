"""The containment case of the bad stamper, as the demo tells it."""

from collections.abc import Iterable
from pathlib import Path
from typing import Any, Protocol

from clockwork import day_start, local_time
from plantdata import PLANT
from stock import PHASE_2_DAY

CASE = "Q000001Z"
FINDINGS = 1
LETTERS = "notices"
CONTACTS = "contacts.toml"
_ITEMS = (
    "reason=On side A a scratch can be heard once in every turn.",
    "contact=Quality, June, telephone 3011",
    "instruction=Do not sell them. Send them back with the form below.",
    "remedy=New copies within three weeks, carriage paid.",
)


class Tells(Protocol):
    """What a chapter needs of the teller."""

    out: Path

    def chapter(self, title: str, *sentences: str) -> None:
        """Begin a part of the story."""

    def run(self, *words: str, allowed: Any = (0,), shown: int | None = None) -> None:
        """Run one command."""


def open_case(teller: Tells, story: dict[str, Any], at: str) -> None:
    """Keep the question with its answer, right after the hold."""
    bad, lead = story["bad_stamper"], story["people"]["quality_lead"]
    teller.run(
        *("case", "open", bad["code"], "--shape", "from-onset", "--defect", bad["defect"]),
        *("--by", lead, "--reason", bad["defect"], "--at", at),
    )
    teller.run("case", "holds", CASE, "--by", lead, "--reason", bad["defect"], "--at", at)


def work_case(teller: Tells, story: dict[str, Any]) -> None:
    """Tell the consignees, write down an answer, ask again, and look how far it is."""
    lead, second = story["people"]["quality_lead"], story["people"]["second_person"]
    consignees = sorted({one["consignee"] for one in story["affected"]["shipped"]})
    letters = teller.out / LETTERS
    letters.mkdir(exist_ok=True)
    for letter in letters.glob(f"{CASE}-*"):
        letter.unlink()
    teller.chapter(
        "The case of the bad stamper",
        "Some of it had left before the lab knew. Each consignee is told in a letter made from a template, with a list of its",
        "cartons and as an e-mail file; one of them answers. Half of them will be asked whether the letter came and was acted on. What could still be shipped is",
        "asked of the records. It is wrong audio: the lead has marked no safety matter, and the program does not choose.",
    )
    at = local_time(day_start(PHASE_2_DAY) + 20 * 3600)
    (teller.out / CONTACTS).write_text(_contacts(consignees), encoding="utf-8", newline="\n")
    teller.run("plan", CONTACTS, "--by", lead)
    items = [word for item in _ITEMS for word in ("--item", item)]
    teller.run(
        *("case", "notice", CASE, "--all", "--by", lead, "--method", "e-mail", "--out", LETTERS, "--at", at),
        *items,
    )
    teller.run(
        *(
            "case",
            "reply",
            CASE,
            "--consignee",
            consignees[0],
            "--quantity-on-hand",
            "12",
            "--returned",
            "10",
        ),
        *("--by", second, "--at", local_time(day_start(PHASE_2_DAY + 2) + 10 * 3600)),
    )
    teller.run("case", "level", CASE, "B", "--by", lead, "--at", at)
    teller.run("contain", "--again", CASE, allowed=(0, FINDINGS))
    teller.run("case", "status", CASE, allowed=(FINDINGS,))
    teller.run("drill", "--seed", "7", allowed=(0, FINDINGS))


def _contacts(consignees: Iterable[str]) -> str:
    """Whom to write to at each consignee, and who writes."""
    found = [(PLANT, "June, Quality", "quality@plant.example.com")]
    for consignee in consignees:
        host = "-".join(consignee.lower().split())
        found.append((consignee, "Returns", f"returns@{host}.example.com"))
    return "".join(
        f'[[contact]]\nname = "{name}"\nperson = "{person}"\nemail = "{email}"\nsince = "2025-01-01"\n\n'
        for name, person, email in found
    )

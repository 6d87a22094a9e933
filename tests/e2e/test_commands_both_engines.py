"""Every command and every station on a file and on a server: one day of work, typed into both, says and books the same.

`RUNOUT_TEST_ENGINE=postgresql` runs all tests that scan on a plant in memory on a server instead (`support_plant.py`).
"""

import json
import re
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from support_cases import ADA, BEN, CAUSE, CLEO, shipped_file
from support_cli import run, station_log, write_plant_file
from support_clock import station_clock
from support_commands import commands
from support_partners import event, written
from support_plant import (
    DOCK,
    LAB,
    LINE,
    LINE_2,
    PRESS,
    TOOL,
    carton_sscc,
    code,
    gtin,
    n,
    pallet_sscc,
    raw,
)

from runout import copy_ledger
from tracelink.store.journal import journal
from tracelink.store.journal.keys import make_key
from tracelink.store.journal.verify import examine
from tracelink.store.ledger import read_ledger

AT = "2031-03-05T09:00:00+01:00"
CASE = code("Q", 1)
LOT = n("L1")

NO_LEDGER = {
    "demo", "guide", "agreement", "gauge-study", "code read", "case rules", "audit check", "audit verifier", "label read",
    "label draw", "label preview", "label check", "label batch", "station-key make",
}  # fmt: skip
"""Commands that open none, or only draw."""
ELSEWHERE = {
    **dict.fromkeys(("group publish", "group add", "group take", "group status"), "test_group.py"),
    **dict.fromkeys(("group trace", "group contain", "group find"), "test_group.py"),
    **dict.fromkeys(
        ("browser enrol", "browser withdraw"), "what they give out is of chance; they ask the public package"
    ),
    "serve": "a server does not end; its pages ask the public package, as all commands do",
    "init": "test_plan_postgres.py",
    "copy": "test_copy.py",
    "backup": "for files; a server has its own tools",
    "restore": "for files; a server has its own tools",
    "upgrade": "test_tree_postgres.py",
    "audit export": "test_audit_bundle_postgres.py",
    "health": "what it measures is of this moment; on a server it asks for no checkpoint beside a file",
    "process": "test_both_engines.py",
    "assembly": "test_both_engines.py",
}
"""Commands that are tried on a server in another place, or have no place there."""


@dataclass(frozen=True)
class Step:
    """Words that are typed, and lines that are scanned."""

    words: tuple[object, ...]
    scans: str = ""


def step(*words: object, scans: Sequence[str] = ()) -> Step:
    return Step(words, "".join(f"{raw(line)}\n" for line in scans))


def signed(*words: object) -> Step:
    return step(*words, "--by", ADA)


REFUSED = {"chart", "baseline", "capability", "read-results", "check-cartons", "label numbers"}
"""Commands that this plant has nothing for (no lab test, no carton that was not shipped, no batch without numbers): they say so alike."""
INVESTIGATION = object()
"""In place of the number of the investigation that was opened."""


def day(folder):
    """A day of work, in its order; files that are written lie in the working folder."""
    write_plant_file(
        folder / "more.toml",
        {"lot": [{"code": code("L", 20), "gtin": gtin(1), "piece": 1, "quantity": 50}]} | {"plant": None},
    )
    (folder / "orders.csv").write_text(
        f"order,consignee,country,gtin,quantity\n{code('O', 31)},Shop 31,DE,{gtin(1)},5\n"
    )
    (folder / "values.csv").write_text("sample,value\n")
    log = station_log(folder / "line.jsonl", LINE_2, [raw("P1"), raw("HELP"), raw("disc 1.1")])
    maker = f"https://maker.example.com/lot/{code('C', 7)}"
    document = written(folder / "maker.jsonld", event(1, (maker, {"quantity": 5, "uom": "KGM"})))
    make_key(folder / "eye.key", "eye")
    ours = str(make_key(folder / "ours.key", "ours"))
    of_line = str(make_key(folder / "line.key", LINE_2))
    return (
        signed("plan", folder / "more.toml"),
        step(
            "tool",
            "--station",
            TOOL,
            scans=("P1", "LACQUER", "T901", '"A', '"EX-101-A', "GROW", "T901", "T902"),
        ),
        step("press", "--station", PRESS, scans=("P1", "SETUP", "L20", "T5", "T15", "C1", "E1", "E2")),
        step(
            "press",
            "--station",
            PRESS,
            scans=("P1", "START", '"EX-101-A', '"EX-101-B', "STACK", "K901", "#8"),
        ),
        step(
            "lab",
            "--station",
            LAB,
            scans=("P1", "SAMPLE", "L20", "S901", "#3", "K901", "BAD", "S901", '"scratch'),
        ),
        step(
            "line",
            "--station",
            LINE,
            scans=("P1", "CLEAR", "P2", "B1", "K901", "carton 9", "disc 1.1", "sleeve 2"),
        ),
        step("dock", "--station", DOCK, scans=("P1", "PALLET", "pallet 9", "carton 3")),
        step("replay", log),
        step("board", "--once", "--date", "2031-03-03"),
        step("search", "comet"),
        step("trace", CAUSE),
        step("contain", CAUSE, "--shape", "from-onset", "--format", "csv"),
        step("contain", CAUSE, "--shape", "from-onset", "--totals"),
        step("cause", "--defect", "scratch"),
        step("balance", LOT),
        signed("balance", n("B1"), "--investigate", "--reason", "short"),
        step("findings"),
        step("hold"),
        signed("case", "open", CAUSE, "--shape", "from-onset", "--reason", "scratch"),
        signed("case", "scope", CASE, "--reason", "later"),
        step("case", "list"),
        step("case", "show", CASE),
        signed("case", "holds", CASE, "--reason", "scratch"),
        signed("case", "notice", CASE, "--all", "--dry-run"),
        signed("case", "reply", CASE, "--consignee", "Shop 9", "--quantity-on-hand", 5, "--at", AT),
        signed("case", "level", CASE, "A"),
        signed("case", "check", CASE, "--consignee", "Shop 1", "--result", "ok"),
        signed("case", "estimate", CASE, "2031-05-01"),
        signed("case", "root-cause", CASE, "--text", "a scratch in the stamper"),
        signed("case", "action", CASE, "--text", "retire it", "--owner", BEN, "--due", "2031-04-01"),
        signed("case", "link", CASE, INVESTIGATION),
        step("case", "status", CASE),
        step("case", "summary", CASE, "--at", AT),
        signed("case", "close", CASE, "--with", BEN, "--despite", "--reason", "nothing is left to do"),
        step("drill", "--seed", 7),
        step("investigate", "list"),
        signed("investigate", "close", INVESTIGATION, "--reason", "found"),
        step("check-cartons", LOT),
        step("samples", LOT, "--aql", "1.5"),
        step("results", LOT),
        step("chart", CAUSE, "--test", "noise"),
        step("baseline", CAUSE, "--test", "noise"),
        step("capability", CAUSE, "--test", "noise"),
        signed("read-results", folder / "values.csv", "--instrument", "groove tester"),
        signed("orders", folder / "orders.csv"),
        signed("allocate", code("O", 31)),
        step("find", pallet_sscc(1)),
        step("packlist", code("D", 1), "packing.pdf"),
        step("code", "make", "P"),
        step("label", "acts", "tool", "acts.pdf"),
        step("label", "confusable"),
        signed("label", "count", n("B1"), "returned", 1),
        signed("label", "issue", "carton", "--count", 2),
        step("label", "list"),
        signed("label", "numbers", n("B3"), "--count", 2),
        step("label", "print", carton_sscc(1), "carton.pdf"),
        signed("label", "return", carton_sscc(900), carton_sscc(900)),
        signed("label", "void", carton_sscc(901), "--reason", "smudged"),
        step("person", "list"),
        signed("station-key", "enrol", of_line, "--second", BEN, "--reason", "new"),
        step("station-key", "list"),
        signed("station-key", "withdraw", LINE_2, "--second", BEN, "--reason", "old"),
        Step(("person", "pin", CLEO, "--by", ADA, "--stdin"), "83529\n"),
        step("audit", "key", "--key", "ours.key"),
        step("audit", "checkpoint", "--key", "ours.key", "--out", "checkpoint.txt"),
        step("audit", "witness", "checkpoint.txt", "--key", "eye.key", "--log", ours),
        step("browser", "list"),
        signed("audit", "import", document),
        step("audit", "rules", "--binding"),
        step("audit", "prove", 1, "--checkpoint", "checkpoint.txt"),
        step("rebuild"),
        step("audit", "verify"),
    )


class Engine:
    """A ledger, into which is typed from a folder of its own."""

    def __init__(self, place, folder, monkeypatch):
        self.place = place
        self._folder = folder
        self._monkeypatch = monkeypatch
        folder.mkdir()

    def type(self, made):
        self._monkeypatch.chdir(self._folder)
        # Keys of its own: beside a key is kept what was signed last.
        for key in ("ours.key", "eye.key"):
            if not Path(key).exists():
                shutil.copy(f"../{key}", key)
        words = [self._investigation() if word is INVESTIGATION else word for word in made.words]
        return run(*words, ledger=self.place, scans=made.scans)

    def _investigation(self):
        with read_ledger(self.place) as conn:
            return conn.exec_driver_sql("SELECT MAX(seq) FROM investigation").scalar()

    def entries(self):
        """What every entry says, apart from the times of this run and what follows from them."""
        with read_ledger(self.place) as conn:
            assert examine(conn).faults == []
            bodies = [json.loads(row.canonical) for row in journal.rows(conn)]
        return [
            (each["kind"], plain(json.dumps(each["body"])), each["station"], each["person"])
            for each in bodies
        ]


_OF_THIS_RUN = re.compile(
    r"[0-9a-f]{16,64}|20\d\d-\d\d-\d\d[T ]\d\d:\d\d(:\d\d)?(Z|[ ]?[+-]\d\d:\d\d)?|\b\d+\.\d+\b|[A-Za-z0-9+/]{40,}=*"
)


def plain(text):
    """Return what was said without times and hashes of this run, and without the widths that they gave to columns."""
    text = text.replace("\u202f", "")
    return re.sub(r"[ ─]+", " ", _OF_THIS_RUN.sub("#", text))


def names(words):
    """The name of the command that words begin with."""
    return next(
        " ".join(map(str, words[:size])) for size in (2, 1) if " ".join(map(str, words[:size])) in commands()
    )


def test_a_day_typed_into_a_file_and_into_a_server_is_the_same(tmp_path, pg_place, monkeypatch):
    file = shipped_file(tmp_path)
    copy_ledger(file, pg_place)
    engines = [
        Engine(str(file), tmp_path / "file", monkeypatch),
        Engine(pg_place, tmp_path / "server", monkeypatch),
    ]
    steps = day(tmp_path)
    # Relative: each engine has the key in its own folder.
    monkeypatch.setenv("RUNOUT_PIN_KEY", "pin.key")
    apart = []
    with station_clock():
        for made in steps:
            one, other = (engine.type(made) for engine in engines)
            is_expected = (one.code in (0, 1)) != (names(made.words) in REFUSED)
            said = [
                plain((each.out + each.err).replace(engine.place, "LEDGER"))
                for each, engine in zip((one, other), engines, strict=True)
            ]
            if not is_expected or one.code != other.code or said[0] != said[1]:
                apart.append((made.words, one, other))
    assert apart == []
    assert engines[0].entries() == engines[1].entries()


def test_every_command_is_tried_on_a_server(tmp_path):
    tried = {names(made.words) for made in day(tmp_path)}
    assert {*commands()} == tried | NO_LEDGER | {*ELSEWHERE}
    assert not tried & (NO_LEDGER | {*ELSEWHERE})

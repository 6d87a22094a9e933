"""A day of work in which every command is typed and every station scanned, in an order in which each has what it needs."""

from collections.abc import Sequence
from dataclasses import dataclass

from support_cases import ADA, BEN, CAUSE, CLEO
from support_cli import station_log, write_plant_file
from support_partners import event, written
from support_plant import DOCK, LAB, LINE, LINE_2, PRESS, TOOL, carton_sscc, code, gtin, n, pallet_sscc, raw

from tracelink.store.journal.keys import make_key

AT = "2031-03-05T09:00:00+01:00"
CASE = code("Q", 1)
LOT = n("L1")


@dataclass(frozen=True)
class Step:
    """Words that are typed, and lines that are scanned."""

    words: tuple[object, ...]
    scans: str = ""


def step(*words: object, scans: Sequence[str] = ()) -> Step:
    return Step(words, "".join(f"{raw(line)}\n" for line in scans))


def signed(*words: object) -> Step:
    return step(*words, "--by", ADA)


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
        step("faults"),
        step("pace"),
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

"""Every figure that is measured here, in one table: figure, baseline of the same run, ratio, size of the ledger, machine.

Run by hand: python tests/bench/every_figure.py [--large] [--only PART]... [--out FILE]
Small by default: 21 minutes on two cores at a load of 15 to 19, and no part takes more than ten, however busy they are.
--large takes plants of a million discs and lines with a million matches, and up to an hour a part. Each part runs in a
process of its own, so that one leaves nothing behind for the next; a part that fails or takes longer is named below the
table, and the exit code is 1. Parts: see PARTS. The table is written anew after each part, so that one that is stopped
leaves what it has. What is counted rather than timed has scripts of its own in this folder.
"""

import argparse
import gc
import os
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from figure import Figure, from_lines, markdown, to_line

HERE = Path(__file__).resolve().parent
AN_HOUR, TEN_MINUTES = 3600, 600
"""Seconds for one part of the large run, and of the small one."""


def plant_in(folder: Path, large: bool) -> tuple[Path, int]:
    """Return the ledger of a plant and its discs; the first part that asks for it makes it."""
    from containment_scale import build_ledger  # noqa: PLC0415
    from support_plant import Floor  # noqa: PLC0415

    discs, place = 1_000_000 if large else 100_000, folder / "plant.db"
    if not place.exists():
        making = folder / "making.db"
        floor = Floor.new(str(making))
        build_ledger(floor, making, discs)
        floor.ledger.close()
        making.rename(place)
    return place, discs


def live(large: bool, _folder: Path) -> Iterator[Figure]:
    """A pair scanned at a line, verdict shown and durable."""
    import statistics  # noqa: PLC0415

    from line_latency import fill, measure, p99  # noqa: PLC0415
    from support_plant import Floor  # noqa: PLC0415

    matches, pairs = (1_000_000, 2000) if large else (20_000, 300)
    with tempfile.TemporaryDirectory() as folder:
        floor = Floor.new(f"{folder}/bench.db")
        fill(floor, matches, pairs)
        ours, bare = measure(floor, Path(folder, "bare.db"), pairs)
    for name, of in (("median", statistics.median), ("99th percentile", p99)):
        yield Figure(
            f"disc and sleeve scanned, verdict durable, {name}",
            of(ours) * 1e3,
            "ms",
            "bare insert and commit of the same bytes",
            of(bare) * 1e3,
            f"{matches:,} matches",
        )


def genealogy(large: bool, folder: Path) -> Iterator[Figure]:
    """Walks, scopes and totals next to the bare recursive query, and the size of the ledger next to a row per disc."""
    from containment_scale import Rows, forward_of, size_of_edges  # noqa: PLC0415

    from tracelink.cli import COLLECT_AFTER  # noqa: PLC0415
    from tracelink.store.ledger import Ledger  # noqa: PLC0415

    place, discs = plant_in(folder, large)
    gc.set_threshold(COLLECT_AFTER)  # as the command does
    size = f"{discs:,} discs"
    for lean, words in ((False, "keys like ours"), (True, "bare whole numbers")):
        rows = Rows(folder / f"rows{lean}.db", lean=lean)
        rows.build(discs // 1000)
        one = f"one row per disc, {words}"
        yield Figure("whole ledger", place.stat().st_size / 1e6, "MB", one, rows.size() / 1e6, size)
    edges = size_of_edges(place)
    if edges is not None:
        yield Figure("its edges and items alone", edges / 1e6, "MB", one, rows.size() / 1e6, size)
    with Ledger.open(str(place), read_only=True).reading() as conn:
        for what, took, bare in forward_of(conn, discs // 1000 // 2):
            yield Figure(what, took, "ms", "bare recursive query", bare, size)


def budget(large: bool, _folder: Path) -> Iterator[Figure]:
    """A lot of 40,000 discs mixed at one place: the question and its certificate."""
    from containment_budget import CASES, timed_case  # noqa: PLC0415

    for name in CASES if large else ["table400"]:
        yield from (
            Figure(what, took, "s", "", None, "40,000 discs in plain lists")
            for what, took in timed_case(name)
        )


def labels(large: bool, _folder: Path) -> Iterator[Figure]:
    """Labels drawn and proven by both readers on one core."""
    from label_speed import bare_rate, batch_rate  # noqa: PLC0415

    from tracelink.printing.layout import load_layout  # noqa: PLC0415

    for name in ("carton", "pallet"):
        layout, count = load_layout(f"{name}-label"), 60 if large else 30
        yield Figure(
            f"{name} labels drawn and proven, 203 dpi, one core",
            batch_rate(layout, 203, count),
            "/s",
            "one symbol drawn and read by the libraries alone",
            bare_rate(layout, 203, count),
            "none",
        )


def codes(_large: bool, _folder: Path) -> Iterator[Figure]:
    """Scans read and judged."""
    import statistics  # noqa: PLC0415

    import biip  # noqa: PLC0415
    from identity_speed import STATION, timed  # noqa: PLC0415

    from tracelink.identity import reading  # noqa: PLC0415

    # Lines that were read a moment ago are kept; what is held against the other is reading them.
    read = reading._read_line.__wrapped__
    for name, raw in STATION.items():
        ours = statistics.median(timed(lambda raw=raw: read(raw)) for _ in range(9))
        bare = statistics.median(timed(lambda raw=raw: biip.parse(raw)) for _ in range(9))
        yield Figure(f"a scan read: {name}", ours * 1e6, "us", "biip, of the same string", bare * 1e6, "none")


def journal(large: bool, folder: Path) -> Iterator[Figure]:
    """The journal verified, logs replayed, and scans judged again."""
    import replay_speed  # noqa: PLC0415
    from evidence_speed import table_rates, verifying_rates  # noqa: PLC0415
    from judge_again import play_rates  # noqa: PLC0415

    entries = 20_000 if large else 5000
    ours, bare = verifying_rates(folder, entries)
    yield Figure(
        "entries verified: chain, raw scans and tree",
        ours,
        "/s",
        "bare SHA-256 chain over the same rows",
        bare,
        f"{entries:,} refused scans",
    )
    place, discs = plant_in(folder, large)
    ours, bare = table_rates(str(place))
    yield Figure(
        "entries verified, with every table",
        ours,
        "/s",
        "bare SHA-256 chain over the same rows",
        bare,
        f"{discs:,} discs",
    )
    scans = 100_000 if large else 20_000
    for name, lines in replay_speed.LOGS.items():
        ours, bare = replay_speed.rates(scans, lines)
        yield Figure(
            "scans of a log judged and booked",
            ours,
            "/s",
            "the same lines inserted into a bare table",
            bare,
            f"{scans:,} scans of {name}",
        )
    again, booked = play_rates(16 if large else 4, 300)
    yield Figure("scans judged again", again, "/s", "the same scans booked", booked, "random days of a plant")


def commands(large: bool, folder: Path) -> Iterator[Figure]:
    """What a reading command costs to start, and the most memory it takes."""
    import scale_plant as plant  # noqa: PLC0415

    place, discs = plant_in(folder, large)
    # As installed: compiled once and kept, whatever the caller's own programs do.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    os.environ["PYTHONPYCACHEPREFIX"] = str(folder / "compiled")
    size = f"{discs:,} discs"
    bare = "Python with SQLAlchemy imported"
    lot = discs // plant.LOT // 2
    father, lots, stamper = plant.father(lot, 0), plant.code("L", 1000 + lot), plant.stamper(lot, 0)
    alone = _least("-c", "import sqlalchemy, sqlalchemy.dialects.sqlite")
    for name, words in (
        ("search --help", ("search", "--help")),
        ("hold", ("hold",)),
        ("find CARTON", ("find", plant.carton(7))),
        ("findings", ("findings",)),
        ("person list", ("person", "list")),
        ("search LOT", ("search", lots)),
        ("trace STAMPER", ("trace", stamper)),
        ("contain STAMPER --totals", ("contain", stamper, "--shape", "from-onset", "--totals")),
    ):
        took = _least(*_command(place, *words))
        yield Figure(f"`runout {name}`, processor", took[0] * 1e3, "ms", bare, alone[0] * 1e3, size)
    for words in (
        ("contain", father, "--shape", "from-onset"),
        ("contain", father, "--shape", "from-onset", "--totals"),
        ("trace", father, "--forward"),
        ("trace", plant.PRESS, "--forward", "--format", "json"),
        ("balance", lots),
        ("cause",),
        ("findings", "--late"),
        ("search", lots),
        ("board", "--once"),
        ("audit", "verify"),
    ):
        took = _cost(*_command(place, *words))
        shown = " ".join(
            "PRESS" if word == plant.PRESS else word for word in words if word not in (father, lots)
        )
        yield Figure(f"`runout {shown}`, memory", took[1], "MB", bare, alone[1], size)


def _command(place: Path, *words: str) -> list[str]:
    return ["-c", "from tracelink.cli import main; main()", "--ledger", str(place), "--read-only", *words]


def _least(*words: str) -> tuple[float, float]:
    """The least of three runs, of which the first compiles what is not compiled yet."""
    return min(_cost(*words) for _ in range(3))


def _cost(*words: str) -> tuple[float, float]:
    """Seconds of the processor and the most megabytes of one Python process, measured by another that waits for it."""
    told = subprocess.run(
        [sys.executable, str(HERE / "every_figure.py"), "--cost", *words],
        check=True,
        capture_output=True,
        text=True,
        timeout=AN_HOUR,
    )
    seconds, most = told.stdout.split()[-2:]
    return float(seconds), float(most)


def tell_cost(words: list[str]) -> None:
    """Run Python with some words, and print what it cost."""
    done = subprocess.run(
        [sys.executable, *words],
        check=False,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        timeout=AN_HOUR,
    )
    if done.returncode not in (0, 1) or "Traceback" in done.stderr:
        raise SystemExit(f"{words}: {done.stderr[-300:]}")
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    print(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)


PARTS: dict[str, Callable[[bool, Path], Iterator[Figure]]] = {
    "live": live,
    "genealogy": genealogy,
    "budget": budget,
    "labels": labels,
    "codes": codes,
    "journal": journal,
    "commands": commands,
}


def main() -> int:
    if sys.argv[1:2] == ["--cost"]:
        tell_cost(sys.argv[2:])
        return 0
    given = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    given.add_argument("--large", action="store_true")
    given.add_argument("--only", action="append", choices=PARTS, metavar="PART")
    given.add_argument("--out", type=Path)
    given.add_argument("--part", choices=PARTS, help=argparse.SUPPRESS)
    given.add_argument("--folder", type=Path, help=argparse.SUPPRESS)
    asked = given.parse_args()
    if asked.part:
        for figure in PARTS[asked.part](asked.large, asked.folder):
            print(to_line(figure), flush=True)
        return 0
    with tempfile.TemporaryDirectory() as folder:
        return _all_parts(asked.only or PARTS, Path(folder), asked.out, large=asked.large)


def _all_parts(names: Iterable[str], folder: Path, out: Path | None, *, large: bool) -> int:
    figures: list[Figure] = []
    failed: list[str] = []
    for name in names:
        begun = time.monotonic()
        lines, why = _part(name, folder, large=large)
        figures += from_lines(lines)
        if why is not None:
            failed.append(f"{name} failed: {why}")
        print(f"{name}: {time.monotonic() - begun:.0f} s", file=sys.stderr, flush=True)
        if out:
            out.write_text("\n".join([markdown(figures), *failed]), encoding="utf-8")
    print("\n".join([markdown(figures), *failed]))
    return 1 if failed else 0


def _part(name: str, folder: Path, *, large: bool) -> tuple[list[str], str | None]:
    """Run a part; returns what it printed, and why it is not all of it."""
    words = [sys.executable, str(Path(__file__)), "--part", name, "--folder", str(folder)]
    seconds = AN_HOUR if large else TEN_MINUTES
    with (
        (folder / "told").open("w+") as told,
        subprocess.Popen(
            [*words, *(["--large"] if large else [])],
            stdout=told,
            stderr=subprocess.PIPE,
            text=True,
            process_group=0,
        ) as part,
    ):
        try:
            said = part.communicate(timeout=seconds)[1].strip().splitlines() or ["no word"]
            why = said[-1] if part.returncode else None
        except subprocess.TimeoutExpired:
            # With the programs that it runs in turn.
            os.killpg(part.pid, signal.SIGKILL)
            why = f"it takes more than {seconds} s here"
        told.seek(0)
        return told.read().splitlines(), why


if __name__ == "__main__":
    sys.exit(main())

"""Which small mutilations of the program no test notices.

Run by hand, once with `--record` (all tests under coverage.py, some ten minutes) and then as often as wished:
    python tests/bench/mutants.py --record map.cov [TEST ...]
    python tests/bench/mutants.py --map map.cov [MODULE_OR_FOLDER ...] [--count N] [--seed N] [--seconds N]

Draws places in the modules (the pure rooms and store/ unless told otherwise), changes one thing at each (a comparison,
a sign, a number by one, and for or, a condition for its opposite, a call or a refusal left out, a word of a query), and
runs the tests that touch the place, those of its room and the quickest first, until one fails. What survives is listed:
then a test is missing, or the change changes nothing that anybody can see. Those that were looked at and change
nothing stand in mutants_equivalent.toml, each with why, and are not drawn again. One mutant at a time, in a copy of the
tree, at the lowest priority; most are noticed at a quick look (mutants_quick.py), the others are tried from scratch.
"""

import argparse
import os
import random
import resource
import shutil
import signal
import subprocess
import sys
import tempfile
import tomllib
from collections import Counter
from pathlib import Path

import mutants_quick as quick
from mutants_edits import Edit, edits_of
from mutants_map import Recorded, Recorder

ROOT = Path(__file__).resolve().parents[2]
ROOMS = tuple(
    f"tracelink/{room}"
    for room in ("identity", "ledger", "station", "genealogy", "quality", "balance", "store")
)
COPIED = ("tracelink", "tests", "labels", "migrations", "demo", "pyproject.toml", "README.md", "DEVELOPERS.md",
          "CHANGELOG.md")  # fmt: skip
EQUIVALENT = Path(__file__).with_name("mutants_equivalent.toml")
SURVIVES, OUT_OF_TIME = "survives", quick.OUT_OF_TIME
QUIET = ("-q", "-p", "no:cacheprovider", "-n", "0")


def equivalents() -> set[tuple[str, str, str, str]]:
    """Return the changes that are known to change nothing, as `Edit.named`."""
    listed = tomllib.loads(EQUIVALENT.read_text(encoding="utf-8"))["equivalent"]
    return {(one["module"], one["where"], one["before"], one["after"]) for one in listed}


def modules(wanted: list[str]) -> list[str]:
    """Return the modules that are named, or lie in the folders that are."""
    places = [ROOT / name for name in wanted or ROOMS]
    files = [
        file for place in places for file in (sorted(place.rglob("*.py")) if place.is_dir() else [place])
    ]
    return [str(file.resolve().relative_to(ROOT)) for file in files]


def is_near(test: str, module: str) -> bool:
    """Say whether a test belongs to the room of a module by its name or imports the module."""
    file, _, _ = test.partition("::")
    if f"test_{module.split('/')[1]}_" in file:
        return True
    dotted = module.removesuffix(".py").replace("/", ".")
    return f"{dotted} import" in (ROOT / file).read_text(encoding="utf-8")


def chosen(edit: Edit, recorded: Recorded, seconds: float, *, lines_only: bool) -> list[str]:
    """Return the tests of a mutant: those that touch the lines first, then those that touch the module."""
    near = {}
    found: list[str] = []
    for lines in ((edit.line, edit.last_line), *([] if lines_only else [(1, 10**6)])):
        touching = recorded.touching(edit.module, *lines)
        for test in touching:
            near.setdefault(test.partition("::")[0], is_near(test, edit.module))
        found += sorted(touching, key=lambda test: not near[test.partition("::")[0]])
    kept, left = [], seconds
    for test in dict.fromkeys(found):
        left -= recorded.seconds[test]
        if left < 0:
            break
        kept.append(test)
    return kept


def outcome(edit: Edit, copy: Path, tests: list[str], seconds: int) -> str:
    """Run the tests of a mutant in the copy, from scratch, and say which noticed it.

    Raises:
        SystemExit: they could not be run: that is no mutant noticed.
    """
    target = copy / edit.module
    kept = target.read_bytes()
    target.write_bytes(edit.applied(kept))
    try:
        done = subprocess.run(
            [sys.executable, "-m", "pytest", *QUIET, "-x", *tests],
            cwd=copy,
            env={**os.environ, "PYTHONPATH": str(copy)},
            capture_output=True,
            text=True,
            check=False,
            preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds)),
        )
    finally:
        target.write_bytes(kept)
    if done.returncode == 0:
        return SURVIVES
    if done.returncode == -signal.SIGXCPU:
        return OUT_OF_TIME
    lines = done.stdout.splitlines()
    failed = next((line for line in lines if line.startswith(("FAILED ", "ERROR "))), None)
    if failed is None:
        told = [f"the tests could not be run, code {done.returncode}:", *lines[-20:], done.stderr[-2000:]]
        raise SystemExit("\n".join(told))
    return failed[:150]


def record(file: Path, tests: list[str]) -> None:
    """Run all tests, or some, and record what each touches."""
    import pytest  # noqa: PLC0415

    os.chdir(ROOT)
    sys.path[:0] = [str(ROOT)]
    pytest.main([*QUIET, *tests], plugins=[Recorder(ROOMS, file.resolve())])


def try_all(drawn: list[Edit], recorded: Recorded, seconds: int, *, quickly: bool) -> Counter[str]:
    """Try mutants one by one; print each with what noticed it.

    Args:
        drawn: the mutants.
        recorded: what tests touch.
        seconds: of a processor, for the tests of one.
        quickly: what the quick look leaves is not tried from scratch.
    """
    nearest = [chosen(edit, recorded, seconds / 2, lines_only=True) for edit in drawn]
    tests = [chosen(edit, recorded, seconds / 2, lines_only=False) for edit in drawn]
    counted: Counter[str] = Counter()
    left: list[int] = []

    def tell(number: int, found: str) -> None:
        edit = drawn[number]
        counted[found if found in {SURVIVES, OUT_OF_TIME} else "noticed"] += 1
        print(
            f"{edit.module}:{edit.line} [{edit.where}] {edit.before} -> {edit.after}"
            f" | {len(tests[number])} tests | {found}",
            flush=True,
        )

    def tell_quickly(number: int, found: str | None) -> None:
        if found is None and not quickly:
            left.append(number)
        else:
            tell(number, found or SURVIVES)

    quick.look(ROOT, list(zip(drawn, nearest, strict=True)), seconds, tell_quickly)
    if quickly:
        return counted
    print(f"{len(left)} are tried from scratch", flush=True)
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        for name in COPIED:
            (shutil.copytree if (ROOT / name).is_dir() else shutil.copy)(ROOT / name, copy / name)
        for number in left:
            tell(number, outcome(drawn[number], copy, tests[number], seconds) if tests[number] else SURVIVES)
    return counted


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("where", nargs="*", help="modules or folders, such as tracelink/balance")
    parser.add_argument("--record", type=Path, help="run the tests, and record here what each touches")
    parser.add_argument("--map", type=Path, help="what was recorded")
    parser.add_argument(
        "--count", type=int, default=300, help="how many mutants to try (default: %(default)s)"
    )
    parser.add_argument("--seed", type=int, default=1, help="of the draw (default: %(default)s)")
    parser.add_argument(
        "--seconds", type=int, default=120, help="of a processor for the tests of one (default: %(default)s)"
    )
    parser.add_argument(
        "--quick",
        action="store_true",
        help="only those that a quick look reaches; what it leaves is not tried from scratch",
    )
    given = parser.parse_args()
    if given.record:
        record(given.record, given.where)
        return
    if given.map is None:
        parser.error("--map is missing: the file that --record made")
    os.nice(19)
    known = equivalents()
    possible = [
        edit
        for module in modules(given.where)
        for edit in edits_of(ROOT, module)
        if edit.named not in known and (quick.can_be_swapped(edit) or not given.quick)
    ]
    drawn = random.Random(given.seed).sample(possible, min(given.count, len(possible)))
    counted = try_all(drawn, Recorded(given.map.resolve()), given.seconds, quickly=given.quick)
    told = ", ".join(f"{count} {found}" for found, count in sorted(counted.items()))
    print(f"{len(drawn)} of {len(possible)} mutants tried: {told}")


if __name__ == "__main__":
    main()

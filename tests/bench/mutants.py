"""Which small mutilations of the program no test notices.

Run by hand: python tests/bench/mutants.py [MODULE_OR_FOLDER ...] [--count N] [--seed N] [--seconds N]

Draws places in the modules (the pure rooms and store/ unless told otherwise), changes one thing at each (a comparison,
a sign, a number by one, and for or, min for max, a condition for its opposite), and runs the tests of that module, those
that import it first, until one fails. What survives all of them is listed: then a test is missing, or the change
changes nothing that anybody can see. Works on a copy of the tree; 300 mutants take about an hour on two quiet cores.
"""

import argparse
import ast
import os
import random
import shutil
import signal
import sys
import tempfile
import time
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
ROOMS = {
    "identity": ("unit/test_identity_*", "property/test_identity*", "differential/test_identity*"),
    "ledger": ("unit/test_ledger_*", "unit/test_store_rebuild.py", "property/test_rebuild.py"),
    "station": ("unit/test_station_*", "unit/test_line_day.py", "property/test_rebuild.py"),
    "genealogy": (
        "unit/test_genealogy_*", "property/test_exact_bounds.py", "property/test_containment.py",
        "property/test_several.py", "property/test_certificates.py", "differential/test_walk.py",
    ),
    "quality": ("unit/test_quality*",),
    "balance": ("unit/test_balance_*", "property/test_balance.py"),
    "store": ("unit/test_store_*", "property/test_rebuild.py", "unit/test_station_*"),
}  # fmt: skip
"""Tests that are asked when those that import the module have noticed nothing."""

COPIED = (
    "tracelink",
    "tests",
    "labels",
    "migrations",
    "demo",
    "pyproject.toml",
    "README.md",
    "DEVELOPERS.md",
)

TOLD = "told.txt"
"""What the tests of the last mutant printed."""

_COMPARED = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip
_COMPUTED = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Add, ast.FloorDiv: ast.Mult, ast.Mod: ast.Mult}
_CALLED = {"min": "max", "max": "min", "all": "any", "any": "all"}


@dataclass(frozen=True)
class Mutant:
    module: Path
    line: int
    before: str
    after: str
    source: str
    """Of the whole module, changed."""


def places_of(module: Path) -> list[int]:
    """Return where something can be changed, as numbers of nodes."""
    nodes = ast.walk(ast.parse(module.read_text(encoding="utf-8")))
    return [place for place, node in enumerate(nodes) if _other(node) is not None]


def mutant_at(module: Path, place: int) -> Mutant:
    """Return the change at one place."""
    tree = ast.parse(module.read_text(encoding="utf-8"))
    node = next(node for at, node in enumerate(ast.walk(tree)) if at == place)
    before, other = ast.unparse(node), _other(node)
    assert other is not None
    node.__class__, node.__dict__ = other.__class__, other.__dict__
    return Mutant(module, node.lineno, before, ast.unparse(other), ast.unparse(tree))


def _other(node: ast.AST) -> ast.AST | None:
    """Return what stands in the place of a node in a mutant; None if nothing does."""
    match node:
        case ast.Compare(ops=[op]) if type(op) in _COMPARED:
            made: ast.AST = ast.Compare(node.left, [_COMPARED[type(op)]()], node.comparators)
        case ast.BinOp(op=op) if type(op) in _COMPUTED and not _is_text(node):
            made = ast.BinOp(node.left, _COMPUTED[type(op)](), node.right)
        case ast.BoolOp(op=ast.And()):
            made = ast.BoolOp(ast.Or(), node.values)
        case ast.BoolOp(op=ast.Or()):
            made = ast.BoolOp(ast.And(), node.values)
        case ast.Constant(value=bool(value)):
            made = ast.Constant(not value)
        case ast.Constant(value=int(value)):
            made = ast.Constant(value + 1)
        case ast.Call(func=ast.Name(id=name)) if name in _CALLED:
            made = ast.Call(ast.Name(_CALLED[name], ast.Load()), node.args, node.keywords)
        case ast.UnaryOp(op=ast.Not()):
            made = ast.Call(ast.Name("bool", ast.Load()), [node.operand], [])
        case ast.IfExp() | ast.If():
            made = deepcopy(node)
            made.test = ast.UnaryOp(ast.Not(), node.test)
        case _:
            return None
    return ast.fix_missing_locations(ast.copy_location(made, node))


def _is_text(node: ast.BinOp) -> bool:
    return any(
        isinstance(inner, ast.JoinedStr) or isinstance(getattr(inner, "value", 0), str)
        for inner in ast.walk(node)
    )


def modules(wanted: list[str]) -> list[Path]:
    found = [ROOT / name for name in wanted] or [ROOT / "tracelink" / room for room in ROOMS]
    files = [file for place in found for file in (sorted(place.rglob("*.py")) if place.is_dir() else [place])]
    return [file for file in files if file.stat().st_size]


def tests_for(module: Path) -> list[str]:
    """Return test files, those that import the module first, then those of its room."""
    name = ".".join(module.relative_to(ROOT).with_suffix("").parts)
    package, _, base = name.rpartition(".")
    folders = [ROOT / "tests" / kind for kind in ("unit", "property", "differential")]
    asked = [
        file
        for folder in folders
        for file in sorted(folder.glob("test_*.py"))
        for text in [file.read_text(encoding="utf-8")]
        if f"{name} import" in text
        or any(line.startswith(f"from {package} import") and base in line for line in text.splitlines())
    ]
    room = module.relative_to(ROOT / "tracelink").parts[0]
    others = [file for pattern in ROOMS.get(room, ()) for file in sorted((ROOT / "tests").glob(pattern))]
    return [str(file.relative_to(ROOT)) for file in dict.fromkeys([*asked, *others])]


def is_noticed(mutant: Mutant, copy: Path, seconds: int, left_out: list[str]) -> bool:
    """Run the tests of a mutant in the copy; running out of time is noticed too."""
    target = copy / mutant.module.relative_to(ROOT)
    kept = target.read_text(encoding="utf-8")
    target.write_text(mutant.source, encoding="utf-8")
    try:
        return _outcome(copy, ["-x", *left_out, *tests_for(mutant.module)], seconds) != 0
    finally:
        target.write_text(kept, encoding="utf-8")


def _failing(copy: Path, files: list[str], seconds: int) -> list[str]:
    """Return the tests that fail without any change, and say so: they are left out."""
    _outcome(copy, files, seconds)
    told = (copy / TOLD).read_text(encoding="utf-8", errors="replace")
    failing = [
        line.split(" - ")[0].partition(" ")[2]
        for line in told.splitlines()
        if line.startswith(("FAILED ", "ERROR "))
    ]
    for test in failing:
        print(f"fails without any change, left out: {test}", flush=True)
    return failing


def _outcome(copy: Path, words: list[str], seconds: int) -> int:
    child = os.fork()
    if child == 0:
        code = 1
        try:
            code = _tested(copy, words)
        finally:
            os._exit(code)
    return _ended(child, seconds)


def _tested(copy: Path, words: list[str]) -> int:
    os.setsid()
    os.chdir(copy)
    told = os.open(copy / TOLD, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    for stream in (1, 2):
        os.dup2(told, stream)
    sys.path[:] = [str(copy), str(copy / "tests"), str(copy / "tracelink" / "public"), *sys.path[1:]]
    import pytest  # noqa: PLC0415  has been imported before the fork

    return int(pytest.main(["-q", "-p", "no:cacheprovider", "-n", "0", *words]))


def _ended(child: int, seconds: int) -> int:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.05)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return -1


def _warm_up() -> None:
    """Import what every child needs and no mutant changes."""
    import pytest  # noqa: F401, PLC0415
    import scipy.optimize  # noqa: PLC0415
    import scipy.stats  # noqa: F401, PLC0415
    import sqlalchemy  # noqa: F401, PLC0415


def main() -> None:
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("where", nargs="*", help="modules or folders, such as tracelink/balance")
    parser.add_argument(
        "--count", type=int, default=300, help="how many mutants to try (default: %(default)s)"
    )
    parser.add_argument("--seed", type=int, default=1, help="of the draw (default: %(default)s)")
    parser.add_argument(
        "--seconds", type=int, default=120, help="for the tests of one (default: %(default)s)"
    )
    given = parser.parse_args()
    possible = [(module, place) for module in modules(given.where) for place in places_of(module)]
    drawn = random.Random(given.seed).sample(possible, min(given.count, len(possible)))
    _warm_up()
    survivors = 0
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder)
        for name in COPIED:
            (shutil.copytree if (ROOT / name).is_dir() else shutil.copy)(ROOT / name, copy / name)
        files = sorted({file for module, _place in drawn for file in tests_for(module)})
        failing = _failing(copy, files, 100 * given.seconds)
        left_out = [word for test in failing for word in ("--deselect", test)]
        for number, (module, place) in enumerate(drawn, 1):
            mutant = mutant_at(module, place)
            if not is_noticed(mutant, copy, given.seconds, left_out):
                survivors += 1
                print(
                    f"{mutant.module.relative_to(ROOT)}:{mutant.line}: {mutant.before} -> {mutant.after}",
                    flush=True,
                )
            print(f"{number} of {len(drawn)} tried, {survivors} survive", file=sys.stderr, flush=True)
    print(f"{len(drawn)} of {len(possible)} mutants tried: {survivors} survive")


if __name__ == "__main__":
    main()

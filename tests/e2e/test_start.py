"""What a command imports before it begins: every module is time that a person waits, at every command."""

import json
import subprocess
import sys
from pathlib import Path

import pytest
from support_plant import Floor, n

ROOT = Path(__file__).resolve().parents[2]

PROGRAM = """
import contextlib, io, json, os, sys
from tracelink.cli import main
found = {}
for words in json.loads(sys.argv[1]):
    into, out = os.pipe()
    if os.fork() == 0:
        sys.argv = ["runout", *words]
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            try:
                main()
            except SystemExit as left:
                code = left.code
        os.write(out, json.dumps([code or 0, *sorted(sys.modules)]).encode())
        os._exit(0)
    os.close(out)
    with open(into, "rb") as told:
        found[" ".join(words[-2:])] = json.loads(told.read())
    os.wait()
print(json.dumps(found))
"""


def imported(*commands):
    """Run commands, each in a process that has imported nothing but the command line, and return its modules."""
    told = subprocess.run(
        [sys.executable, "-c", PROGRAM, json.dumps([command.split() for command in commands])],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    found = {name: (code, modules) for name, (code, *modules) in json.loads(told.stdout).items()}
    assert all(code == 0 for code, _modules in found.values()), {
        name: code for name, (code, _) in found.items()
    }
    return {name: set(modules) for name, (_code, modules) in found.items()}


def ours(modules):
    return sorted(name for name in modules if name.split(".")[0] in ("tracelink", "runout"))


HELP = {
    "label": 50, "person": 40, "findings": 40, "search": 37, "trace": 47, "board": 60, "contain": 115, "verify": 43,
    "line": 65, "case": 12, "hold": 35, "find": 35,
}  # fmt: skip
"""Command -> how many modules of the program its help may import."""

SLOW = {"sqlalchemy", "scipy", "numpy", "PIL", "reportlab", "openpyxl", "jinja2", "cryptography", "alembic"}


def test_the_help_of_a_command_needs_no_database_and_few_modules():
    found = imported(*(f"audit {name} --help" if name == "verify" else f"{name} --help" for name in HELP))
    assert len(found) == len(HELP)
    for (name, most), modules in zip(HELP.items(), found.values(), strict=True):
        assert not SLOW & modules, (name, SLOW & modules)
        assert len(ours(modules)) <= most, (name, len(ours(modules)), ours(modules))


READING = {"search": 135, "hold": 185, "find": 190, "findings": 175, "trace": 255}
"""Command -> how many modules of the program it may import to answer from a ledger."""

AUDITOR = 4
"""How many more with `--read-only`: the public package's door to it."""


@pytest.fixture
def ledger(tmp_path):
    return Floor.copy().saved(tmp_path / "plant.db")


def test_what_only_reads_imports_none_of_the_rules_of_stations(ledger):
    found = imported(
        f"--ledger {ledger} search comet",
        f"--ledger {ledger} hold",
        f"--ledger {ledger} find {n('Y1')}",
        f"--ledger {ledger} findings",
        f"--ledger {ledger} trace {n('T1')}",
    )
    # An auditor's session costs no more: it only says what may not be done.
    only = imported(
        f"--ledger {ledger} --read-only search comet",
        f"--ledger {ledger} --read-only hold",
        f"--ledger {ledger} --read-only find {n('Y1')}",
    )
    both = zip(found.values(), only.values(), strict=False)
    assert all(len(set(ours(more)) - set(ours(modules))) <= AUDITOR for modules, more in both)
    for (name, most), modules in zip(READING.items(), found.values(), strict=True):
        assert "sqlalchemy" in modules
        assert "tracelink.station.decide" not in modules, name
        assert "tracelink.store.stations.booking" not in modules, name
        assert not (SLOW - {"sqlalchemy"}) & modules, name
        assert len(ours(modules)) <= most, (name, len(ours(modules)), ours(modules))


def test_verifying_with_tables_imports_none_of_the_rules_of_stations(ledger):
    """A replay needs what entries do to a station's state, and not what a scan would be judged by."""
    [modules] = imported(f"--ledger {ledger} audit verify").values()
    assert "tracelink.store.journal.rebuild" in modules
    assert "tracelink.station.decide" not in modules
    assert "tracelink.store.stations.booking" not in modules
    assert len(ours(modules)) <= 225, (len(ours(modules)), ours(modules))

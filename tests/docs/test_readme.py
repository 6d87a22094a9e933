"""The README is true: its examples run, in order, on the demo plant; every command has help with an example."""

import os
import re
import sqlite3
import subprocess
import sys
from pathlib import Path

import click
import pytest

from tracelink.cli import cli

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
_EXAMPLE = re.compile(r"^\$ (.*?)(?:    # exit code (\d+))?$", re.MULTILINE)


def examples() -> list[tuple[str, int]]:
    blocks = re.findall(r"```console\n(.*?)```", README, re.DOTALL)
    return [(command, int(code or 0)) for block in blocks for command, code in _EXAMPLE.findall(block)]


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> Path:
    """The demo as `sh demo/run.sh` leaves it, at a twentieth of its size."""
    out = tmp_path_factory.mktemp("demo") / "out"
    command = [sys.executable, str(ROOT / "demo" / "play.py"), str(out), "--scale", "0.05"]
    told = subprocess.run(command, capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stdout[-2000:] + told.stderr
    return out


def test_every_example_of_the_readme_runs_as_it_says(demo):
    found = examples()
    assert len(found) > 12
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    for command, code in found:
        done = subprocess.run(
            ["sh", "-c", command],
            cwd=demo,
            env={**os.environ, "PATH": path},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == code, f"{command}\n{done.stdout}\n{done.stderr}"
        assert "Traceback" not in done.stderr


def test_the_story_leaves_its_pages(demo):
    for name in ("scope.html", "genealogy.svg", "genealogy.html"):
        assert (demo / name).stat().st_size > 2000
    scope = (demo / "scope.html").read_text(encoding="utf-8")
    assert "The records were loaded later: " in scope
    assert re.search(r"Recorded before they happened</dt>\s*<dd[^>]*>0<", scope)


def test_what_comes_after_the_ten_days_is_as_the_story_tells_it(demo):
    """Small orders, a pallet that leaves in part, returns, a count that differs: each booked, two of them stopped."""
    with sqlite3.connect(demo / "runout.db") as conn:
        stops = "SELECT finding FROM finding f JOIN station s ON s.code = f.station WHERE s.name = 'Dock, gate 3' ORDER BY f.seq"
        assert conn.execute(stops).fetchall() == [
            ("destroyed-number",),
            ("count-differs",),
        ]
        sent = (
            "SELECT order_code, status FROM shipment WHERE order_code IN ('O020851Y', 'O020852W') ORDER BY 1"
        )
        assert conn.execute(sent).fetchall() == [("O020851Y", "shipped"), ("O020852W", "shipped")]
        assert conn.execute("SELECT status FROM return_line ORDER BY number").fetchall() == [
            ("restocked",),
            ("destroyed",),
        ]
        assert conn.execute("SELECT COUNT(*) FROM investigation").fetchone() == (1,)
        # Every finished unit of the kit holds each of its items.
        kits = "SELECT DISTINCT c.units - i.quantity FROM carton c JOIN carton_item i ON i.carton = c.sscc"
        assert conn.execute(kits).fetchall() == [(0,)]


def commands() -> list[tuple[str, click.Command]]:
    found = []
    context = click.Context(cli)

    def collect(prefix: str, group: click.Group) -> None:
        for name in group.list_commands(context):
            command = group.get_command(context, name)
            assert command is not None
            if isinstance(command, click.Group):
                collect(f"{prefix} {name}", command)
            else:
                found.append((f"{prefix} {name}", command))

    collect("runout", cli)
    return found


@pytest.mark.parametrize(
    ("name", "command"), commands(), ids=lambda value: value if isinstance(value, str) else ""
)
def test_every_command_has_help_with_an_example_of_itself(name, command):
    assert command.help
    assert name in (command.epilog or ""), f"{name} shows no example"
    # In a raw docstring click does not see the character that keeps lines apart, and shows it instead.
    assert "\\b" not in command.help, f"{name} shows a backslash"


@pytest.mark.parametrize("code", [0, 1, 2, 3, 4])
def test_exit_codes_are_documented(code):
    assert re.search(rf"^\| {code} \|", README, re.MULTILINE)

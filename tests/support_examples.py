"""Running the examples of a page as its reader would: every `$ ...` line of its console blocks, in order."""

import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from support_cli import Outcome, run

_BLOCK = re.compile(r"```(console|toml)\n(.*?)```", re.DOTALL)
_EXIT = re.compile(r"\s+# exit code (\d+)$")
_FILE = re.compile(r"# (\S+\.toml)\n")
_SETTING = re.compile(r"[A-Z_]+=\S*")


@dataclass(frozen=True)
class Example:
    command: str
    code: int
    shown: tuple[str, ...]
    """Output as the page shows it; a line `...` stands for any number of lines."""


@dataclass(frozen=True)
class PageFile:
    """A file that the page tells its reader to write."""

    name: str
    text: str


def steps(page: str) -> Iterator[Example | PageFile]:
    """Yield what a reader does, in order."""
    for kind, block in _BLOCK.findall(page):
        if kind == "console":
            yield from _examples(block)
        elif named := _FILE.match(block):
            yield PageFile(named[1], block)


def examples(page: str) -> list[Example]:
    return [step for step in steps(page) if isinstance(step, Example)]


def _examples(block: str) -> Iterator[Example]:
    for part in re.split(r"^\$ ", block.replace("\\\n", ""), flags=re.MULTILINE)[1:]:
        command, *shown = part.rstrip("\n").split("\n")
        code = _EXIT.search(command)
        yield Example(_EXIT.sub("", command), int(code[1]) if code else 0, tuple(shown))


def perform(step: Example | PageFile, folder: Path) -> None:
    """Do one step in `folder`, the working folder, and compare what came with what the page says."""
    if isinstance(step, PageFile):
        (folder / step.name).write_text(step.text, encoding="utf-8")
        return
    done = execute(step.command, folder)
    assert done.code == step.code, f"{step.command}\n{done.out}\n{done.err}"
    assert "Traceback" not in done.err
    assert_shown(step.shown, done.out.splitlines())


def assert_shown(shown: tuple[str, ...], came: list[str]) -> None:
    """Compare line by line; a shown line `...` is any number of lines.

    Figures and the width of columns may differ: the demo of a test is smaller than its reader's.
    """
    pattern = "\n".join("(?:.*\n)*?.*" if line == "..." else re.escape(_plain(line)) for line in shown)
    if shown:
        assert re.fullmatch(pattern, "\n".join(map(_plain, came))), "\n".join(
            ["not shown so:", *shown, *came]
        )


def _plain(line: str) -> str:
    figures = re.sub(r"\d+(?:[ \u202f]\d{3})*", "0", line)
    return re.sub(r"\s+", " ", re.sub("─+", "─", figures)).rstrip()


def execute(command: str, folder: Path) -> Outcome:
    """Run `runout ...` in this process, with scans from `printf`, settings before it and `> FILE` behind; others by sh."""
    words = shlex.split(command)
    scans = ""
    if words[:2] == ["printf", "%s\\n"] and "|" in words:
        at = words.index("|")
        scans, words = "".join(f"{line}\n" for line in words[2:at]), words[at + 1 :]
    settings = {}
    while words and _SETTING.fullmatch(words[0]):
        name, _, value = words.pop(0).partition("=")
        settings[name] = value
    target = words[-1] if words[-2:-1] == [">"] else None
    words = words[:-2] if target else words
    if words[:1] != ["runout"] or {"|", "&&", ";", "<"} & set(words):
        return _shell(command, folder)
    before = dict(os.environ)
    os.environ.update(settings)
    try:
        done = run(*words[1:], scans=scans)
    finally:
        os.environ.clear()
        os.environ.update(before)
    if target:
        (folder / target).write_text(done.out, encoding="utf-8")
    return done


def _shell(command: str, folder: Path) -> Outcome:
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    done = subprocess.run(
        ["sh", "-c", command],
        cwd=folder,
        env={**os.environ, "PATH": path},
        capture_output=True,
        text=True,
        check=False,
    )
    return Outcome(done.returncode, done.stdout, done.stderr)

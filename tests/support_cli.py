"""Running the command line inside a test, as its user would: words in, output and exit code out."""

import io
import json
import sys
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import support_on_server
from support_plant import plant_data

from tracelink.cli import main


@dataclass(frozen=True)
class Outcome:
    code: int
    out: str
    err: str


def run(*words: object, ledger: Path | str | None = None, scans: bytes | str = b"") -> Outcome:
    """Run `runout WORDS...` with `scans` on standard input; on a server if tests run there."""
    if not support_on_server.IS_ASKED_FOR:
        return _typed(words, ledger, scans)
    with support_on_server.served_instead(words, ledger) as place:
        if place is None:
            return _typed(words, ledger, scans)
        said = _typed(words, place, scans)
        shown = str(ledger)
        return Outcome(said.code, said.out.replace(place, shown), said.err.replace(place, shown))


def _typed(words: tuple[object, ...], ledger: Path | str | None, scans: bytes | str) -> Outcome:
    out, err = io.StringIO(), io.StringIO()
    given = scans.encode() if isinstance(scans, str) else scans
    argv, stdin = sys.argv, sys.stdin
    place = [] if ledger is None else ["--ledger", str(ledger)]
    sys.argv = ["runout", *place, *map(str, words)]
    sys.stdin = io.TextIOWrapper(io.BytesIO(given), encoding="utf-8")
    code = 0
    try:
        with redirect_stdout(out), redirect_stderr(err):
            main()
    except SystemExit as left:
        code = left.code if isinstance(left.code, int) else 1
    finally:
        sys.argv, sys.stdin = argv, stdin
    return Outcome(code, out.getvalue(), err.getvalue())


def write_plant_file(file: Path, data: dict[str, Any] | None = None) -> Path:
    """Write the small plant (or `data`) as a plant file."""
    given = dict(plant_data() if data is None else data)
    lines: list[str] = []
    plant = given.pop("plant", None)
    if plant is not None:
        lines += ["[plant]", *(f"{name} = {_toml(value)}" for name, value in plant.items())]
    for section, tables in given.items():
        for table in tables:
            lines += [f"[[{section}]]", *(f"{name} = {_toml(value)}" for name, value in table.items())]
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return file


def _toml(value: Any) -> str:
    if isinstance(value, list):
        return "[" + ", ".join(map(_toml, value)) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{name} = {_toml(item)}" for name, item in value.items()) + " }"
    return json.dumps(value, ensure_ascii=False)


def station_log(
    file: Path,
    station: str,
    raws: list[str],
    *,
    first: int = 1,
    at: str = "2031-03-04T09:00:00+01:00",
    end: bool = True,
) -> Path:
    """Write a station log with these raw lines, all at one time."""
    lines = [{"format": "runout-station-log", "version": 1, "station": station}]
    lines += [{"n": n, "at": at, "raw": raw} for n, raw in enumerate(raws, first)]
    if end:
        lines.append({"end": first + len(raws) - 1})
    file.write_text("".join(json.dumps(line) + "\n" for line in lines), encoding="utf-8")
    return file

"""Writes what the demo plant leaves behind: plant file, station logs, story."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from clockwork import Noted, Station, day_start, local_time
from stock import PHASE_2_DAY, Plant

PHASES = (1, 2)


def phase_of(second: int) -> int:
    """Return 1 before the hold, 2 from its morning on."""
    return 2 if second >= day_start(PHASE_2_DAY) else 1


def write_logs(folder: Path, plant: Plant) -> list[Path]:
    """Write one log per station and phase; a station that scanned nothing in a phase has none.

    Args:
        folder: where; made if it is not there.
        plant: after its last day.
    """
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for phase in PHASES:
        for name, station in plant.stations.items():
            scans = [
                (n, noted) for n, noted in enumerate(station.scans, 1) if phase_of(noted.second) == phase
            ]
            if scans:
                path = folder / f"phase{phase}-{file_name(name)}.jsonl"
                path.write_text("".join(_log_lines(station, scans)), encoding="utf-8", newline="\n")
                written.append(path)
    return written


def write_log(path: Path, station: str, scans: list[tuple[int, str]], first: int = 1) -> None:
    """Write one log.

    Args:
        path: the file.
        station: its code.
        scans: second and raw text of each.
        first: number of the first of them.
    """
    lines = [_line({"format": "runout-station-log", "version": 1, "station": station})]
    lines += [
        _line({"n": n, "at": local_time(second), "raw": raw}) for n, (second, raw) in enumerate(scans, first)
    ]
    lines.append(_line({"end": first + len(scans) - 1}))
    path.write_text("".join(lines), encoding="utf-8", newline="\n")


def file_name(name: str) -> str:
    """Return a name as part of a file name: "Dock, gate 1" is "dock-gate-1"."""
    return "-".join(name.lower().replace(",", "").split())


def _log_lines(station: Station, scans: list[tuple[int, Noted]]) -> Iterator[str]:
    yield _line({"format": "runout-station-log", "version": 1, "station": station.code})
    for number, noted in scans:
        yield _line({"n": number, "at": local_time(noted.second), "raw": noted.raw})
    yield _line({"end": scans[-1][0]})


def _line(record: dict[str, Any]) -> str:
    return json.dumps(record, ensure_ascii=False) + "\n"


def write_story(path: Path, story: dict[str, Any]) -> None:
    """Write the codes that the story needs, as JSON."""
    path.write_text(json.dumps(story, indent=2, ensure_ascii=False) + "\n", encoding="utf-8", newline="\n")

"""The one notation in which tests tell what happens on the floor: scans left, the verdict of the last one right.

    P1 -> DONE; Ada is signed on. Scan an action card.
    disc 1.1 -> NEXT
    sleeve 2 -> STOP wrong-title
    disc 1.1 | sleeve 1 x 4 -> MATCH [4 of 5 in carton]
    = units of carton where sscc {carton 1} -> 4
    12:00 DOCK
    (The next shift.)

Scans are parted by ` | `; `x 4` scans the line four times; none before the last may stop the station. Behind the
verdict's word stands its finding code, if it has one; behind a `;` its whole sentence, or its beginning if that ends
in `...`; in brackets its count. `{K11}` and `{carton 1}` stand for full codes. A line with `=` asks the tables: columns,
or `rows` for how many; `where` a column has a value, and another after a comma; `by` the columns that order the rows. A
time, with seconds where they matter, and a station: all that follows happens there and then. A `?` in place of scans asks
what the station waits for, as whoever comes back to it is told. A line in round brackets is a remark.
"""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Protocol

from tracelink.station.common.outcome import Verdict

DAY = "2031-03-03"

_STATION = re.compile(r"(\d\d:\d\d)(:\d\d(?:\.\d+)?)? ([A-Z_0-9]+)")
_QUESTION = re.compile(
    r"= (?P<columns>[a-z_, ]+) of (?P<table>\w+)(?: where (?P<where>.+?))?(?: by (?P<order>[a-z_ ]+))? -> (?P<rows>.+)"
)
_SCANS = re.compile(r"(?P<scans>.*?)(?: x (?P<times>\d+))?")
_VERDICT = re.compile(
    r"(?P<word>\S+)(?: (?P<finding>[a-z0-9-]+))?(?:; (?P<sentence>.*?))?(?:\s*\[(?P<count>[^\]]*)\])?"
)


class Scanned(Protocol):
    """What a script is played on."""

    at: str

    def scan(self, station: str, *lines: str) -> Verdict: ...

    def waits_for(self, station: str) -> Verdict: ...

    def read(self, table: str, *columns: str, order: str = "", **equal: Any) -> list[tuple[Any, ...]]: ...

    def count(self, table: str, **equal: Any) -> int: ...


@dataclass
class Script:
    """A script being played; a difference names its line."""

    floor: Scanned
    stations: Mapping[str, str]
    """Full codes of stations by the names that scripts use."""
    code: Callable[[str], str]
    """The full text of a code told in short."""
    station: str = ""

    def play(self, script: str) -> None:
        for number, line in enumerate(script.splitlines(), 1):
            text = line.strip()
            if text and not (text[0] == "(" and text[-1] == ")"):
                self._line(text, f"line {number}: {text}")

    def _line(self, text: str, where: str) -> None:
        if found := _STATION.fullmatch(text):
            self.floor.at = f"{DAY}T{found[1]}{found[2] or ':00'}+01:00"
            self.station = self.stations[found[3]]
            return
        assert " -> " in text, f"cannot be read: {where}"
        if text.startswith("= "):
            self._compare(text, where)
        else:
            told, _, wanted = text.partition(" -> ")
            self._step(told, wanted, where)

    def _compare(self, text: str, where: str) -> None:
        asked = _QUESTION.fullmatch(text)
        assert asked is not None, f"cannot be read: {where}"
        pairs = (pair.partition(" ") for pair in (asked["where"] or "").split(", ") if pair)
        equal = {name: None if value == "none" else self._filled(value) for name, _, value in pairs}
        if asked["columns"] == "rows":
            found = str(self.floor.count(asked["table"], **equal))
        else:
            columns = asked["columns"].split(", ")
            found = _shown(self.floor.read(asked["table"], *columns, order=asked["order"] or "", **equal))
        assert found == self._filled(asked["rows"]), where

    def _step(self, told: str, wanted: str, where: str) -> None:
        told_scans, expected = _SCANS.fullmatch(told.strip()), _VERDICT.fullmatch(wanted.strip())
        assert told_scans is not None, f"cannot be read: {where}"
        assert expected is not None, f"cannot be read: {where}"
        scans = [scan.strip() for scan in told_scans["scans"].split(" | ")] * int(told_scans["times"] or 1)
        for early in scans[:-1]:
            verdict = self.floor.scan(self.station, early)
            assert verdict.finding is None, f"{early} in {where}: {verdict}"
        asked = scans == ["?"]
        verdict = self.floor.waits_for(self.station) if asked else self.floor.scan(self.station, scans[-1])
        assert (verdict.word.value, verdict.finding) == (expected["word"], expected["finding"]), (
            f"{where}: {verdict}"
        )
        sentence = self._filled(expected["sentence"] or "")
        if sentence.endswith("..."):
            assert verdict.sentence.startswith(sentence[:-3]), f"{where}: {verdict}"
        elif sentence:
            assert verdict.sentence == sentence, f"{where}: {verdict}"
        if expected["count"] is not None:
            assert verdict.count == expected["count"], f"{where}: {verdict}"

    def _filled(self, text: str) -> str:
        return re.sub(r"\{([^}]+)\}", lambda found: self.code(found[1]), text)


def _shown(rows: Iterable[tuple[Any, ...]]) -> str:
    return "; ".join(" ".join(map(str, row)) for row in rows) or "nothing"

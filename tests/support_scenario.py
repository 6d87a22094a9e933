"""A day at the floor in a small notation: scan lines left, verdicts right.

    08:00 LINE                     a time and a station: all that follows happens there and then
      P1              > DONE Ada is signed on.
      disc 1.1        > NEXT
      sleeve 2        > STOP wrong-title
      disc 1.1, sleeve 1 x 4 > MATCH [4 of 5 in carton]
      = SELECT units FROM carton -> 4

Several scans on a line are parted by commas; `x 4` plays the line four times; only the last verdict is compared,
and none before it may stop the station. Behind the verdict's word: a finding code (small letters and hyphens),
then the whole sentence, or its beginning if it ends in `...`, and in brackets the count. `{K11}` and
`{carton 1}` in a sentence stand for full codes. A line with `=` asks the tables. `#` begins a remark.
"""

import re
from dataclasses import dataclass

import support_plant
from support_plant import Floor, n

_STATION = re.compile(r"(\d\d):(\d\d) ([A-Z_0-9]+)")
_STEP = re.compile(r"(?P<scans>.*?)(?: x (?P<times>\d+))? +> (?P<word>[A-Z]+)(?: (?P<rest>.*))?")
_REST = re.compile(
    r"(?P<finding>[a-z]+(?:-[a-z]+)+|no-read)?\s*(?P<sentence>.*?)\s*(?:\[(?P<count>[^\]]*)\])?"
)


@dataclass
class Day:
    """A scenario being played."""

    floor: Floor
    station: str = ""

    def play(self, script: str) -> None:
        """Play a script and compare every verdict; a difference names its line."""
        for number, line in enumerate(script.splitlines(), 1):
            text = line.split("  # ")[0].strip()
            if text and not text.startswith("#"):
                self._line(text, f"line {number}: {text}")

    def _line(self, text: str, where: str) -> None:
        if text.startswith("= "):
            query, _, wanted = text[2:].rpartition(" -> ")
            rows = self.floor.rows(_filled(query))
            found = "; ".join(" ".join(map(str, row)) for row in rows) or "nothing"
            assert found == _filled(wanted), where
            return
        if found := _STATION.fullmatch(text):
            self.floor.at = f"2031-03-03T{found[1]}:{found[2]}:00+01:00"
            self.station = getattr(support_plant, found[3])
            return
        step = _STEP.fullmatch(text)
        assert step is not None, f"cannot be read: {where}"
        self._step(step, where)

    def _step(self, step: re.Match[str], where: str) -> None:
        scans = [scan.strip() for scan in step["scans"].split(",")] * int(step["times"] or 1)
        for early in scans[:-1]:
            verdict = self.floor.scan(self.station, early)
            assert verdict.finding is None, f"{early} in {where}: {verdict}"
        verdict = self.floor.scan(self.station, scans[-1])
        rest = _REST.fullmatch(step["rest"] or "")
        assert rest is not None, f"cannot be read: {where}"
        assert (verdict.word.value, verdict.finding) == (step["word"], rest["finding"]), f"{where}: {verdict}"
        wanted = _filled(rest["sentence"])
        if wanted.endswith("..."):
            assert verdict.sentence.startswith(wanted[:-3]), f"{where}: {verdict}"
        elif wanted:
            assert verdict.sentence == wanted, f"{where}: {verdict}"
        if rest["count"] is not None:
            assert verdict.count == rest["count"], f"{where}: {verdict}"


def _filled(text: str) -> str:
    return re.sub(r"\{([^}]+)\}", lambda found: n(found[1]), text)

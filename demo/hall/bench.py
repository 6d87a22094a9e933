"""A bench of the hall: what is scanned there, and when."""

from dataclasses import dataclass, field

from tracelink.identity.plantcode import CodeKind, PlantCode
from tracelink.identity.rawlines import raw_act, raw_plant, raw_sscc

DAY_S = 24 * 3600
PACE_S = 3
"""Between two scans."""
_SSCC_DIGITS = 18


@dataclass(slots=True)
class Bench:
    """A station of the hall and who works there."""

    code: str
    badge: str
    scans: list[tuple[int, str]] = field(default_factory=list)
    stops: list[tuple[int, str]] = field(default_factory=list)
    """Number of the scan, and the finding it is stopped with."""
    last: int = 0
    """Second of the last scan."""

    def do(self, at: int, *said: str) -> int:
        """Note the scans of one act.

        Args:
            at: not before this second.
            said: the word of an act, then codes, `#numbers` and `"texts`.

        Returns:
            When what was made may be used elsewhere.
        """
        if at // DAY_S != self.last // DAY_S:
            said = (self.badge, *said)
        for one in said:
            self.last = max(self.last + PACE_S, at)
            self.scans.append((self.last, _raw(one)))
        return self.last + 1

    def stopped(self, finding: str) -> None:
        """Note that the last scan is stopped."""
        self.stops.append((len(self.scans), finding))


def _raw(said: str) -> str:
    if said[0] in '#"':
        return said
    if said.isdigit() and len(said) == _SSCC_DIGITS:
        return raw_sscc(said)
    return raw_act(said) if said.isalpha() else raw_plant(said)


def serial(number: int) -> str:
    """Return a serial label."""
    return PlantCode.build(CodeKind.PIECE, number).text

"""Print quality of linear symbols after ISO/IEC 15416:2000, from reflectance along a scan line. Numbers only.

What comes out is *indicative*. The standard asks for a set aperture, angle and wavelength of light, and a verifier
calibrated against known patches; a picture from a scanner or telephone has none of these. It tells a good
print from a bad one and a press of the head from a worn ribbon; it proves nothing to a customer.

Each of ten lines across the bars gives a profile of reflectance; each profile seven parameters; each parameter a grade
from 4 to 0. A line is as good as its worst parameter, a symbol as good as the mean of its lines.
"""

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from tracelink.printing.reference import Decoded

SCAN_LINES = 10

CONTRAST_AT_LEAST = (70, 55, 40, 20)
MODULATION_AT_LEAST = (70, 60, 50, 40)
DECODABILITY_AT_LEAST = (62, 50, 37, 25)
DEFECTS_AT_MOST = (15, 20, 25, 30)
"""For grades 4, 3, 2, 1, in percent. Source: table of ISO/IEC 15416:2000 integer grades, Axicon."""

LEAST_EDGE_CONTRAST = 15
"""In percent; below it the grade is 0. Source: as above."""

_LETTERS = ((3.5, "A"), (2.5, "B"), (1.5, "C"), (0.5, "D"))
"""Source: not checked against the original text."""

Decoder = Callable[[Sequence[float]], Decoded | None]


@dataclass(frozen=True, slots=True)
class Element:
    """One bar or space of a profile, or a quiet zone."""

    is_bar: bool
    start: float
    """Its first edge, in samples; 0 for the quiet zone in front."""
    end: float
    """Its second edge."""
    reflectances: tuple[float, ...]
    """The samples in it, in percent."""

    @property
    def width(self) -> float:
        """Samples from edge to edge."""
        return self.end - self.start


@dataclass(frozen=True, slots=True)
class Parameters:
    """What a profile measures, in percent of full reflectance."""

    rmax: float
    rmin: float
    ec_min: float
    """Least difference between a bar and a space side by side."""
    ern_max: float
    """Greatest unevenness within one bar, space or quiet zone."""
    decodability: float | None
    """None if the profile does not decode."""

    @property
    def contrast(self) -> float:
        """SC = Rmax - Rmin."""
        return self.rmax - self.rmin

    @property
    def threshold(self) -> float:
        """GT = Rmin + SC / 2: what is below is bar."""
        return self.rmin + self.contrast / 2

    @property
    def modulation(self) -> float:
        """MOD = ECmin / SC, in percent."""
        return 100 * self.ec_min / self.contrast if self.contrast else 0.0

    @property
    def defects(self) -> float:
        """ERNmax / SC, in percent."""
        return 100 * self.ern_max / self.contrast if self.contrast else 100.0

    @property
    def grades(self) -> dict[str, int]:
        """Grade of each parameter, 4 to 0."""
        decoded = self.decodability is not None
        return {
            "Rmin": 4 if self.rmin <= 0.5 * self.rmax else 0,
            "SC": at_least(self.contrast, CONTRAST_AT_LEAST),
            "ECmin": 4 if self.ec_min >= LEAST_EDGE_CONTRAST else 0,
            "MOD": at_least(self.modulation, MODULATION_AT_LEAST),
            "Defects": at_most(self.defects, DEFECTS_AT_MOST),
            "decodability": at_least(self.decodability, DECODABILITY_AT_LEAST) if decoded else 0,
            "decode": 4 if decoded else 0,
        }

    @property
    def grade(self) -> int:
        """The grade of the scan line: that of its worst parameter."""
        return min(self.grades.values())


def at_least(value: float | None, limits: Sequence[int]) -> int:
    """Return 4, 3, 2, 1 or 0: how many of the limits, the highest first, a value reaches."""
    return sum(value is not None and value >= limit for limit in limits)


def at_most(value: float, limits: Sequence[int]) -> int:
    """Return 4, 3, 2, 1 or 0: within how many of the limits, the lowest first, a value stays."""
    return sum(value <= limit for limit in limits)


def mean_grade(grades: Sequence[int]) -> float:
    """Return the grade of a symbol: the mean of its scan lines, to one decimal."""
    return round(sum(grades) / len(grades), 1)


def letter(grade: float) -> str:
    """Return A, B, C, D or F for a mean grade."""
    return next((name for least, name in _LETTERS if grade >= least), "F")


def elements_of(profile: Sequence[float]) -> list[Element]:
    """Cut a profile at its global threshold into bars and spaces; edges lie between samples.

    Args:
        profile: reflectances in percent, evenly spaced, from one quiet zone to the other.

    Returns:
        Bars and spaces by turns; the first and last are spaces if the quiet zones are white. One element alone
        if nothing crosses the threshold.
    """
    threshold = (max(profile) + min(profile)) / 2
    elements, first, start = [], 0, 0.0
    for at, (here, there) in enumerate(itertools.pairwise(profile)):
        if (here < threshold) == (there < threshold):
            continue
        edge = at + (threshold - here) / (there - here)
        elements.append(Element(here < threshold, start, edge, tuple(profile[first : at + 1])))
        first, start = at + 1, edge
    last = profile[-1] < threshold
    return [*elements, Element(last, start, float(len(profile) - 1), tuple(profile[first:]))]


def measured(profile: Sequence[float], decode: Decoder) -> Parameters:
    """Measure a profile.

    Args:
        profile: reflectances in percent, from quiet zone to quiet zone.
        decode: the reference decoding of the symbol.
    """
    elements = elements_of(profile)
    decoded = decode([element.width for element in elements[1:-1]]) if len(elements) > 2 else None
    return Parameters(
        rmax=max(profile),
        rmin=min(profile),
        ec_min=min((_edge_contrast(*pair) for pair in itertools.pairwise(elements)), default=0.0),
        ern_max=max(
            _unevenness(element, first=number == 0, last=number == len(elements) - 1)
            for number, element in enumerate(elements)
        ),
        decodability=None if decoded is None else decoded.decodability,
    )


def _edge_contrast(one: Element, other: Element) -> float:
    bar, space = (one, other) if one.is_bar else (other, one)
    return max(space.reflectances) - min(bar.reflectances)


def _unevenness(element: Element, *, first: bool, last: bool) -> float:
    """Return the highest peak less the lowest valley within an element; 0 if it has only the one it must have.

    The slopes to its neighbours are no unevenness. A quiet zone has a slope on one side only.
    """
    level = [-value for value in element.reflectances] if element.is_bar else list(element.reflectances)
    begin, end = 0, len(level) - 1
    while not first and begin < end and level[begin + 1] >= level[begin]:
        begin += 1
    while not last and end > begin and level[end - 1] >= level[end]:
        end -= 1
    inside = level[begin : end + 1]
    return max(inside) - min(inside)

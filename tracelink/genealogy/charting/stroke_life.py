"""Which stroke of the life of a stamper a disc was."""

from __future__ import annotations

from typing import Protocol


class PressedSegment(Protocol):
    """A run segment, as far as the lives of its stampers go."""

    @property
    def first(self) -> int:
        """Its first stroke in its lot."""
        ...

    @property
    def stamper_a(self) -> str:
        """The stamper of side A."""
        ...

    @property
    def stamper_b(self) -> str:
        """The stamper of side B."""
        ...

    @property
    def life_a(self) -> int:
        """Strokes that stamper A had made before the segment."""
        ...

    @property
    def life_b(self) -> int:
        """The same of stamper B."""
        ...


def lives_at(segment: PressedSegment, stroke: int) -> dict[str, int]:
    """Return which stroke of its life a stroke of a lot was for each stamper of its run segment, counted from 1."""
    into = stroke - segment.first + 1
    return {segment.stamper_a: segment.life_a + into, segment.stamper_b: segment.life_b + into}

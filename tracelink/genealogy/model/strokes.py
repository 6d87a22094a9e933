"""Sets of press strokes, kept as spans.

A disc is a lot and a stroke, so every question about discs becomes arithmetic on sets of strokes. A lot of
ten thousand discs is one span; a stack with three holes is four. The work of each operation grows with the
number of spans, never with the number of strokes.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from operator import attrgetter

from tracelink.errors import UsageError

_FIRST = attrgetter("first")
_FEW = 8
"""Spans that are looked at one after the other rather than halved."""


@dataclass(frozen=True, slots=True, order=True)
class Span:
    """Strokes `first` to `last`, both included.

    Raises:
        UsageError: `first` is below 1 or `last` is below `first`.
    """

    first: int
    """The first stroke, 1 or more."""
    last: int
    """The last stroke, `first` or more."""

    def __post_init__(self) -> None:
        if not 1 <= self.first <= self.last:
            raise UsageError(
                f"strokes {self.first}-{self.last} are no span: expected 1 <= first <= last, "
                f"found first {self.first} and last {self.last}"
            )

    def __len__(self) -> int:
        return self.last - self.first + 1

    def __str__(self) -> str:
        return str(self.first) if self.first == self.last else f"{self.first}-{self.last}"


@dataclass(frozen=True, slots=True)
class StrokeSet:
    """An immutable set of strokes; equal sets compare equal however they were built."""

    spans: tuple[Span, ...] = ()
    """Ascending, apart from each other by at least one missing stroke."""

    def __post_init__(self) -> None:
        if len(self.spans) > 1:
            object.__setattr__(self, "spans", tuple(_normalised(self.spans)))

    @classmethod
    def of(cls, *spans: Span) -> StrokeSet:
        """The union of spans, in any order, overlapping or not."""
        return _ready(spans) if len(spans) == 1 else cls(spans)

    @classmethod
    def between(cls, first: int, last: int) -> StrokeSet:
        """Strokes `first` to `last`, both included.

        Raises:
            UsageError: `first` is below 1 or `last` is below `first`.
        """
        return _ready((Span(first, last),))

    @classmethod
    def from_strokes(cls, strokes: Iterable[int]) -> StrokeSet:
        """The set of the given single strokes, each 1 or more."""
        return cls(tuple(Span(stroke, stroke) for stroke in strokes))

    @property
    def first(self) -> int:
        """The lowest stroke; an empty set has none and raises IndexError."""
        return self.spans[0].first

    @property
    def last(self) -> int:
        """The highest stroke; an empty set has none and raises IndexError."""
        return self.spans[-1].last

    def __len__(self) -> int:
        # A loop, not a sum over a generator: most sets have one span, and walks ask thousands of them.
        total = 0
        for span in self.spans:
            total += span.last - span.first + 1
        return total

    def __bool__(self) -> bool:
        return bool(self.spans)

    def __iter__(self) -> Iterator[int]:
        for span in self.spans:
            yield from range(span.first, span.last + 1)

    def __contains__(self, stroke: object) -> bool:
        if not isinstance(stroke, int):
            return False
        at = bisect_right(self.spans, stroke, key=lambda span: span.first)
        return at > 0 and stroke <= self.spans[at - 1].last

    def __or__(self, other: StrokeSet) -> StrokeSet:
        if not self.spans or self is other:
            return other
        if not other.spans:
            return self
        # Mostly one lies behind the other: then nothing is to be sorted.
        if self.spans[-1].last + 1 < other.spans[0].first:
            return _ready(self.spans + other.spans)
        if other.spans[-1].last + 1 < self.spans[0].first:
            return _ready(other.spans + self.spans)
        return self if self.spans == other.spans else StrokeSet(self.spans + other.spans)

    def __and__(self, other: StrokeSet) -> StrokeSet:
        if self is other:
            return self
        if len(self.spans) == 1 and len(other.spans) == 1:
            # Mostly a stack against the strokes of a stamper in the lot, and one lies within the other.
            mine, theirs = self.spans[0], other.spans[0]
            if theirs.first <= mine.first and mine.last <= theirs.last:
                return self
            if mine.first <= theirs.first and theirs.last <= mine.last:
                return other
        return _ready(tuple(_common(self.spans, other.spans)))

    def common(self, other: StrokeSet) -> int:
        """Return how many strokes both have, without making a set of them."""
        left, right = self.spans, other.spans
        if len(left) == 1 and len(right) == 1:
            # Mostly a stack against the strokes of a stamper in the lot.
            first, last = max(left[0].first, right[0].first), min(left[0].last, right[0].last)
            return max(0, last - first + 1)
        return sum(span.last - span.first + 1 for span in _common(left, right)) if left and right else 0

    def __sub__(self, other: StrokeSet) -> StrokeSet:
        if not self.spans or not other.spans or other.spans[-1].last < self.spans[0].first:
            return self
        mine, theirs = self.spans, other.spans
        if len(theirs) == 1 and theirs[0].first <= mine[0].first and mine[-1].last <= theirs[0].last:
            # Mostly nothing is left of it.
            return NO_STROKES
        return _ready(tuple(_remaining(self.spans, other.spans)))

    def __str__(self) -> str:
        return ", ".join(str(span) for span in self.spans)

    def shifted(self, by: int) -> StrokeSet:
        """Every stroke moved by `by`, which may be negative as long as no stroke falls below 1."""
        return _ready(tuple(Span(span.first + by, span.last + by) for span in self.spans))

    def lowest(self, count: int) -> StrokeSet:
        """The `count` lowest strokes, or all if there are fewer."""
        taken: list[Span] = []
        for span in self.spans:
            if count <= 0:
                break
            taken.append(Span(span.first, min(span.last, span.first + count - 1)))
            count -= len(span)
        return _ready(tuple(taken))


def _ready(spans: tuple[Span, ...]) -> StrokeSet:
    """A set from spans known to be ascending and apart: skips the sorting, which dominates large walks."""
    made = object.__new__(StrokeSet)
    object.__setattr__(made, "spans", spans)
    return made


def _normalised(spans: Iterable[Span]) -> Iterator[Span]:
    held: Span | None = None
    for span in sorted(spans, key=_FIRST):
        if held is None:
            held = span
        elif span.first <= held.last + 1:
            # 1-3 and 4-6 are the same strokes as 1-6, so touching spans join as well.
            if span.last > held.last:
                held = Span(held.first, span.last)
        else:
            yield held
            held = span
    if held is not None:
        yield held


def _reaching(spans: tuple[Span, ...], stroke: int) -> int:
    """The number of the first span that ends at a stroke or later; a few are cheaper to pass one by one."""
    return bisect_left(spans, stroke, key=lambda span: span.last) if len(spans) > _FEW else 0


def _common(left: tuple[Span, ...], right: tuple[Span, ...]) -> Iterator[Span]:
    if not left or not right:
        return
    # One lot's strokes against the life of a press: the spans far before and far behind are thousands.
    i, j = _reaching(left, right[0].first), _reaching(right, left[0].first)
    while i < len(left) and j < len(right):
        a, b = left[i], right[j]
        first, last = max(a.first, b.first), min(a.last, b.last)
        if first <= last:
            yield Span(first, last)
        if a.last < b.last:
            i += 1
        else:
            j += 1


def _remaining(left: tuple[Span, ...], right: tuple[Span, ...]) -> Iterator[Span]:
    j = _reaching(right, left[0].first)
    for span in left:
        first = span.first
        while j < len(right) and right[j].last < first:
            j += 1
        # A span of the right may reach into the next one of the left: `j` stays, a second index runs ahead.
        ahead = j
        while ahead < len(right) and right[ahead].first <= span.last:
            if first < right[ahead].first:
                yield Span(first, right[ahead].first - 1)
            first = right[ahead].last + 1
            ahead += 1
        if first <= span.last:
            yield Span(first, span.last)


NO_STROKES = StrokeSet()
"""The empty set."""

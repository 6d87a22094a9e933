"""The life of a stamper as one line: what it pressed, where samples were good and bad, what is suspected."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from tracelink.genealogy.containment.scope import Tier
from tracelink.genealogy.model.facts import SegmentFact
from tracelink.genealogy.model.shapes import TierName
from tracelink.genealogy.model.strokes import NO_STROKES, Span, StrokeSet
from tracelink.genealogy.suspects.closure import Axis
from tracelink.genealogy.suspects.evidence import Judged
from tracelink.ledger.count_words import PieceWords, counted, kind_words, piece_words, words_of_all
from tracelink.report.format import svg
from tracelink.report.format.plain import imprint
from tracelink.report.pictures.tags import ROW, Tag, drawn, placed, rows

WIDTH = 1000.0
"""Of the picture, in pixels."""

_LEFT, _RIGHT = 24.0, WIDTH - 24.0
_BAND = 20.0
_MOST_TAGS = 20
"""More labels than this in one place hide each other; the table beside has them all (own trial)."""
_TICKS = 10
_GREY = ("#FFFFFF", "#E4E4E4")


@dataclass(frozen=True, slots=True)
class _Scale:
    """Scale from positions on the life to pixels."""

    last: int

    def start(self, position: int) -> float:
        return _LEFT + (position - 1) / self.last * (_RIGHT - _LEFT)

    def end(self, position: int) -> float:
        return self.start(position + 1)

    def middle(self, position: int) -> float:
        return self.start(position) + (self.end(position) - self.start(position)) / 2

    def of_span(self, span: Span) -> float:
        return (self.start(span.first) + self.end(span.last)) / 2


def stroke_life_svg(  # noqa: PLR0913 - one argument for each thing that stands on the line
    axis: Axis,
    *,
    title: str,
    head: tuple[int, str],
    at: str,
    tiers: Iterable[Tier] = (),
    judged: Sequence[Judged] = (),
    segments: Iterable[SegmentFact] = (),
) -> str:
    """Draw the life of a stamper, or of a press or lot in the order of its discs.

    Args:
        axis: the life.
        title: one line above the picture.
        head: last journal sequence looked at, and its hash.
        at: when it was drawn, RFC 3339 with offset.
        tiers: what is suspected; tiers of strokes that lie elsewhere are left out.
        judged: the judged discs on the axis.
        segments: the segments of its lots; they say on which press.

    Returns:
        A whole SVG that needs nothing else.
    """
    words = words_of_all(stretch.lot for stretch in axis.stretches)
    positions = axis.positions
    if not positions:
        note = [f"No {words.number} of it is in the records.", imprint(head, at)]
        heading = svg.text(_LEFT, 22, title, font_size=14, font_weight="bold")
        return svg.picture(WIDTH, 80, title, [heading, *svg.paragraph(_LEFT, 46, note, font_size=11)])
    scale = _Scale(positions.last)
    by_tier = _by_tier(axis, tiers)
    lots = placed(_lot_tags(axis, scale, list(segments)), _LEFT, _RIGHT)
    samples = placed(_sample_tags(judged, scale), _LEFT, _RIGHT)
    spans = placed(_tier_tags(by_tier, scale, words.one), _LEFT, _RIGHT)
    lots_y = 44 + ROW * rows(lots)
    marks_y = lots_y + _BAND + 22 + ROW * rows(samples)
    tiers_y = marks_y + 14
    ticks_y = tiers_y + _BAND + 8 + ROW * rows(spans)
    legend_y = ticks_y + 56
    parts = [
        svg.text(_LEFT, 22, title, font_size=14, font_weight="bold"),
        *drawn(lots, lots_y, below=False),
        *_stretches(axis, scale, lots_y),
        *drawn(samples, marks_y - 4, below=False),
        *_marks(judged, scale, marks_y),
        *drawn(spans, tiers_y + _BAND, below=True),
        *_bands(by_tier, StrokeSet.between(1, positions.last) - positions, scale, tiers_y),
        *_ticks(axis, scale, ticks_y, words),
        *_legend(by_tier, judged, legend_y, words.one),
        svg.text(_LEFT, legend_y + 24, imprint(head, at), font_size=11),
    ]
    return svg.picture(WIDTH, legend_y + 36, title, parts)


def _by_tier(axis: Axis, tiers: Iterable[Tier]) -> dict[TierName, StrokeSet]:
    found: dict[TierName, StrokeSet] = {}
    for tier in tiers:
        for stretch in axis.stretches:
            met = stretch.strokes & tier.strokes if stretch.lot == tier.lot else NO_STROKES
            if met:
                found[tier.name] = found.get(tier.name, NO_STROKES) | met.shifted(stretch.shift)
    return found


def _lot_tags(axis: Axis, scale: _Scale, segments: Sequence[SegmentFact]) -> list[Tag]:
    if len(axis.stretches) > _MOST_TAGS:
        return []
    tags: list[Tag] = []
    for stretch in axis.stretches:
        presses = dict.fromkeys(
            segment.press
            for segment in segments
            if segment.lot == stretch.lot and segment.strokes & stretch.strokes
        )
        on = f" on press {', '.join(presses)}" if presses else ""
        words = piece_words(stretch.lot)
        middle = (scale.start(stretch.positions.first) + scale.end(stretch.positions.last)) / 2
        tags.append(
            Tag(middle, f"{words.whole} {stretch.lot}{on}, its {words.numbers} {_few(stretch.strokes)}")
        )
    return tags


def _few(strokes: StrokeSet) -> str:
    return f"{strokes.first}-{strokes.last}" if len(strokes) > 1 else str(strokes.first)


def _sample_tags(judged: Sequence[Judged], scale: _Scale) -> list[Tag]:
    """Every sample while they are few; else the first bad one and the last good one before it."""
    bads = [one for one in judged if not one.good]
    shown = list(judged)
    if len(shown) > _MOST_TAGS:
        first_bad = bads[:1]
        before = [one for one in judged if one.good and (not bads or one.position < bads[0].position)]
        shown = [*before[-1:], *first_bad]
    tags: dict[tuple[int, bool], Tag] = {}
    for one in shown:
        words = f"{'good' if one.good else 'BAD'} {one.position}"
        tags[one.position, one.good] = Tag(scale.middle(one.position), words, bold=not one.good)
    return list(tags.values())


def _tier_tags(by_tier: Mapping[TierName, StrokeSet], scale: _Scale, piece: str) -> list[Tag]:
    spans = [(name, span) for name, strokes in by_tier.items() for span in strokes.spans]
    if len(spans) > _MOST_TAGS:
        return []
    return [
        Tag(scale.of_span(span), f"{name.value} {span}: {counted(len(span), piece)}", name is TierName.PROVEN)
        for name, span in spans
    ]


def _stretches(axis: Axis, scale: _Scale, y: float) -> Iterable[str]:
    for number, stretch in enumerate(axis.stretches):
        for span in stretch.positions.spans:
            x = scale.start(span.first)
            yield svg.rect(x, y, scale.end(span.last) - x, _BAND, fill=_GREY[number % 2], stroke_width=1)


def _marks(judged: Sequence[Judged], scale: _Scale, y: float) -> Iterable[str]:
    yield svg.line(_LEFT, y, _RIGHT, y, stroke=svg.FAINT)
    # Bad ones last, so that none is hidden under a good one.
    for one in sorted(judged, key=lambda tested: not tested.good):
        x = scale.middle(one.position)
        yield svg.ring(x, y, 5) if one.good else svg.cross(x, y, 5.5)


def _bands(
    by_tier: Mapping[TierName, StrokeSet], unknown: StrokeSet, scale: _Scale, y: float
) -> Iterable[str]:
    for span in unknown.spans:
        x = scale.start(span.first)
        yield svg.rect(x, y, scale.end(span.last) - x, _BAND, stroke=svg.FAINT, stroke_dasharray="3 3")
    for name in (TierName.CLEARED, TierName.POSSIBLE, TierName.PROVEN):
        for span in by_tier.get(name, NO_STROKES).spans:
            x = scale.start(span.first)
            # One stroke of many thousands is still to be seen.
            yield swatch(name, x, y, max(1.5, scale.end(span.last) - x), _BAND)


def swatch(tier: TierName, x: float, y: float, width: float, height: float) -> str:
    """The pattern of a tier: full, lined or empty, so that it is told in grey as well."""
    if tier is TierName.PROVEN:
        return svg.full(x, y, width, height)
    return svg.hatched(x, y, width, height) if tier is TierName.POSSIBLE else svg.rect(x, y, width, height)


def _ticks(axis: Axis, scale: _Scale, y: float, words: PieceWords) -> Iterable[str]:
    yield svg.line(_LEFT, y, _RIGHT, y)
    step = _step(scale.last)
    for position in [1, *range(step, scale.last + 1, step)]:
        x = scale.middle(position)
        yield svg.line(x, y, x, y + 5)
        yield svg.text(x, y + 17, str(position), font_size=11, text_anchor="middle")
    what = (
        f"{words.number} in the life of {kind_words(axis.kind)} {axis.code}"
        if axis.ordered
        else f"{words.many} with {kind_words(axis.kind)} {axis.code}, laid end to end: neighbours say nothing about one another"
    )
    yield svg.text((_LEFT + _RIGHT) / 2, y + 33, what, font_size=11, text_anchor="middle")


def _step(last: int) -> int:
    """The distance of ticks: 1, 2 or 5 times a power of ten, at most ten of them."""
    power = 1
    while True:
        for factor in (1, 2, 5):
            if last <= factor * power * _TICKS:
                return factor * power
        power *= 10


def _legend(
    by_tier: Mapping[TierName, StrokeSet], judged: Sequence[Judged], y: float, piece: str
) -> Iterable[str]:
    x = _LEFT
    for name in (TierName.PROVEN, TierName.POSSIBLE, TierName.CLEARED):
        words = f"{name.value}: {counted(len(by_tier.get(name, NO_STROKES)), piece)}"
        yield swatch(name, x, y - 11, 26, 13)
        yield svg.text(x + 32, y, words, font_size=11)
        x += 32 + svg.text_width(words, 11) + 24
    goods = sum(one.good for one in judged)
    yield svg.ring(x + 5, y - 4, 5)
    yield svg.text(x + 16, y, f"judged good: {goods}", font_size=11)
    x += 16 + svg.text_width(f"judged good: {goods}", 11) + 24
    yield svg.cross(x + 5, y - 4, 5)
    yield svg.text(x + 16, y, f"judged BAD: {len(judged) - goods}", font_size=11)

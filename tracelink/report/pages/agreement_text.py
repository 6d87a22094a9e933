"""Two inspectors, and a gauge in several hands, as rows and as sentences."""

from __future__ import annotations

from tracelink.ledger.count_words import counted, in_percent
from tracelink.quality.agreement.gauge_study import GaugeStudy
from tracelink.quality.agreement.kappa import Kappa
from tracelink.quality.cannot_tell import CannotTell
from tracelink.quality.estimate import Estimate
from tracelink.report.format.table import Cell, Column, Kind
from tracelink.report.pages.doubt_text import doubt_sentence, measure

_FEW_DISCS = 50
"""Discs below which the interval of kappa is said to be rough: common practice."""

VARIANCE_COLUMNS = (
    Column("source", "source", Kind.TEXT),
    Column("freedom", "degrees of freedom", Kind.COUNT),
    Column("squares", "sum of squares", Kind.MEASURE),
    Column("f", "F", Kind.MEASURE),
    Column("p", "p", Kind.MEASURE),
)


def verdict_columns(people: tuple[str, ...], verdicts: tuple[str, ...]) -> list[Column]:
    """Return the columns of the table of two inspectors: what the second said."""
    first, second = people
    return [
        Column("verdict", f"{first} said", Kind.TEXT),
        *(Column(f"v{place}", f"{second}: {verdict}", Kind.COUNT) for place, verdict in enumerate(verdicts)),
    ]


def verdict_rows(verdicts: tuple[str, ...], table: tuple[tuple[int, ...], ...]) -> list[dict[str, Cell]]:
    """Return one row per verdict of the first inspector, keys of `verdict_columns`."""
    return [
        {"verdict": verdict, **{f"v{place}": cell for place, cell in enumerate(row)}}
        for verdict, row in zip(verdicts, table, strict=True)
    ]


def agreement_sentences(found: Kappa | CannotTell, verdicts: tuple[str, ...], alone: int) -> list[str]:
    """Say how far two inspectors agree, in words first."""
    if isinstance(found, CannotTell):
        return [doubt_sentence(found, "discs that both judged", "disc that both judged")]
    agreed = round(found.agreed * found.pieces)
    said = [f"They agree on {agreed} of {counted(found.pieces, 'disc')}."]
    if found.kappa is None:
        said.append(
            f"Cannot tell: both always said {verdicts[0]!r}, so chance alone explains that they agree."
        )
    else:
        said.append(f"Agreement beyond chance (kappa): {interval(found.kappa, 2)}; 1 is full, 0 is chance.")
        if found.kappa.low == found.kappa.high:
            said.append(
                f"They never differ, so {counted(found.pieces, 'disc')} cannot tell how seldom they would."
            )
        elif found.pieces < _FEW_DISCS:
            said.append("With so few discs the interval is rough, and rather too narrow.")
    for verdict, share in zip(verdicts, found.for_each, strict=True):
        if share is not None:
            said.append(f"Of the discs that either called {verdict!r}, both did for {in_percent(share)}.")
    if alone:
        said.append(f"Left out: {counted(alone, 'disc')} that only one of them judged.")
    return said


def variance_rows(study: GaugeStudy) -> list[dict[str, Cell]]:
    """Return the analysis of variance, keys of `VARIANCE_COLUMNS`."""
    return [
        {
            "source": row.source,
            "freedom": row.freedom,
            "squares": float(f"{row.squares:.6g}"),
            "f": None if row.f is None else float(f"{row.f:.4g}"),
            "p": None if row.p is None else float(f"{row.p:.4g}"),
        }
        for row in study.rows
    ]


def gauge_sentences(study: GaugeStudy | CannotTell, tolerance: float | None) -> list[str]:
    """Say what a gauge adds to what is measured."""
    if isinstance(study, CannotTell):
        return [
            doubt_sentence(study, "discs, people or repeats", "disc, person or repeat")
            if study.needed
            else doubt_sentence(study, "readings")
        ]
    said = [
        f"{counted(study.discs, 'disc')}, {counted(study.people, 'person', 'people')}, {counted(study.repeats, 'reading')} each.",
        f"One person reading one disc again: standard deviation {interval(_rooted(study.repeatability))}.",
        f"The gauge in all hands: {interval(_rooted(study.gauge))}.",
        f"From disc to disc: {interval(_rooted(study.between_discs))}.",
        f"The gauge is {in_percent(study.share_of_spread)} of the spread of all that was read"
        + ("." if study.categories is None else f"; it tells {study.categories} groups of discs apart."),
    ]
    if tolerance is not None:
        share = study.share_of_tolerance(tolerance)
        said.append(
            f"Six of its standard deviations are {in_percent(share)} of the tolerance {measure(tolerance)}."
        )
    if study.pooled:
        said.append(
            "No effect of people on single discs was seen; that row is put together with the repeats."
        )
    said.append("A person decides whether the gauge is good enough for its task.")
    return said


def interval(estimate: Estimate, digits: int | None = None) -> str:
    """Return a number with its interval.

    Args:
        estimate: the number.
        digits: behind the point; None for five that count.
    """
    value, low, high = (
        measure(each) if digits is None else f"{each:.{digits}f}"
        for each in (estimate.value, estimate.low, estimate.high)
    )
    return f"{value} (95 % interval {low} to {high})"


def _rooted(variance: Estimate) -> Estimate:
    return Estimate(variance.value**0.5, variance.low**0.5, variance.high**0.5)

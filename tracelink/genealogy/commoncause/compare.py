"""The common cause of bad discs: which thing do they share that good discs do not?

Each thing that some judged discs were made with and others were not is a candidate. Bad and good discs are
compared with and without it (Fisher's exact test, more bad ones with it), corrected for the number of
candidates (Benjamini and Hochberg). Where the discs of one press or lot can be compared among themselves, the
comparison is made within each and put together, because a press that runs bad lots makes every tool on it look
bad. For things that make disc after disc, the point is looked for from which bad discs became more frequent.

It points; it proves nothing. Things that were always used together cannot be told apart by any number of discs.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from tracelink.errors import UsageError
from tracelink.genealogy.commoncause.exposure import KINDS, ExposedDisc, Factor, JudgedDiscs
from tracelink.quality.changepoint import rise
from tracelink.quality.fourfold import (
    Fourfold,
    Odds,
    fisher_greater,
    half_added_odds,
    homogeneity,
    mantel_haenszel,
    stratified_greater,
)
from tracelink.quality.many import benjamini_hochberg

SIGNIFICANT = 0.05
"""Share of false findings among what is called significant; common practice."""

_ORDERED = frozenset({"stamper", "press", "lot"})
"""Things that make disc after disc, so that a fault may begin at one of them."""

STRATA = ("press", "lot", "compound", "operator")
"""Things that may be held fixed while others are compared."""


@dataclass(frozen=True, slots=True)
class Within:
    """The comparison made within strata."""

    p: float
    """Exact chance of as many bad discs with the candidate, or more, within the strata (one-sided)."""
    ratio: float | None
    """Common odds ratio; None if it would be infinite."""
    low: float | None
    """Lower end of its 95 % interval; None if it has none."""
    high: float | None
    """Upper end."""
    strata: int
    """Strata that say anything."""
    differing: float | None
    """Chance of odds ratios this different between strata, if they were one; None for a single stratum."""


@dataclass(frozen=True, slots=True)
class Onset:
    """The position from which on bad discs were more frequent."""

    after: str
    """The last judged disc before the rise, as LOT:STROKE."""
    first: str
    """The first judged disc after it."""
    p: float
    """Exact chance of a rise as strong in a random order of the same discs."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One thing, compared."""

    kind: str
    """Kind of the thing, such as stamper or press."""
    code: str
    """Its code."""
    table: Fourfold
    """Bad and good discs with it, bad and good ones without."""
    p: float
    """Exact chance of as many bad discs with it, or more, if it made no difference."""
    adjusted: float
    """The same, corrected for the number of candidates."""
    odds: Odds
    """Odds ratio with one half added to every cell, and its 95 % interval."""
    aliases: tuple[str, ...]
    """Other candidates with exactly the same discs: nothing in the records tells them apart."""
    within: Within | None
    """The comparison within strata; None if no stratum has discs with and without it, bad and good."""
    onset: Onset | None
    """For a thing that makes disc after disc, where the rise is; None if there is none."""
    apart: int
    """Bad discs made with it and not with the first candidate; 0 says that the first explains all of them."""

    @property
    def significant(self) -> bool:
        """True if it stands out after the correction."""
        return self.adjusted <= SIGNIFICANT


@dataclass(frozen=True, slots=True)
class CommonCause:
    """The candidates, the most suspect first."""

    bad: int
    """JudgedDiscs discs that count as bad."""
    good: int
    """JudgedDiscs discs that count as good."""
    stratum: str
    """What the comparison within strata holds fixed."""
    candidates: tuple[Candidate, ...]
    """Candidates, by p, then by what is nearest to the disc."""
    shared: tuple[str, ...]
    """Things that every judged disc was made with: there is nothing to compare them with."""
    cautions: tuple[str, ...]
    """Sentences that belong to every reading of the table."""


def common_cause(judged: JudgedDiscs, stratum: str = "press") -> CommonCause:
    """Compare every candidate.

    Args:
        judged: the judged discs with what made them.
        stratum: one of `STRATA`.

    Raises:
        UsageError: the stratum is not one of these.
    """
    if stratum not in STRATA:
        raise UsageError(f"stratum {stratum!r}: expected one of {', '.join(STRATA)}")
    pieces = judged.pieces
    used: dict[Factor, frozenset[int]] = {}
    for number, piece in enumerate(pieces):
        for factor in piece.places:
            used[factor] = used.get(factor, frozenset()) | {number}
    shared = [factor for factor, discs in used.items() if len(discs) == len(pieces)]
    compared = {factor: discs for factor, discs in used.items() if len(discs) < len(pieces)}
    bad = sum(piece.bad for piece in pieces)
    found = _compared(pieces, compared, stratum) if bad else []
    return CommonCause(
        bad=bad,
        good=len(pieces) - bad,
        stratum=stratum,
        candidates=tuple(found),
        shared=tuple(_named(factor) for factor in sorted(shared, key=_rank)),
        cautions=tuple(_cautions(judged, found)),
    )


def _compared(
    pieces: Sequence[ExposedDisc], compared: dict[Factor, frozenset[int]], stratum: str
) -> list[Candidate]:
    tables = {factor: _table(pieces, discs) for factor, discs in compared.items()}
    chances = {factor: fisher_greater(table) for factor, table in tables.items()}
    adjusted = dict(zip(chances, benjamini_hochberg(list(chances.values())), strict=True))

    def order(factor: Factor) -> tuple[float, int, int, str]:
        return chances[factor], -tables[factor][0][0], *_rank(factor)

    first = min(compared, key=order, default=("", ""))
    alike: dict[frozenset[int], list[Factor]] = {}
    for factor, discs in compared.items():
        alike.setdefault(discs, []).append(factor)
    found = [
        Candidate(
            kind=factor[0],
            code=factor[1],
            table=tables[factor],
            p=chances[factor],
            adjusted=adjusted[factor],
            odds=half_added_odds(tables[factor]),
            aliases=tuple(_named(other) for other in sorted(alike[discs], key=_rank) if other != factor),
            within=_within(pieces, factor, stratum),
            onset=_onset(pieces, factor) if factor[0] in _ORDERED else None,
            apart=_apart(pieces, factor, first),
        )
        for factor, discs in compared.items()
    ]
    return sorted(found, key=lambda one: order((one.kind, one.code)))


def _apart(pieces: Iterable[ExposedDisc], factor: Factor, first: Factor) -> int:
    return sum(piece.bad and factor in piece.places and first not in piece.places for piece in pieces)


def _table(pieces: Iterable[ExposedDisc], discs: frozenset[int]) -> Fourfold:
    cells = [[0, 0], [0, 0]]
    for number, piece in enumerate(pieces):
        cells[number not in discs][not piece.bad] += 1
    return (cells[0][0], cells[0][1]), (cells[1][0], cells[1][1])


def _within(pieces: Sequence[ExposedDisc], factor: Factor, stratum: str) -> Within | None:
    if factor[0] == stratum:
        return None
    by_stratum: dict[Factor, list[ExposedDisc]] = {}
    for piece in pieces:
        for place in piece.places:
            if place[0] == stratum:
                by_stratum.setdefault(place, []).append(piece)
    tables = [
        _table(part, frozenset(number for number, piece in enumerate(part) if factor in piece.places))
        for part in by_stratum.values()
    ]
    telling = [table for table in tables if _tells(table)]
    if not telling:
        return None
    together = mantel_haenszel(telling)
    differing = homogeneity(telling) if len(telling) > 1 else None
    chance = stratified_greater(telling)
    return Within(chance, together.ratio, together.low, together.high, together.telling, differing)


def _tells(table: Fourfold) -> bool:
    (a, b), (c, d) = table
    return 0 not in (a + b, c + d, a + c, b + d)


def _onset(pieces: Iterable[ExposedDisc], factor: Factor) -> Onset | None:
    life = sorted(
        (piece for piece in pieces if factor in piece.places), key=lambda piece: piece.places[factor]
    )
    if len(life) < 2 or not any(piece.bad for piece in life):
        return None
    found = rise([piece.bad for piece in life])
    if not found.before:
        return None
    before, first = life[found.before - 1], life[found.before]
    return Onset(f"{before.lot}:{before.stroke}", f"{first.lot}:{first.stroke}", found.p)


def _cautions(judged: JudgedDiscs, found: Sequence[Candidate]) -> list[str]:
    cautions = [
        "An association is not proof: it says where to look and test first. A person decides what the cause is.",
        (
            "Discs of one lot are alike in much more than one thing and were not drawn at random: the chances are smaller "
            "here than they would be for discs that have nothing else in common."
        ),
    ]
    leading = [one for one in found if one.table[0][0] and one.significant]
    if any(one.aliases for one in leading):
        cautions.append(
            "Some candidates were always used together on the judged discs and cannot be told apart by them: see their "
            "aliases, and test discs on which they were apart."
        )
    if any(
        one.within and one.within.differing is not None and one.within.differing < SIGNIFICANT
        for one in leading
    ):
        cautions.append(
            "For some candidates the strata differ so much that one common odds ratio is not a fair summary: look at each."
        )
    if judged.other_defect:
        cautions.append(
            f"Judged discs that were bad for another defect only, and are left out because nobody recorded that they "
            f"were free of this one: {judged.other_defect}."
        )
    if judged.unmade:
        cautions.append(f"For {judged.unmade} judged discs no record says what they were made with.")
    return cautions


def _named(factor: Factor) -> str:
    return f"{factor[0]} {factor[1]}"


def _rank(factor: Factor) -> tuple[int, str]:
    return KINDS.index(factor[0]), factor[1]

"""The common cause of bad discs: which thing do they share that good discs do not?

Each thing that some judged discs were made with and others were not is a candidate. Bad and good discs are
compared with and without it (Fisher's exact test, more bad ones with it), corrected for the number of
candidates (Benjamini and Hochberg). Where the discs of one press or lot can be compared among themselves, the
comparison is made within each and put together, because a press that runs bad lots makes every tool on it look
bad. For things that make disc after disc, the point is looked for from which bad discs became more frequent.

It points; it proves nothing. Things that were always used together cannot be told apart by any number of discs.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from tracelink.errors import UsageError
from tracelink.genealogy.commoncause.candidate import SIGNIFICANT, Candidate, Onset, Within
from tracelink.genealogy.commoncause.exposure import KINDS, ExposedDisc, JudgedDiscs
from tracelink.genealogy.commoncause.step_exposure import Factor
from tracelink.quality.changepoint import rise
from tracelink.quality.fourfold import (
    Fourfold,
    fisher_greater,
    half_added_odds,
    homogeneity,
    mantel_haenszel,
    stratified_greater,
)
from tracelink.quality.many import benjamini_hochberg

_ORDERED = frozenset({"stamper", "press", "lot", "reel", "build"})
"""Things that make disc after disc, so that a fault may begin at one of them."""

STRATA = ("press", "lot", "compound", "operator", "build")
"""Things that may be held fixed while others are compared."""


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
    many: str = "discs"
    """What was judged: discs, built pieces, or pieces where both were."""
    built: int = 0
    """How many of them are built pieces."""


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
    used: dict[Factor, list[int]] = {}
    for number, piece in enumerate(pieces):
        for factor in piece.places:
            used.setdefault(factor, []).append(number)
    like = _LikePieces(pieces)
    shared = [factor for factor, discs in used.items() if len(discs) == sum(like.counts(discs))]
    compared = {factor: discs for factor, discs in used.items() if len(discs) < sum(like.counts(discs))}
    bad = sum(piece.bad for piece in pieces)
    found = _Comparison(pieces, compared, stratum).candidates() if bad else []
    return CommonCause(
        bad=bad,
        good=len(pieces) - bad,
        stratum=stratum,
        candidates=tuple(found),
        shared=tuple(_named(factor) for factor in sorted(shared, key=_rank)),
        cautions=tuple(_cautions(judged, found)),
        many=judged.many,
        built=judged.built,
    )


class _LikePieces:
    """Judged pieces of one sort: a reel is in no disc, so discs say nothing about it, and units nothing about a stamper.

    Args:
        pieces: the judged discs and built pieces.
    """

    def __init__(self, pieces: Sequence[ExposedDisc]) -> None:
        self._pieces = pieces
        by_sort: dict[bool, list[ExposedDisc]] = {}
        for piece in pieces:
            by_sort.setdefault(piece.is_built, []).append(piece)
        self._counts = {sort: _counts(alike) for sort, alike in by_sort.items()}

    def counts(self, numbers: Iterable[int]) -> tuple[int, int]:
        """Return how many pieces of the sorts that some are of are bad and good."""
        sorts = {self._pieces[number].is_built for number in numbers}
        return sum(self._counts[sort][0] for sort in sorts), sum(self._counts[sort][1] for sort in sorts)


class _Comparison:
    """Compares candidates, each by the discs that were made with it, so that all of them cost what the discs name.

    Args:
        pieces: the judged discs.
        compared: candidate -> the numbers of the discs made with it, ascending.
        stratum: what the comparison within strata holds fixed.
    """

    def __init__(
        self, pieces: Sequence[ExposedDisc], compared: Mapping[Factor, Sequence[int]], stratum: str
    ) -> None:
        self._pieces = pieces
        self._compared = compared
        self._stratum = stratum
        # Most candidates have one of a few tables, and whole numbers of hundreds of digits stand behind each chance.
        self._fisher = cache(fisher_greater)
        self._stratified = cache(stratified_greater)
        self._like = _LikePieces(pieces)
        self._strata = [_strata(piece, stratum) for piece in pieces]
        by_stratum: dict[Factor, list[ExposedDisc]] = {}
        for piece, strata in zip(pieces, self._strata, strict=True):
            for one in strata:
                by_stratum.setdefault(one, []).append(piece)
        self._in_stratum = {one: _counts(part) for one, part in by_stratum.items()}
        self._order = {one: number for number, one in enumerate(by_stratum)}

    def candidates(self) -> list[Candidate]:
        """The candidates, the most suspect first."""
        compared = self._compared
        tables = {
            factor: _table(_counts(self._with(discs)), self._like.counts(discs))
            for factor, discs in compared.items()
        }
        chances = {factor: self._fisher(table) for factor, table in tables.items()}
        adjusted = dict(zip(chances, benjamini_hochberg(list(chances.values())), strict=True))

        def order(factor: Factor) -> tuple[float, int, int, str]:
            return chances[factor], -tables[factor][0][0], *_rank(factor)

        first = min(compared, key=order, default=("", ""))
        alike: dict[tuple[int, ...], list[Factor]] = {}
        for factor, discs in compared.items():
            alike.setdefault(tuple(discs), []).append(factor)
        found = [
            Candidate(
                kind=factor[0],
                code=factor[1],
                table=tables[factor],
                p=chances[factor],
                adjusted=adjusted[factor],
                odds=half_added_odds(tables[factor]),
                aliases=tuple(
                    _named(other) for other in sorted(alike[tuple(discs)], key=_rank) if other != factor
                ),
                within=self._within(factor, discs),
                onset=_onset(self._with(discs), factor) if factor[0] in _ORDERED else None,
                apart=sum(piece.bad and first not in piece.places for piece in self._with(discs)),
            )
            for factor, discs in compared.items()
        ]
        return sorted(found, key=lambda one: order((one.kind, one.code)))

    def _with(self, discs: Iterable[int]) -> list[ExposedDisc]:
        return [self._pieces[number] for number in discs]

    def _within(self, factor: Factor, discs: Iterable[int]) -> Within | None:
        if factor[0] == self._stratum:
            return None
        met: dict[Factor, list[ExposedDisc]] = {}
        for number in discs:
            for one in self._strata[number]:
                met.setdefault(one, []).append(self._pieces[number])
        # A stratum without a disc made with the candidate tells nothing, so only those met are looked at.
        tables = [
            _table(_counts(met[one]), self._in_stratum[one])
            for one in sorted(met, key=self._order.__getitem__)
        ]
        telling = tuple(table for table in tables if _tells(table))
        if not telling:
            return None
        together = mantel_haenszel(telling)
        differing = homogeneity(telling) if len(telling) > 1 else None
        chance = self._stratified(telling)
        return Within(chance, together.ratio, together.low, together.high, together.telling, differing)


def _strata(piece: ExposedDisc, stratum: str) -> tuple[Factor, ...]:
    return tuple(place for place in piece.places if place[0] == stratum)


def _counts(pieces: Sequence[ExposedDisc]) -> tuple[int, int]:
    """Bad discs and good ones."""
    bad = sum(piece.bad for piece in pieces)
    return bad, len(pieces) - bad


def _table(made_with: tuple[int, int], every: tuple[int, int]) -> Fourfold:
    return made_with, (every[0] - made_with[0], every[1] - made_with[1])


def _tells(table: Fourfold) -> bool:
    (a, b), (c, d) = table
    return 0 not in (a + b, c + d, a + c, b + d)


def _onset(made_with: Iterable[ExposedDisc], factor: Factor) -> Onset | None:
    life = sorted(made_with, key=lambda piece: piece.places[factor])
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
            f"{_of_one_whole(judged)} are alike in much more than one thing and were not drawn at random: the chances are "
            f"smaller here than they would be for {judged.many} that have nothing else in common."
        ),
    ]
    leading = [one for one in found if one.table[0][0] and one.significant]
    if any(one.aliases for one in leading):
        cautions.append(
            f"Some candidates were always used together on the judged {judged.many} and cannot be told apart by them: see their "
            f"aliases, and test {judged.many} on which they were apart."
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
            f"Judged {judged.many} that were bad for another defect only, and are left out because nobody recorded that they "
            f"were free of this one: {judged.other_defect}."
        )
    if judged.unmade:
        cautions.append(f"For {judged.unmade} judged {judged.many} no record says what they were made with.")
    return cautions


def _of_one_whole(judged: JudgedDiscs) -> str:
    wholes = {"discs": "one lot", "built pieces": "one build order"}
    return f"{judged.many.capitalize()} of {wholes.get(judged.many, 'one lot or build order')}"


def _named(factor: Factor) -> str:
    return f"{factor[0]} {factor[1]}"


def _rank(factor: Factor) -> tuple[int, str]:
    return KINDS.index(factor[0]), factor[1]
